"""A bar and its mirror on a car whose sides differ: shift the mirror, refit it, or keep both as one bar."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from hoopwright.bars import Bar, as_node, check_bendable, check_shape, mirrored
from hoopwright.findings import Finding, Severity, stopping
from hoopwright.fitting.end_places import EndPlace, held_by, meets, on_metal_mm, settled
from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.placing import HELD_WITHIN_MM, nothing_near, place_bar, too_close
from hoopwright.fitting.rigid_shift import rigid_shift
from hoopwright.fitting.side_regions import RegionBothSides, compare_regions
from hoopwright.fitting.side_slides import slides_of
from hoopwright.geometry.capsules import Capsule, distance_to_capsules_mm
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.shell import Shell

_MIRROR = np.array([1.0, -1.0, 1.0])
_LISTED_MM = 60.0
_THROUGH = "FIT-042"
_SHARES = (1.0, 0.75, 0.5, 0.25)
_SPARE_MM = 0.3
_STANDS_MM = 1.0


class SideChoice(StrEnum):
    """What can be done where the sides differ."""

    SHIFT = "shift"
    REFIT = "refit"
    KEEP = "keep"


@dataclass(frozen=True, kw_only=True)
class MirroredPair:
    """A bar, its mirror, and what both must keep.

    Args:
        source: The bar that has nodes of its own.
        other: Its mirror image under the other bar's name.
        places: What the source's ends A and B land on.
        other_places: The same for the mirror.
        landings_mm: Lengths at A and B of both that are not judged.
        gap_mm: Gap to keep.
        clamp_mm: Straight that the clamp needs.
        keep_clear: Room of the drivers that both bars' skins stay out of.
    """

    source: Bar
    other: Bar
    places: tuple[EndPlace, EndPlace]
    other_places: tuple[EndPlace, EndPlace]
    landings_mm: tuple[float, float]
    gap_mm: float
    clamp_mm: float
    keep_clear: tuple[Capsule, ...] = ()


@dataclass(frozen=True, eq=False, kw_only=True)
class BothSides:
    """The pair as it is, each bar measured on its own side.

    Args:
        source: Gaps of the source.
        other: Gaps of the mirror.
        regions: Regions near the mirror against their counterparts.
    """

    source: TubeGaps
    other: TubeGaps
    regions: tuple[RegionBothSides, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class SideOffer:
    """One way out, and the gaps that it reaches.

    Args:
        choice: Which.
        source: The source's bar then.
        other: The other side's bar then.
        source_gaps: Exact gaps of the source.
        other_gaps: Exact gaps of the other.
        moved_mm: Farthest that a node of the changed bar goes.
        findings: What does not hold.
        refused: Why the best that was found was not taken and the bars are as they were; None else.
    """

    choice: SideChoice
    source: Bar
    other: Bar
    source_gaps: TubeGaps
    other_gaps: TubeGaps
    moved_mm: float
    findings: tuple[Finding, ...]
    refused: Finding | None = None

    @property
    def holds(self) -> bool:
        """Whether both bars hold the gap, go through no metal, and can be bent."""
        return not self.findings

    @property
    def impossible(self) -> tuple[Finding, ...]:
        """What rules it out whatever gap is asked: bends that cannot be, metal that it goes through."""
        return tuple(f for f in self.findings if f.severity is Severity.STOP or f.code == _THROUGH)


def measure_both_sides(shell: Shell, pair: MirroredPair) -> BothSides:
    """Measure a bar and its mirror, each on its own side.

    Args:
        shell: The scan in the vehicle frame.
        pair: Bars that can be.
    """
    source, other = (_measured(shell, bar, pair) for bar in (pair.source, pair.other))
    return BothSides(
        source=source,
        other=other,
        regions=compare_regions(shell, other, within_mm=pair.gap_mm + _LISTED_MM),
    )


def offer_for_side(shell: Shell, pair: MirroredPair, choice: SideChoice) -> SideOffer:
    """What one choice comes to; nothing is changed.

    Ends stay on what they land on, a plane that a bar lies in is kept, and a bar comes no nearer to metal or to a
    driver than it was where that held; where no bar can, the bars stay as they were and `refused` says by how much.

    Args:
        shell: The scan in the vehicle frame.
        pair: Bars that can be.
        choice: Shift the mirror as it is; pull it on its own side; or pull both as one bar and its mirror.
    """
    was = _state(shell, pair, pair.source, pair.other)
    refused: Finding | None = None
    for source, other in _tries(shell, pair, choice, was):
        why = _worse(pair, choice, was, _state(shell, pair, source, other), source, other)
        if why is None:
            return _judged(shell, pair, choice, source, other)
        refused = refused or why
    return replace(_judged(shell, pair, choice, pair.source, pair.other), refused=refused)


@dataclass(frozen=True, kw_only=True)
class _State:
    """What a pair holds: least gap and room to the drivers of each bar, ends that stand on metal or meet a bar."""

    gaps_mm: tuple[float, float]
    clear_mm: tuple[float, float]
    mean_mm: float
    landed: tuple[bool, ...]


def _state(shell: Shell, pair: MirroredPair, source: Bar, other: Bar) -> _State:
    measured = [_measured(shell, bar, pair) for bar in (source, other)]
    half = source.tube.od_mm / 2.0
    landed = tuple(
        meets(bar, index, place) or (place.on_shell and on_metal_mm(shell, bar, index) <= half + _STANDS_MM)
        for bar, places in ((source, pair.places), (other, pair.other_places))
        for index, place in ((0, places[0]), (-1, places[1]))
    )
    least = [float(gaps.gap_mm[gaps.judged].min()) for gaps in measured]
    clear = [_clear_mm(gaps, pair) for gaps in measured]
    mean = sum(float(gaps.gap_mm[gaps.judged].mean()) for gaps in measured)
    return _State(gaps_mm=(least[0], least[1]), clear_mm=(clear[0], clear[1]), mean_mm=mean, landed=landed)


def _clear_mm(gaps: TubeGaps, pair: MirroredPair) -> float:
    """From a bar's skin to the drivers' padded room; infinite without drivers."""
    return float(distance_to_capsules_mm(gaps.points_mm, pair.keep_clear).min()) - gaps.tube.od_mm / 2.0


def _tries(shell: Shell, pair: MirroredPair, choice: SideChoice, was: _State) -> Iterator[tuple[Bar, Bar]]:
    """Bars to try, the one that changes most first; all can be drawn and have their ends where they belong."""
    if choice is SideChoice.SHIFT:
        yield from _shifted(shell, pair, max(pair.gap_mm, was.gaps_mm[1]))
        return
    both = choice is SideChoice.KEEP
    bar, places = (pair.source, pair.places) if both else (pair.other, pair.other_places)
    wanted = was.gaps_mm if both else was.gaps_mm[1:]
    for gap_mm in (
        max(pair.gap_mm, min(wanted)),
        max(pair.gap_mm, *was.gaps_mm[1:], max(wanted) + _SPARE_MM),
    ):
        pulled = _pulled(shell, pair, bar, places, gap_mm, both_sides=both)
        if pulled is None:
            continue
        source, other = (pulled, mirrored(pulled, pair.other.name)) if both else (pair.source, pulled)
        now = _state(shell, pair, source, other)
        if _worth(pair, now) > _worth(pair, was):
            yield source, other


def _shifted(shell: Shell, pair: MirroredPair, gap_mm: float) -> Iterator[tuple[Bar, Bar]]:
    for asked_mm in (gap_mm, gap_mm + _SPARE_MM):
        shift = rigid_shift(
            shell,
            pair.other,
            _MIRROR,
            gap_mm=asked_mm,
            landings_mm=pair.landings_mm,
            held=held_by(pair.other, pair.other_places),
            keep_clear=pair.keep_clear,
        )
        for share in _SHARES:
            moved = pair.other.with_nodes(pair.other.nodes + share * shift)
            other = settled(shell, pair.other, moved, pair.other_places)
            if other is not None and not stopping(check_shape(other)):
                yield pair.source, other


def _pulled(
    shell: Shell,
    pair: MirroredPair,
    bar: Bar,
    places: tuple[EndPlace, EndPlace],
    gap_mm: float,
    *,
    both_sides: bool,
) -> Bar | None:
    placed = place_bar(
        shell,
        bar,
        slides_of(bar, places),
        gap_mm=gap_mm,
        clamp_mm=pair.clamp_mm,
        landing_a_mm=pair.landings_mm[0],
        landing_b_mm=pair.landings_mm[1],
        both_sides=both_sides,
        keep_clear=pair.keep_clear,
    )
    landed = settled(shell, bar, placed.bar, places)
    return None if landed is None or stopping(check_shape(landed)) else landed


def _worth(pair: MirroredPair, state: _State) -> tuple[float, float]:
    """How near a pair comes to holding gap and room, then how near the shell it lies; greater is better."""
    short = min(*state.gaps_mm, *(clear + pair.gap_mm for clear in state.clear_mm))
    return min(short, pair.gap_mm - HELD_WITHIN_MM), -state.mean_mm


def _worse(
    pair: MirroredPair, choice: SideChoice, was: _State, now: _State, source: Bar, other: Bar
) -> Finding | None:
    """What a bar would hold less of than it did, with both numbers; None for none."""
    for index, bar in enumerate((source, other)):
        if now.gaps_mm[index] < was.gaps_mm[index] - HELD_WITHIN_MM:
            return _refusal(choice, bar.name, "gap to the shell", was.gaps_mm[index], now.gaps_mm[index])
        if now.clear_mm[index] < min(0.0, was.clear_mm[index]) - HELD_WITHIN_MM:
            return _refusal(choice, bar.name, "room to the driver", was.clear_mm[index], now.clear_mm[index])
        for letter, before, after in zip(
            "AB", was.landed[2 * index : 2 * index + 2], now.landed[2 * index : 2 * index + 2], strict=True
        ):
            if before and not after:
                return _off_its_landing(choice, bar.name, letter)
    return None


def _refusal(choice: SideChoice, name: str, what: str, was_mm: float, now_mm: float) -> Finding:
    return Finding(
        code="FIT-044",
        sentence=f"'{choice.value}' would take the {what} of {name} from {was_mm:.1f} to {now_mm:.1f} mm, so the bars "
        "stay as they are.",
        todo="Take another choice; to come nearer all the same, free the bar and fit it with 'hoopwright fit'.",
        objects=(name,),
        measured=now_mm,
        limit=was_mm,
        unit="mm",
    )


def _off_its_landing(choice: SideChoice, name: str, letter: str) -> Finding:
    return Finding(
        code="FIT-044",
        sentence=f"'{choice.value}' would take end {letter} of {name} off what it lands on, so the bars stay as they "
        "are.",
        todo="Take another choice; or free the bar and fit it with 'hoopwright fit'.",
        objects=(name,),
    )


def _measured(shell: Shell, bar: Bar, pair: MirroredPair) -> TubeGaps:
    a_mm, b_mm = pair.landings_mm
    return measure_bar(shell, bar, landing_a_mm=a_mm, landing_b_mm=b_mm)


def _judged(shell: Shell, pair: MirroredPair, choice: SideChoice, source: Bar, other: Bar) -> SideOffer:
    bars = (source, other)
    gaps = tuple(_measured(shell, bar, pair) for bar in bars)
    findings: list[Finding] = []
    for bar, measured in zip(bars, gaps, strict=True):
        findings += stopping(check_bendable(bar, clamp_mm=pair.clamp_mm))
        findings += _not_held(measured, pair.gap_mm)
        findings += _in_drivers_room(measured, pair)
    moved = max(
        float(np.linalg.norm(new.nodes - old.nodes, axis=1).max())
        for new, old in ((source, pair.source), (other, pair.other))
    )
    return SideOffer(
        choice=choice,
        source=source,
        other=other,
        source_gaps=gaps[0],
        other_gaps=gaps[1],
        moved_mm=moved,
        findings=tuple(findings),
    )


def _not_held(gaps: TubeGaps, gap_mm: float) -> list[Finding]:
    name = gaps.tube.name
    if gaps.crossings:
        place = gaps.crossings[0]
        return [
            Finding(
                code=_THROUGH,
                sentence=f"Bar {name} would go through '{place.region}', {place.along_mm:.0f} mm from end A.",
                todo="Take another choice, or fit the bar anew with 'hoopwright fit'.",
                objects=(name, place.region),
                point_mm=place.axis_mm,
            )
        ]
    if gaps.smallest is None:
        return [nothing_near(name)]
    short = gaps.smallest.gap_mm < gap_mm - HELD_WITHIN_MM
    return [too_close(name, gaps.smallest, gap_mm)] if short else []


def _in_drivers_room(gaps: TubeGaps, pair: MirroredPair) -> list[Finding]:
    clear_mm = _clear_mm(gaps, pair)
    if clear_mm >= -HELD_WITHIN_MM:
        return []
    worst = int(np.argmin(distance_to_capsules_mm(gaps.points_mm, pair.keep_clear)))
    return [
        Finding(
            code="FIT-046",
            sentence=f"Bar {gaps.tube.name} runs {-clear_mm:.0f} mm into the driver's room, "
            f"{gaps.along_mm[worst]:.0f} mm from end A.",
            todo="Take another choice, or fit the bar anew with 'hoopwright fit', which keeps clear of the driver.",
            objects=(gaps.tube.name,),
            point_mm=as_node(gaps.points_mm[worst]),
            measured=clear_mm,
            limit=0.0,
            unit="mm",
        )
    ]

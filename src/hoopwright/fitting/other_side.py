"""A bar and its mirror on a car whose sides differ: shift the mirror, refit it, or keep both as one bar."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar, as_node, check_bendable, check_shape, mirrored
from hoopwright.findings import Finding, stopping
from hoopwright.fitting.end_places import EndPlace, held_by, settled
from hoopwright.fitting.placing import HELD_WITHIN_MM, nothing_near, place_bar, too_close
from hoopwright.fitting.rigid_shift import rigid_shift
from hoopwright.fitting.side_pair import THROUGH, BothSides, MirroredPair, SideChoice, SideOffer, measure_one
from hoopwright.fitting.side_regions import compare_regions
from hoopwright.fitting.side_slides import slides_of
from hoopwright.fitting.side_state import PairState, clear_to_drivers_mm, state_of, worse, worth
from hoopwright.geometry.capsules import distance_to_capsules_mm
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.shell import Shell

_MIRROR = np.array([1.0, -1.0, 1.0])
_LISTED_MM = 60.0
_SHARES = (1.0, 0.75, 0.5, 0.25)
_SPARE_MM = 0.3


def measure_both_sides(shell: Shell, pair: MirroredPair) -> BothSides:
    """Measure a bar and its mirror, each on its own side.

    Args:
        shell: The scan in the vehicle frame.
        pair: Bars that can be.
    """
    source, other = (measure_one(shell, bar, pair) for bar in (pair.source, pair.other))
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
    was = state_of(shell, pair, pair.source, pair.other)
    refused: Finding | None = None
    for source, other in _tries(shell, pair, choice, was):
        why = worse(pair, choice, was, state_of(shell, pair, source, other), source, other)
        if why is None:
            return _judged(shell, pair, choice, source, other)
        refused = refused or why
    return replace(_judged(shell, pair, choice, pair.source, pair.other), refused=refused)


def _tries(shell: Shell, pair: MirroredPair, choice: SideChoice, was: PairState) -> Iterator[tuple[Bar, Bar]]:
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
        now = state_of(shell, pair, source, other)
        if worth(pair, now) > worth(pair, was):
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


def _judged(shell: Shell, pair: MirroredPair, choice: SideChoice, source: Bar, other: Bar) -> SideOffer:
    bars = (source, other)
    gaps = tuple(measure_one(shell, bar, pair) for bar in bars)
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
                code=THROUGH,
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
    clear_mm = clear_to_drivers_mm(gaps, pair)
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

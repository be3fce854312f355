"""A bar and its mirror on a car whose sides differ: shift the mirror, refit it, or keep both as one bar."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from hoopwright.bars import Bar, check_bendable, mirrored
from hoopwright.cage.meeting import MEETS_MM
from hoopwright.findings import Finding, Severity, stopping
from hoopwright.fitting.ends import nearest_straight
from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.placing import HELD_WITHIN_MM, nothing_near, place_bar, too_close
from hoopwright.fitting.pull import Slide, moves
from hoopwright.fitting.rigid_shift import rigid_shift
from hoopwright.fitting.side_regions import RegionBothSides, compare_regions
from hoopwright.geometry import Vector
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.shell import Shell

_MIRROR = np.array([1.0, -1.0, 1.0])
_NODE_REACH_MM = 60.0
_ALONG_BAR_MM = 40.0
_ACROSS_MM = 10.0
_LISTED_MM = 60.0
_THROUGH = "FIT-042"


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
        headers: Bars that the source's ends A and B land on, or None for the shell or nothing.
        other_headers: The same for the mirror.
        landings_mm: Lengths at A and B of both that are not judged.
        gap_mm: Gap to keep.
        clamp_mm: Straight that the clamp needs.
    """

    source: Bar
    other: Bar
    headers: tuple[Bar | None, Bar | None]
    other_headers: tuple[Bar | None, Bar | None]
    landings_mm: tuple[float, float]
    gap_mm: float
    clamp_mm: float


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
    """

    choice: SideChoice
    source: Bar
    other: Bar
    source_gaps: TubeGaps
    other_gaps: TubeGaps
    moved_mm: float
    findings: tuple[Finding, ...]

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

    Args:
        shell: The scan in the vehicle frame.
        pair: Bars that can be.
        choice: Shift the mirror as it is; pull it on its own side; or pull both as one bar and its mirror.
    """
    source, other = pair.source, pair.other
    if choice is SideChoice.SHIFT:
        shift = rigid_shift(shell, other, _MIRROR, gap_mm=pair.gap_mm, landings_mm=pair.landings_mm)
        other = other.with_nodes(other.nodes + shift)
    elif choice is SideChoice.REFIT:
        other = _pulled(shell, pair, other, pair.other_headers, both_sides=False)
    else:
        source = _pulled(shell, pair, source, pair.headers, both_sides=True)
        other = mirrored(source, other.name)
    return _judged(shell, pair, choice, source, other)


def _measured(shell: Shell, bar: Bar, pair: MirroredPair) -> TubeGaps:
    a_mm, b_mm = pair.landings_mm
    return measure_bar(shell, bar, landing_a_mm=a_mm, landing_b_mm=b_mm)


def _pulled(
    shell: Shell, pair: MirroredPair, bar: Bar, headers: tuple[Bar | None, Bar | None], *, both_sides: bool
) -> Bar:
    placed = place_bar(
        shell,
        bar,
        _slides(bar, headers),
        gap_mm=pair.gap_mm,
        clamp_mm=pair.clamp_mm,
        landing_a_mm=pair.landings_mm[0],
        landing_b_mm=pair.landings_mm[1],
        both_sides=both_sides,
    )
    return max((bar, placed.bar), key=lambda one: _worth(shell, pair, one, both_sides=both_sides))


def _worth(shell: Shell, pair: MirroredPair, bar: Bar, *, both_sides: bool) -> tuple[float, float]:
    """How near a bar comes to holding the gap, then how near the shell it lies; greater is better."""
    bars = [bar, mirrored(bar, bar.name)] if both_sides else [bar]
    measured = [_measured(shell, one, pair) for one in bars]
    least = min(float(gaps.gap_mm[gaps.judged].min()) for gaps in measured)
    mean = sum(float(gaps.gap_mm[gaps.judged].mean()) for gaps in measured)
    return min(least, pair.gap_mm - HELD_WITHIN_MM), -mean


def _slides(bar: Bar, headers: tuple[Bar | None, Bar | None]) -> list[Slide]:
    """Inner nodes go any way; an end along the straight that it meets, or across the car where it meets no bar."""
    count = len(bar.nodes_mm)
    slides = [
        _slide(count, index, axis, -_NODE_REACH_MM, _NODE_REACH_MM)
        for index in range(1, count - 1)
        for axis in np.eye(3)
    ]
    for index, header in ((0, headers[0]), (count - 1, headers[1])):
        if header is None:
            slides.append(_slide(count, index, np.array([0.0, 1.0, 0.0]), -_ACROSS_MM, _ACROSS_MM))
            continue
        line, at, off = nearest_straight(header, bar.nodes_mm[index])
        # an end on an arc, or one that was loosened on purpose, stays where it is
        if off <= MEETS_MM:
            low, high = -min(_ALONG_BAR_MM, at), min(_ALONG_BAR_MM, line.length_mm - at)
            slides.append(_slide(count, index, line.direction, low, high))
    return slides


def _slide(count: int, index: int, along: Vector, low_mm: float, high_mm: float) -> Slide:
    return Slide(directions=moves(count, {index: along}), low_mm=low_mm, high_mm=high_mm)


def _judged(shell: Shell, pair: MirroredPair, choice: SideChoice, source: Bar, other: Bar) -> SideOffer:
    bars = (source, other)
    gaps = tuple(_measured(shell, bar, pair) for bar in bars)
    findings: list[Finding] = []
    for bar, measured in zip(bars, gaps, strict=True):
        findings += stopping(check_bendable(bar, clamp_mm=pair.clamp_mm))
        findings += _not_held(measured, pair.gap_mm)
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

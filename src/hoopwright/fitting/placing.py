"""Pulling one bar and holding it against the exact gaps, so that what stands does not touch the shell."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, centreline, check_bendable, mirrored
from hoopwright.findings import Finding, stopping
from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.pull import Slide, pull_inside
from hoopwright.geometry.capsules import Capsule, distance_to_capsules_mm
from hoopwright.shell.clearance import GapPlace, TubeGaps
from hoopwright.shell.shell import Shell

_MARGINS_MM = (0.0, 0.5, 2.0, 5.0)
_DRIVER_SPACING_MM = 3.0
HELD_WITHIN_MM = 0.05
"""A gap is shown to 0.1 mm: one that is less short than half of that holds."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Placed:
    """A bar where it was placed.

    Args:
        bar: The bar.
        gaps: Its exact gaps.
        mirror_gaps: Those of its mirror image on the other side, when that side was asked for.
        findings: What does not hold against the shell.
        into_driver_mm: How far its skin, or that of its mirror image, is in the room of the drivers; 0 when clear.
    """

    bar: Bar
    gaps: TubeGaps
    mirror_gaps: TubeGaps | None
    findings: tuple[Finding, ...]
    into_driver_mm: float = 0.0

    @property
    def holds(self) -> bool:
        """Whether all holds, shell and drivers."""
        return not self.findings and self.into_driver_mm <= HELD_WITHIN_MM


def place_bar(
    shell: Shell,
    bar: Bar,
    slides: Sequence[Slide],
    *,
    gap_mm: float,
    clamp_mm: float,
    landing_a_mm: float,
    landing_b_mm: float,
    both_sides: bool,
    keep_clear: Sequence[Capsule] = (),
) -> Placed:
    """Pull a bar inside until its exact gaps hold, asking for a little more where samples were too coarse.

    It keeps out of the room of the drivers too, on both sides where both are asked for.
    """
    best: Placed | None = None
    for margin in _MARGINS_MM:
        pulled = pull_inside(
            shell,
            bar,
            slides,
            gap_mm=gap_mm + margin,
            clamp_mm=clamp_mm,
            landing_a_mm=landing_a_mm,
            landing_b_mm=landing_b_mm,
            both_sides=both_sides,
            keep_clear=[replace(one, radius_mm=one.radius_mm + margin) for one in keep_clear],
        )
        placed = _judged(shell, pulled.bar, gap_mm, clamp_mm, (landing_a_mm, landing_b_mm), both_sides)
        placed = replace(placed, into_driver_mm=_into_driver_mm(placed.bar, keep_clear, both_sides))
        if placed.holds:
            return placed
        if best is None or _held(placed) > _held(best):
            best = placed
        bar = pulled.bar
    assert best is not None  # noqa: S101 - the loop runs at least once
    return best


def _judged(
    shell: Shell,
    bar: Bar,
    gap_mm: float,
    clamp_mm: float,
    landings_mm: tuple[float, float],
    both_sides: bool,
) -> Placed:
    bars = [bar, mirrored(bar, f"{bar.name.removesuffix('-L')}-R")] if both_sides else [bar]
    measured = [
        measure_bar(shell, one, landing_a_mm=landings_mm[0], landing_b_mm=landings_mm[1]) for one in bars
    ]
    findings = list(stopping(check_bendable(bar, clamp_mm=clamp_mm)))
    findings += [
        too_close(gaps.tube.name, gaps.smallest, gap_mm)
        for gaps in measured
        if gaps.smallest is not None and gaps.smallest.gap_mm < gap_mm - HELD_WITHIN_MM
    ]
    findings += [nothing_near(gaps.tube.name) for gaps in measured if gaps.smallest is None]
    return Placed(
        bar=bar,
        gaps=measured[0],
        mirror_gaps=measured[1] if both_sides else None,
        findings=tuple(findings),
    )


def nothing_near(name: str) -> Finding:
    """The finding for a bar with no scanned metal near it."""
    return Finding(
        code="FIT-004",
        sentence=f"Bar {name}: no scanned metal lies within 150 mm of it, so its gap is not known.",
        todo="Check the landmarks, or scan what is there.",
        objects=(name,),
    )


def too_close(name: str, place: GapPlace, gap_mm: float) -> Finding:
    """The finding for a bar nearer to the shell than was asked."""
    return Finding(
        code="FIT-001",
        sentence=f"Bar {name}: the gap to '{place.region}' is {place.gap_mm:.1f} mm, under the {gap_mm:g} mm asked, "
        f"{place.along_mm:.0f} mm from end A.",
        todo="Move its nodes away from there, or ask for a smaller gap.",
        objects=(name, place.region),
        point_mm=place.axis_mm,
        measured=place.gap_mm,
        limit=gap_mm,
        unit="mm",
    )


def _into_driver_mm(bar: Bar, keep_clear: Sequence[Capsule], both_sides: bool) -> float:
    if not keep_clear:
        return 0.0
    path = centreline(bar)
    points = path.at(path.even_distances(_DRIVER_SPACING_MM))
    if both_sides:
        points = np.concatenate([points, points * [1.0, -1.0, 1.0]])
    room = float(distance_to_capsules_mm(points, keep_clear).min()) - bar.tube.od_mm / 2.0
    return max(0.0, -room)


def _held(placed: Placed) -> float:
    """The smallest gap, less what the bar is in the room of a driver."""
    return _smallest(placed) - placed.into_driver_mm


def _smallest(placed: Placed) -> float:
    both = [placed.gaps, placed.mirror_gaps] if placed.mirror_gaps is not None else [placed.gaps]
    gaps = [one.smallest.gap_mm for one in both if one is not None and one.smallest is not None]
    return min(gaps, default=float("inf"))

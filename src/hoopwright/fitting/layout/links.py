"""Strut links through the bulkhead: where along the side bar they start, and the holes that they need."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage import Hole
from hoopwright.findings import Finding, Severity
from hoopwright.fitting.holes import ProposedHoles, propose_holes
from hoopwright.fitting.layout.bench import ON_SHELL, Bench, on
from hoopwright.fitting.placing import HELD_WITHIN_MM, too_close
from hoopwright.fitting.pull import Slide

_TRIED = 7


@dataclass(frozen=True, eq=False, kw_only=True)
class Link:
    """A strut link and the holes that it passes through.

    Args:
        bar: The left link.
        holes: Its holes.
        findings: The holes, and what does not hold beside them.
    """

    bar: Bar
    holes: tuple[Hole, ...]
    findings: tuple[Finding, ...]


def best_link(bench: Bench, start: Bar, slide: Slide, pulled: Bar) -> Link:
    """Of links from several places along the side bar, the one that lacks least gap beside its holes, then cuts least.

    Args:
        bench: The cage so far.
        start: The link from the highest place.
        slide: How its upper end may go along the side bar.
        pulled: The link where it comes nearest to holding its gap without holes.
    """
    directions = np.array(slide.directions)
    tried = [
        start.with_nodes(start.nodes + along * directions)
        for along in np.linspace(slide.high_mm, slide.low_mm, _TRIED)
    ]
    landings = (on("SB-L").landing_mm, ON_SHELL.landing_mm)
    gap_mm = bench.wishes.limits.gap_mm
    found = [
        (
            bar,
            propose_holes(bench.shell, bar, gap_mm=gap_mm, landings_mm=landings, both_sides=True),
        )
        for bar in (pulled, *tried)
    ]
    bar, proposed = min(found, key=lambda one: _worth(one[1], gap_mm))
    return Link(
        bar=bar,
        holes=proposed.holes,
        findings=(*_told(bar, proposed.holes), *_still_near(proposed, gap_mm)),
    )


def _worth(proposed: ProposedHoles, gap_mm: float) -> tuple[float, int, float]:
    """What speaks against holes: gap that lacks beside them, skins that are cut, and how deep."""
    short = 0.0
    for gaps in proposed.measured:
        short += sum(max(0.0, gap_mm - HELD_WITHIN_MM - place.gap_mm) for place in gaps.regions)
        short += 1000.0 * len(gaps.crossings)
    return short, proposed.skins, sum(hole.deep_mm for hole in proposed.holes)


def _still_near(proposed: ProposedHoles, gap_mm: float) -> list[Finding]:
    return [
        too_close(gaps.tube.name, gaps.smallest, gap_mm)
        for gaps in proposed.measured
        if gaps.smallest is not None and gaps.smallest.gap_mm < gap_mm - HELD_WITHIN_MM
    ]


def _told(bar: Bar, holes: tuple[Hole, ...]) -> list[Finding]:
    return [
        Finding(
            code="FIT-053",
            severity=Severity.NOTE,
            sentence=f"Bar {bar.name} passes the bulkhead: a hole of {hole.diameter_mm:g} mm at "
            f"{', '.join(f'{x:.0f}' for x in hole.place_mm)} was put into the plan, {hole.deep_mm:.0f} mm deep along "
            "the bar each way, and its mirror image on the right.",
            todo="Look with 'hoopwright check' at what it cuts. Whether that may be cut is for your rule book and a "
            "competent person.",
            objects=(bar.name, f"{bar.name.removesuffix('-L')}-R"),
            point_mm=hole.place_mm,
            measured=hole.diameter_mm,
            unit="mm",
        )
        for hole in holes
    ]

"""A place in which a tacked part is welded: where it stands, what it takes to get there, what the torch reaches."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, as_node, centreline
from hoopwright.cage import Cage
from hoopwright.findings import Finding
from hoopwright.joints.reach.hanging import held_together
from hoopwright.joints.reach.legs import Leg, box_under_mm, cut_leg, feet_of, leg_problem, not_judged_mm
from hoopwright.joints.reach.moving import Move, MovedBar, Place, follow_move
from hoopwright.joints.reach.obstacles import rods_of
from hoopwright.joints.reach.reached import SeamReach, reach_of
from hoopwright.joints.reach.torch import Torch
from hoopwright.shell.clearance import REACH_MM, GapPlace, TubeGaps, TubeToMeasure, measure_gaps
from hoopwright.shell.shell import Shell

_GAPS_TOLD = 8
"""Regions of one bar that are told: both walls, both slopes of a roof, the roof itself and one more."""


@dataclass(frozen=True, eq=False, kw_only=True)
class CageInShell:
    """What reach is asked of.

    Args:
        cage: The cage, with bars as bent in the place of drawn ones.
        bars: Its bars.
        shell: The shell.
        torch: The torch.
    """

    cage: Cage
    bars: dict[str, Bar]
    shell: Shell
    torch: Torch


@dataclass(frozen=True, eq=False, kw_only=True)
class Part:
    """Bars that are tacked together and moved.

    Args:
        bars: As they are while moved, with their legs cut for the pedestals, in the cage's order.
        legs: What is cut.
        problems: Why legs cannot be cut so.
    """

    bars: dict[str, Bar]
    legs: tuple[Leg, ...]
    problems: tuple[Finding, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Station:
    """A place in which a tacked part is welded.

    Args:
        place: Where it stands.
        part: What stands there.
        pedestal_mm: Height of the pedestals that the part is lifted onto afterwards.
        move: The way there from its last place.
        gaps: Gaps of its bars there.
    """

    place: Place
    part: Part
    pedestal_mm: float
    move: Move
    gaps: tuple[TubeGaps, ...]

    @property
    def near_metal(self) -> dict[str, tuple[GapPlace, ...]]:
        """Of each bar its smallest gaps, one for each region, the nearest metal above it among them.

        It is that metal that a bar is lowered for.
        """
        return {gaps.tube.name: _told_of(gaps.regions) for gaps in self.gaps}

    @property
    def gaps_within_mm(self) -> float:
        """Regions farther away than this are not among the gaps."""
        return REACH_MM


def part_of(inside: CageInShell, names: Iterable[str], pedestal_mm: float) -> Part:
    """A part with its legs cut for pedestals; a bar with a leg that cannot be cut stays whole and is told.

    A leg that stands on a box already is cut only by what the box is too low.
    """
    wanted = frozenset(names)
    bars = {name: bar for name, bar in inside.bars.items() if name in wanted}
    legs, problems = [], []
    for name, end in feet_of(inside.cage, bars) if pedestal_mm > 0.0 else ():
        up_mm = max(0.0, pedestal_mm - box_under_mm(inside.cage, name, end))
        problem = leg_problem(bars[name], end, up_mm) if up_mm > 0.0 else None
        if problem is not None:
            problems.append(problem)
            continue
        bars[name], leg = cut_leg(bars[name], end, up_mm)
        legs.append(leg)
    return Part(bars=bars, legs=tuple(legs), problems=tuple(problems))


def without_flat_legs(inside: CageInShell, names: frozenset[str], pedestal_mm: float) -> frozenset[str]:
    """The bars of a part but for those whose legs cannot be cut for a pedestal, and all that hangs on those."""
    gone = {problem.objects[0] for problem in part_of(inside, names, pedestal_mm).problems}
    return frozenset(name for name in names if not gone & held_together(inside.cage, (name,)))


def pivot_of(inside: CageInShell, names: Iterable[str]) -> tuple[float, float, float]:
    """The middle of a part's feet, about which it is tilted; the origin where it has none."""
    feet = [
        inside.bars[name].nodes[0 if end == "A" else -1]
        for name, end in feet_of(inside.cage, [name for name in inside.bars if name in set(names)])
    ]
    return as_node(np.mean(feet, axis=0)) if feet else (0.0, 0.0, 0.0)


def reach_there(
    inside: CageInShell, part: Part, place: Place, before: Sequence[SeamReach]
) -> tuple[SeamReach, ...]:
    """The reach of seams of a part that stands in a place with nothing but itself in the shell.

    Args:
        inside: What is asked of.
        part: The part, with both bars of every seam.
        place: Where it stands.
        before: The seams in their last place, and what their own bars leave open.
    """
    rotation, shift = place.motion()
    rods = rods_of(part.bars).moved(rotation, shift)
    return tuple(
        reach_of(one.seam.moved(rotation, shift), inside.torch, inside.shell, rods, alone=one.alone)
        for one in before
    )


def station_at(inside: CageInShell, part: Part, place: Place, pedestal_mm: float) -> Station:
    """Stand a part in a place: the way there and its gaps.

    Ways are tried in turn until one touches nothing: down and then aside, both at once, aside and then down.
    """
    moved = moved_bars(inside.cage, part)
    moves = []
    for stages in _ways_to(place):
        moves.append(follow_move(inside.shell, moved, stages))
        if moves[-1].is_free:
            break
    return Station(
        place=place,
        part=part,
        pedestal_mm=pedestal_mm,
        move=moves[-1] if moves[-1].is_free else max(moves, key=lambda move: move.went_mm),
        gaps=gaps_there(inside, part, place),
    )


def _ways_to(place: Place) -> tuple[tuple[Place, ...], ...]:
    start = Place(about_mm=place.about_mm)
    if place.drop_mm <= 0.0 or not (place.shift_mm or place.tilt_deg):
        return ((start, place),)
    down, aside = replace(start, drop_mm=place.drop_mm), replace(place, drop_mm=0.0)
    return (start, down, place), (start, place), (start, aside, place)


def moved_bars(cage: Cage, part: Part) -> tuple[MovedBar, ...]:
    """The bars of a part as they are moved."""
    feet = set(feet_of(cage, part.bars))
    return tuple(
        MovedBar(
            name=name,
            path=centreline(bar),
            od_mm=bar.tube.od_mm,
            not_judged_a_mm=not_judged_mm(cage.member(name).end_a, bar.tube.od_mm, (name, "A") in feet),
            not_judged_b_mm=not_judged_mm(cage.member(name).end_b, bar.tube.od_mm, (name, "B") in feet),
        )
        for name, bar in part.bars.items()
    )


def gaps_there(inside: CageInShell, part: Part, place: Place) -> tuple[TubeGaps, ...]:
    """Gaps of a part's bars to the shell in a place."""
    rotation, shift = place.motion()
    tubes = []
    for moved in moved_bars(inside.cage, part):
        bar = part.bars[moved.name]
        member = inside.cage.member(moved.name)
        tubes.append(
            TubeToMeasure(
                name=moved.name,
                path=centreline(bar.with_nodes(bar.nodes @ rotation.T + shift)),
                od_mm=moved.od_mm,
                landing_a_mm=member.end_a.landing_mm,
                landing_b_mm=member.end_b.landing_mm,
            )
        )
    return measure_gaps(inside.shell, tubes)


def _told_of(regions: tuple[GapPlace, ...]) -> tuple[GapPlace, ...]:
    near = regions[:_GAPS_TOLD]
    above = next((place for place in regions if _is_above(place)), None)
    return near if above is None or above in near else (*near[:-1], above)


def _is_above(place: GapPlace) -> bool:
    """Whether metal lies within 45 degrees of straight above the bar."""
    way = np.array(place.metal_mm) - np.array(place.axis_mm)
    return bool(way[2] > np.hypot(way[0], way[1]))

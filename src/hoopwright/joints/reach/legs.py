"""Legs that are cut shorter by a pedestal, so that the tacked part may stand lower while it is welded."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hoopwright.bars import Bar, Node, as_node, as_nodes, bend_table
from hoopwright.cage import Cage, End, bar_of
from hoopwright.findings import Finding
from hoopwright.geometry import unit_vector

FOOT_ASIDE_MM = 30.0
"""How far aside of its place a foot may come to stand, for its plate's sake; common practice, no source."""
_FREE_FOOT = 0.7


@dataclass(frozen=True, kw_only=True)
class Leg:
    """The foot of a bar, before and after it is cut shorter.

    Args:
        bar_id: The bar.
        end: The end that stands.
        up_mm: How much higher its foot comes to stand: the height of its pedestal.
        foot_mm: Its foot now.
        new_foot_mm: Its foot on the pedestal.
        straight_mm: Its last straight now, to the first bend's tangent point.
        new_straight_mm: The same when it is cut.
    """

    bar_id: str
    end: Literal["A", "B"]
    up_mm: float
    foot_mm: Node
    new_foot_mm: Node
    straight_mm: float
    new_straight_mm: float


def feet_of(cage: Cage, bars: Iterable[str]) -> tuple[tuple[str, Literal["A", "B"]], ...]:
    """Ends of bars that stand on the shell; an end that lands on nothing counts where its leg goes down steeply."""
    found: list[tuple[str, Literal["A", "B"]]] = []
    letters: tuple[Literal["A", "B"], Literal["A", "B"]] = ("A", "B")
    for name in bars:
        member, bar = cage.member(name), bar_of(cage, name)
        for letter, end in zip(letters, (member.end_a, member.end_b), strict=True):
            if end.kind == "shell" or (end.kind == "free" and -_leg_way(bar, letter)[2] > _FREE_FOOT):
                found.append((name, letter))
    return tuple(found)


def box_under_mm(cage: Cage, bar_id: str, end: Literal["A", "B"]) -> float:
    """Height of the box that a foot stands on already; a mirrored bar has the boxes of the bar that it mirrors."""
    own = cage.member(bar_id).mirror_of or bar_id
    return max((one.height_mm for one in cage.landings if (one.bar_id, one.end) == (own, end)), default=0.0)


def cut_leg(bar: Bar, end: Literal["A", "B"], up_mm: float) -> tuple[Bar, Leg]:
    """A bar with one end cut off along its last straight, so that it stands higher.

    Args:
        bar: The bar.
        end: The end that stands.
        up_mm: How much higher.
    """
    way = _leg_way(bar, end)
    cut_mm = up_mm / max(abs(float(way[2])), 1e-6)
    nodes = bar.nodes.copy()
    at = 0 if end == "A" else -1
    foot = nodes[at].copy()
    nodes[at] = foot - cut_mm * way * (1.0 if way[2] < 0.0 else -1.0)
    straight = _end_straight_mm(bar, end)
    leg = Leg(
        bar_id=bar.name,
        end=end,
        up_mm=up_mm,
        foot_mm=as_node(foot),
        new_foot_mm=as_node(nodes[at]),
        straight_mm=straight,
        new_straight_mm=straight - cut_mm,
    )
    return bar.with_nodes(as_nodes(nodes)), leg


def leg_problem(bar: Bar, end: Literal["A", "B"], up_mm: float) -> Finding | None:
    """Why a leg cannot be cut for a pedestal of a height, or None."""
    way = _leg_way(bar, end)
    upright = -float(way[2])
    place = as_node(bar.nodes[0 if end == "A" else -1])
    aside = up_mm * float(np.hypot(way[0], way[1])) / max(upright, 1e-6)
    if upright <= 0.0 or aside > FOOT_ASIDE_MM:
        angle = float(np.degrees(np.arcsin(np.clip(upright, -1.0, 1.0))))
        return Finding(
            code="REACH-006",
            sentence=f"Bar {bar.name}: its leg at end {end} lies {angle:.0f}° from level, so on a pedestal "
            f"of {up_mm:.0f} mm its foot would stand {min(aside, 9999.0):.0f} mm aside of its place (limit "
            f"{FOOT_ASIDE_MM:g} mm).",
            todo="Fit this bar after the part is lifted back, or let its foot through a hole while the part is low.",
            objects=(bar.name,),
            point_mm=place,
            measured=min(aside, 9999.0),
            limit=FOOT_ASIDE_MM,
            unit="mm",
        )
    straight, cut = _end_straight_mm(bar, end), up_mm / upright
    room = straight - bar.tube.od_mm
    if cut > room:
        return Finding(
            code="REACH-007",
            sentence=f"Bar {bar.name}: a pedestal of {up_mm:.0f} mm takes {cut:.1f} mm off the leg at end {end}, but "
            f"its last straight of {straight:.1f} mm has only {max(0.0, room):.1f} mm to give before the bend.",
            todo="Take less drop and a shift with it, or let the foot through a hole in the floor.",
            objects=(bar.name,),
            point_mm=place,
            measured=cut,
            limit=max(0.0, room),
            unit="mm",
        )
    return None


def not_judged_mm(end: End, od_mm: float, stands: bool) -> float:
    """Length at an end that is not held against the shell while the part is moved."""
    if stands:
        return max(end.landing_mm, 2.0 * od_mm)
    return 0.0


def _leg_way(bar: Bar, end: str) -> np.ndarray:
    """Unit direction out of the bar at an end."""
    nodes = bar.nodes[::-1] if end == "A" else bar.nodes
    return unit_vector(nodes[-1] - nodes[-2])


def _end_straight_mm(bar: Bar, end: str) -> float:
    if bar.bend_count == 0:
        return float(np.linalg.norm(bar.nodes[-1] - bar.nodes[0]))
    straights = bend_table(bar).straights_mm
    return straights[0] if end == "A" else straights[-1]

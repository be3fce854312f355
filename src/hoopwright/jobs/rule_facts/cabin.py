"""How a main hoop stands in the car's inside, measured against the scan at the height of a driver's shoulder.

No book that we know says how it measures. Ours, which each row prints: level and straight across the car, from the leg
of the hoop to the first metal of the scan, and beside it the same taken in another way.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, Node, bend_table
from hoopwright.cage import Member, Role
from hoopwright.geometry import FilletedPath
from hoopwright.jobs.rule_facts.hoops import Leg, legs_beside
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import Measured
from hoopwright.rules.kinds.outcome import by_hand
from hoopwright.shell.shell import Shell
from hoopwright.units import shown

CABIN_MEASURES = ("hoop width ratio", "leg to cabin side")
"""Measures that need the scan beside the hoop."""

_TOP_BEND_DEG = 20.0
_STEP_MM = 10.0
_SPREAD_MM = np.array([-20.0, -10.0, 0.0, 10.0, 20.0])
_FARTHEST_MM = 400.0
"""Metal farther away than this is not the side beside the leg, but what is seen through a window: our choice."""


@dataclass(frozen=True, kw_only=True)
class _Side:
    """A leg and the side of the car beside it.

    Args:
        leg: The leg, level at the shoulder's height.
        place_mm: Of its axis.
        across_mm: From the axis, level and across the car, to the first metal.
        nearest_mm: From the axis to the nearest metal in any direction.
    """

    leg: Leg
    place_mm: Node
    across_mm: float
    nearest_mm: float


def cabin_measures(scene: Scene, whole: Shell) -> Iterator[Measured]:
    """Width of each main hoop over the inside width of the car, and from its legs to the sides of the cabin.

    Args:
        scene: The project.
        whole: Its scan.
    """
    for hoop in scene.of_role(Role.MAIN_HOOP):
        shoulders = [one.shoulder_mm for one in scene.cage.drivers if one.shoulder_mm is not None]
        if not shoulders:
            yield from (_missing(hoop, name, "give the driver's shoulder") for name in CABIN_MEASURES)
        for shoulder in shoulders:
            yield from _at_shoulder(scene, whole, hoop, shoulder)


def _at_shoulder(scene: Scene, whole: Shell, hoop: Member, shoulder_mm: Node) -> Iterator[Measured]:
    points, radius = scene.points(hoop.member_id), hoop.tube.od_mm / 2.0
    legs = legs_beside(points, shoulder_mm, radius)
    if legs is None:
        why = "the hoop has no leg on both sides of the driver at his shoulder's height"
        yield from (_missing(hoop, name, why) for name in CABIN_MEASURES)
        return
    sides = [_side(whole, leg, shoulder_mm[2], way) for leg, way in zip(legs, (1.0, -1.0), strict=True)]
    for words, side in zip(("left", "right"), sides, strict=True):
        if side is None:
            why = f"no metal of the scan beside the {words} leg at the shoulder within {_FARTHEST_MM:g} mm"
            yield _missing(hoop, "leg to cabin side", why)
        else:
            yield Measured(
                name="leg to cabin side",
                about=hoop.member_id,
                role=hoop.role,
                measured=side.across_mm - side.leg.half_mm,
                other=side.nearest_mm - radius,
                note=f"the {words} leg",
                place_mm=side.place_mm,
            )
    left, right = sides
    if left is None or right is None:
        yield _missing(hoop, "hoop width ratio", "no metal of the scan beside both legs at the shoulder")
        return
    inside = legs[0].left_mm + left.across_mm - (legs[1].left_mm - right.across_mm)
    widths = _widths(scene, hoop, shoulder_mm)
    yield Measured(
        name="hoop width ratio",
        about=hoop.member_id,
        role=hoop.role,
        measured=min(widths) / inside,
        other=widths[0] / inside,
        note=f"hoop {shown(min(widths), 0)} mm at its narrowest, {shown(widths[0], 0)} mm at the shoulder; inside of "
        f"the car {shown(inside, 0)} mm, level at the hoop's legs",
        place_mm=left.place_mm,
    )


def _side(whole: Shell, leg: Leg, up_mm: float, way: float) -> _Side | None:
    """The side of the cabin beside a leg: the middle of several hits, since one may slip through a hole."""
    place = (leg.forward_mm, leg.left_mm, up_mm)
    offsets = np.array([[forward, 0.0, up] for forward in _SPREAD_MM for up in _SPREAD_MM])
    hits = whole.first_hits(
        np.array(place) + offsets,
        np.broadcast_to(np.array([0.0, way, 0.0]), offsets.shape),
        reach_mm=_FARTHEST_MM,
    ).distance_mm
    across = float(np.median(hits))
    if not math.isfinite(across):
        return None
    nearest = float(whole.nearest(np.array([place])).distance_mm[0])
    return _Side(leg=leg, place_mm=place, across_mm=across, nearest_mm=nearest)


def _widths(scene: Scene, hoop: Member, shoulder_mm: Node) -> list[float]:
    """Outside width of a hoop, level, at the shoulder and from there up to where its top bends begin."""
    name, radius = hoop.member_id, hoop.tube.od_mm / 2.0
    points = scene.points(name)
    top = _legs_reach(scene.bars[name], scene.paths[name])
    heights = [shoulder_mm[2], *np.arange(shoulder_mm[2] + _STEP_MM, top, _STEP_MM)]
    if top > shoulder_mm[2]:
        heights.append(top)
    found = [legs_beside(points, (shoulder_mm[0], shoulder_mm[1], float(up)), radius) for up in heights]
    return [
        legs[0].left_mm + legs[0].half_mm - legs[1].left_mm + legs[1].half_mm
        for legs in found
        if legs is not None
    ]


def _legs_reach(bar: Bar, path: FilletedPath) -> float:
    """Height at which the lower of a hoop's two top bends begins: on each side the highest bend of over 20 degrees."""
    table = bend_table(bar)
    begins: dict[bool, float] = {}
    at = 0.0
    for straight, arc, angle in zip(table.straights_mm, table.arcs_mm, table.angles_deg, strict=False):
        ends = path.at(np.array([at + straight, at + straight + arc]))
        at += straight + arc
        is_left, begin = bool(ends[:, 1].mean() > 0.0), float(ends[:, 2].min())
        if angle > _TOP_BEND_DEG:
            begins[is_left] = max(begin, begins.get(is_left, begin))
    return min(begins.values(), default=-math.inf)


def _missing(hoop: Member, name: str, why: str) -> Measured:
    how = f"{why}, or measure it by hand: {by_hand(hoop.member_id, name)}"
    return Measured(name=name, about=hoop.member_id, role=hoop.role, missing=how)

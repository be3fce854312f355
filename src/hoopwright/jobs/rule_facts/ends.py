"""Distances from the ends of bars to feet, joints and corners: along the tubes between places where axes cross.

Books do not say how they measure; each distance goes with the straight one between the same places.
"""

import itertools
import math
from collections.abc import Iterator

import numpy as np

from hoopwright.bars import Node, as_node, bend_table
from hoopwright.cage import EndMeeting, Role, side_of
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import Measured
from hoopwright.rules.measures import MEASURES

_HOOPS = (Role.MAIN_HOOP, Role.FRONT_HOOP)
_SAME_MM = 1.0
_TOP_BEND_DEG = 20.0
_ONE_PLACE_MM = 5.0


def end_measures(scene: Scene) -> Iterator[Measured]:
    """Everything that is measured from ends of bars along what they end on."""
    for member in scene.cage.members:
        name = member.member_id
        if name not in scene.bars:
            continue
        ends = [end for end in scene.meetings if end.bar_id == name and end.meets]
        yield from _below_tops(scene, ends)
        if member.role not in _HOOPS:
            yield _end_to_foot(scene, name, ends)
            yield _to_backstay(scene, name, ends)
            yield _to_corner(scene, name, ends)
            yield from _to_junctions(scene, name, ends)
    yield from _spacings(scene)


def _below_tops(scene: Scene, ends: list[EndMeeting]) -> Iterator[Measured]:
    for end in ends:
        role = scene.role(end.on)
        name = {Role.MAIN_HOOP: "below hoop top", Role.FRONT_HOOP: "below front hoop top"}.get(role)
        if name is not None:
            upright = scene.top(end.on) - end.place_mm[2]
            along = scene.to_top_mm(end.on, scene.along(end.on, end.place_mm))
            yield _at(scene, name, end, upright, along)


def _end_to_foot(scene: Scene, bar_id: str, ends: list[EndMeeting]) -> Measured:
    end = _lower(scene, bar_id, ends)
    if end is None:
        return _missing(scene, "end to foot", bar_id)
    feet = scene.feet(end.on)
    if not feet:
        return _missing(scene, "end to foot", bar_id)
    at = scene.along(end.on, end.place_mm)
    _, foot, _ = min(feet, key=lambda one: abs(one[2] - at))
    return _at(scene, "end to foot", end, min(abs(s - at) for _, _, s in feet), math.dist(foot, end.place_mm))


def _to_backstay(scene: Scene, bar_id: str, ends: list[EndMeeting]) -> Measured:
    """To the joint of the nearest backstay with the hoop, along the hoop or along the backstay."""
    name = "end to backstay joint"
    end = _upper(scene, bar_id, ends)
    if end is None or scene.role(bar_id) is Role.BACKSTAY:
        return _missing(scene, name, bar_id)
    if scene.role(end.on) is Role.BACKSTAY:
        joints = [one for one in scene.meetings if one.bar_id == end.on and scene.role(one.on) in _HOOPS]
    else:
        joints = [one for one in scene.joints_on(end.on) if scene.role(one.bar_id) is Role.BACKSTAY]
    if not joints:
        return _missing(scene, name, bar_id)
    return _nearest(scene, name, end, [one.place_mm for one in joints])


def _to_corner(scene: Scene, bar_id: str, ends: list[EndMeeting]) -> Measured:
    name = "end to hoop corner"
    end = _upper(scene, bar_id, ends)
    side = {"L": 1.0, "R": -1.0}.get(scene.project.car.driver_side)
    if end is None or side is None or scene.role(end.on) is not Role.MAIN_HOOP:
        why = "" if side is not None else "the driver's side of the car: 'hoopwright car --driver-side'"
        return _missing(scene, name, bar_id, why)
    corners = _top_corners(scene, end.on)
    on_side = [corner for corner in corners if corner[1] * side > 0.0]
    return _nearest(scene, name, end, on_side) if on_side else _missing(scene, name, bar_id)


def _top_corners(scene: Scene, hoop: str) -> list[Node]:
    """Middles of the bends at both ends of a hoop's top: on each side the highest bend of more than 20 degrees."""
    table, path = bend_table(scene.bars[hoop]), scene.paths[hoop]
    corners: dict[float, Node] = {}
    at = 0.0
    for straight, arc, angle in zip(table.straights_mm, table.arcs_mm, table.angles_deg, strict=False):
        place = as_node(path.at(at + straight + arc / 2.0)[0])
        at += straight + arc
        side = math.copysign(1.0, place[1])
        if angle > _TOP_BEND_DEG and (side not in corners or place[2] > corners[side][2]):
            corners[side] = place
    return list(corners.values())


def _to_junctions(scene: Scene, bar_id: str, ends: list[EndMeeting]) -> Iterator[Measured]:
    """From each end to the nearest place where two other bars join, along the bar that it ends on."""
    name = "end to junction"
    if len(ends) < 2:
        yield _missing(scene, name, bar_id)
        return
    for end in ends:
        others = [one.place_mm for one in scene.joints_on(end.on) if one.bar_id != bar_id]
        others += [
            one.place_mm for one in scene.meetings if one.bar_id == end.on and one.on != bar_id and one.meets
        ]
        yield _nearest(scene, name, end, others) if others else _missing(scene, name, bar_id)


def _spacings(scene: Scene) -> Iterator[Measured]:
    """Between the ends of neighbouring door bars, along the bar that both end on."""
    doors = {one.member_id: side_of(scene.bars[one.member_id]) for one in scene.of_role(Role.DOOR_BAR)}
    for header, side in itertools.product(scene.bars, ("L", "R", "")):
        ends = [end for end in scene.joints_on(header) if doors.get(end.bar_id) == side]
        ends.sort(key=lambda end: scene.along(header, end.place_mm))
        for one, other in itertools.pairwise(ends):
            apart = scene.along(header, other.place_mm) - scene.along(header, one.place_mm)
            if one.bar_id != other.bar_id and apart > _ONE_PLACE_MM:
                yield Measured(
                    name="bar spacing",
                    about=f"{one.bar_id} and {other.bar_id}",
                    role=Role.DOOR_BAR,
                    measured=apart,
                    place_mm=one.place_mm,
                )


def _lower(scene: Scene, bar_id: str, ends: list[EndMeeting]) -> EndMeeting | None:
    return _end_at(scene, bar_id, ends, lowest=True)


def _upper(scene: Scene, bar_id: str, ends: list[EndMeeting]) -> EndMeeting | None:
    return _end_at(scene, bar_id, ends, lowest=False)


def _end_at(scene: Scene, bar_id: str, ends: list[EndMeeting], *, lowest: bool) -> EndMeeting | None:
    """The lower or upper end of a bar, where it lands on another; None where the bar is level."""
    nodes = scene.bars[bar_id].nodes_mm
    fall = nodes[0][2] - nodes[-1][2]
    if abs(fall) < _SAME_MM:
        return None
    letter = "B" if (fall > 0.0) is lowest else "A"
    return next((end for end in ends if end.end == letter), None)


def _nearest(scene: Scene, name: str, end: EndMeeting, places: list[Node]) -> Measured:
    at = scene.along(end.on, end.place_mm)
    along = np.array([abs(scene.along(end.on, place) - at) for place in places])
    nearest = int(np.argmin(along))
    return _at(scene, name, end, float(along[nearest]), math.dist(places[nearest], end.place_mm))


def _at(scene: Scene, name: str, end: EndMeeting, distance_mm: float, other_mm: float) -> Measured:
    return Measured(
        name=name,
        about=end.bar_id,
        role=scene.role(end.bar_id),
        measured=distance_mm,
        other=other_mm,
        place_mm=end.place_mm,
    )


def _missing(scene: Scene, name: str, bar_id: str, why: str = "") -> Measured:
    return Measured(
        name=name,
        about=bar_id,
        role=scene.role(bar_id),
        missing=f"give {why or MEASURES[name].give}",
        place_mm=scene.middle(bar_id),
    )

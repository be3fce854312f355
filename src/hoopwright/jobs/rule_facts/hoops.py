"""What is measured of hoops, and of straight bars."""

import math
from collections.abc import Iterator

import numpy as np

from hoopwright.cage import Role
from hoopwright.geometry import Vector, angle_between_deg
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import Measured

_HOOPS = (Role.MAIN_HOOP, Role.FRONT_HOOP)
_HOOP_BY_HAND = ("hoop lean above", "hoop lean below, rearward", "hoop width ratio", "leg to cabin side")
_FLAT = 1e-3


def hoop_measures(scene: Scene) -> Iterator[Measured]:
    """Lean, room between the legs, angles of bars to their hoop, and the longest free straights."""
    for hoop in scene.of_role(*_HOOPS):
        name = hoop.member_id
        normal = _normal(scene, name)
        if normal is not None:
            yield Measured(
                name="hoop lean",
                about=name,
                role=hoop.role,
                measured=_lean_deg(normal),
                place_mm=scene.middle(name),
            )
        feet = scene.feet(name)
        if len(feet) == 2:
            between = math.dist(feet[0][1], feet[1][1]) - hoop.tube.od_mm
            yield Measured(
                name="between legs", about=name, role=hoop.role, measured=between, place_mm=feet[0][1]
            )
        if normal is not None:
            yield from _to_hoop(scene, name, normal)
    yield from _straights(scene)


def by_hand_measures(scene: Scene) -> Iterator[Measured]:
    """What books ask of hoops that is not taken from the model: not known until measured by hand."""
    for hoop in scene.of_role(*_HOOPS):
        for name in _HOOP_BY_HAND:
            yield _by_hand(name, hoop.member_id, hoop.role)


def _by_hand(name: str, about: str, role: Role) -> Measured:
    how = f"measure it by hand: hoopwright measured PROJECT '{about}' --value '{name}=...'"
    return Measured(name=name, about=about, role=role, missing=how)


def _normal(scene: Scene, hoop: str) -> Vector | None:
    """Unit normal of the plane that fits a hoop best; None for a straight bar."""
    nodes = scene.bars[hoop].nodes
    if len(nodes) < 3:
        return None
    _, spread, axes = np.linalg.svd(nodes - nodes.mean(axis=0))
    return axes[2] if spread[1] > _FLAT * spread[0] else None


def _lean_deg(normal: Vector) -> float:
    """Of the hoop's plane from the vertical, in side view."""
    return math.degrees(math.atan2(abs(float(normal[2])), abs(float(normal[0]))))


def _to_hoop(scene: Scene, hoop: str, normal: Vector) -> Iterator[Measured]:
    lean = np.array([-normal[2], 0.0, normal[0]])
    for end in scene.joints_on(hoop):
        nodes = scene.bars[end.bar_id].nodes
        away = nodes[1] - nodes[0] if end.end == "A" else nodes[-2] - nodes[-1]
        way = away / np.linalg.norm(away)
        true = math.degrees(math.asin(min(1.0, abs(float(way @ normal)))))
        flat = np.array([way[0], 0.0, way[2]])
        seen = None
        if np.linalg.norm(flat) > _FLAT and np.linalg.norm(lean) > _FLAT:
            angle = angle_between_deg(flat, lean)
            seen = min(angle, 180.0 - angle)
        yield Measured(
            name="bar to hoop",
            about=end.bar_id,
            role=scene.role(end.bar_id),
            measured=true,
            other=seen,
            place_mm=end.place_mm,
        )


def _straights(scene: Scene) -> Iterator[Measured]:
    """The longest stretch between ends and joints of every straight bar."""
    for name, bar in scene.bars.items():
        if bar.bend_count:
            continue
        length = scene.paths[name].length_mm
        joints = sorted({0.0, length, *(scene.along(name, end.place_mm) for end in scene.joints_on(name))})
        yield Measured(
            name="longest straight",
            about=name,
            role=scene.role(name),
            measured=float(np.diff(joints).max()),
            place_mm=scene.middle(name),
        )

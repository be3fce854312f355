"""What is measured of hoops, and of straight bars."""

import itertools
import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage import Role
from hoopwright.geometry import Points, Vector, angle_between_deg
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import Measured
from hoopwright.rules.measures import MEASURES

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


def front_feet(scene: Scene) -> Iterator[Measured]:
    """How far the front foot of each bar stands behind the foremost place of its axis."""
    for name in scene.bars:
        feet = scene.feet(name)
        if feet:
            _, foot, _ = max(feet, key=lambda one: one[1][0])
            behind = max(0.0, float(scene.points(name)[:, 0].max()) - foot[0])
            yield Measured(
                name="foot behind foremost",
                about=name,
                role=scene.role(name),
                measured=behind,
                place_mm=foot,
            )


def shoulder_widths(scene: Scene) -> Iterator[Measured]:
    """Room between the legs of each main hoop at the height of each driver's shoulder."""
    name = "width at shoulders"
    for hoop, driver in itertools.product(scene.of_role(Role.MAIN_HOOP), scene.cage.drivers):
        if driver.shoulder_mm is None:
            continue
        legs = legs_beside(scene.points(hoop.member_id), driver.shoulder_mm, hoop.tube.od_mm / 2.0)
        axes = None if legs is None else legs[0].left_mm - legs[1].left_mm
        inside = None if legs is None or axes is None else axes - legs[0].half_mm - legs[1].half_mm
        yield Measured(
            name=name,
            about=hoop.member_id,
            role=hoop.role,
            measured=inside,
            other=axes,
            missing=f"give {MEASURES[name].give}" if legs is None else "",
            place_mm=driver.shoulder_mm,
        )


@dataclass(frozen=True, kw_only=True)
class Leg:
    """A leg of a hoop where it is cut level.

    Args:
        forward_mm: Place of its axis, forward.
        left_mm: Place of its axis, left.
        half_mm: Half the width of the cut across the car.
    """

    forward_mm: float
    left_mm: float
    half_mm: float


def legs_beside(points: Points, middle_mm: Node, radius_mm: float) -> tuple[Leg, Leg] | None:
    """The left and the right leg of a hoop beside a place, cut level at its height; None where one is not there.

    Args:
        points: Places along the hoop's axis, shape (n, 3).
        middle_mm: A place between the legs.
        radius_mm: Half the tube's outside diameter.
    """
    legs: dict[bool, Leg] = {}
    for one, other in itertools.pairwise(points):
        if (one[2] - middle_mm[2]) * (other[2] - middle_mm[2]) > 0.0 or one[2] == other[2]:
            continue
        at = one + (other - one) * (middle_mm[2] - one[2]) / (other[2] - one[2])
        left = float(at[1])
        _, across, up = (other - one) / np.linalg.norm(other - one)
        # the level cut of a leaning tube is an ellipse: this is half its width across the car
        half = radius_mm * math.sqrt(across**2 + up**2) / abs(up)
        side = left > middle_mm[1]
        away = abs(left - middle_mm[1])
        if side not in legs or away < abs(legs[side].left_mm - middle_mm[1]):
            legs[side] = Leg(forward_mm=float(at[0]), left_mm=left, half_mm=half)
    return (legs[True], legs[False]) if len(legs) == 2 else None


def by_hand_measures(scene: Scene, taken: Collection[tuple[str, str]] = ()) -> Iterator[Measured]:
    """What books ask of hoops that is not taken from the model: not known until measured by hand.

    Args:
        scene: The project.
        taken: Measure and bar of what was taken from the model after all.
    """
    for hoop in scene.of_role(*_HOOPS):
        for name in _HOOP_BY_HAND:
            if (name, hoop.member_id) in taken:
                continue
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

"""How the bolts of a foot stand about its tube, from the plate as it was fitted."""

import math
from collections.abc import Iterator

import numpy as np

from hoopwright.cage import feet_of
from hoopwright.geometry import Points, Vector, unit_vector
from hoopwright.jobs.hand_measures import foot_name
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.joints.landing import FittedLanding
from hoopwright.rules.facts import Measured
from hoopwright.rules.kinds.outcome import by_hand

_NAME = "bolt spacing"
_OFF_AXIS_MM = 1.0


def bolt_measures(scene: Scene, landed: tuple[LandedFoot, ...] | None) -> Iterator[Measured]:
    """The least angle between neighbouring bolts of each foot that has several.

    Not known without a plate that was fitted to the scan, and where another number of bolts was counted by hand.

    Args:
        scene: The project.
        landed: Landings as fitted to the scan; None without a scan.
    """
    fitted = {(one.foot.bar_id, one.foot.end): one.fitted for one in landed or ()}
    for foot in feet_of(scene.cage):
        name, role = foot_name(foot.bar_id, foot.end), scene.role(foot.bar_id)
        counted = scene.measured(name, "bolts")
        count = counted if counted is not None else 0 if foot.landing is None else foot.landing.bolts
        if count < 2:
            continue
        plate = fitted.get((foot.bar_id, foot.end))
        spacing = None
        if plate is not None and foot.bar_id in scene.bars and len(plate.bolts_mm) == count:
            nodes = scene.bars[foot.bar_id].nodes
            at, inner = (nodes[0], nodes[1]) if foot.end == "A" else (nodes[-1], nodes[-2])
            spacing = spacing_deg(plate, at, unit_vector(inner - at))
        yield Measured(
            name=_NAME,
            about=name,
            role=role,
            measured=None if spacing is None else spacing[0],
            other=None if spacing is None else spacing[1],
            missing="" if spacing is not None else f"measure it by hand: {by_hand(name, _NAME)}",
            place_mm=None if plate is None else plate.bolts_mm[0] if plate.bolts_mm else None,
        )


def spacing_deg(plate: FittedLanding, at_mm: Vector, axis: Vector) -> tuple[float, float] | None:
    """The least angle between neighbouring bolts about the tube, and as seen square to the plate.

    Args:
        plate: The plate with its bolts.
        at_mm: A place on the tube's axis at the foot.
        axis: Its direction, unit length.

    Returns:
        None where the axis runs along the plate, or through a bolt.
    """
    bolts = np.array(plate.bolts_mm)
    normal = plate.faces[0].plane.normal
    if abs(float(axis @ normal)) < 0.1:
        return None
    middle = at_mm + axis * (float((bolts[0] - at_mm) @ normal) / float(axis @ normal))
    about_tube, square = (_least_gap_deg(bolts - middle, along) for along in (axis, normal))
    return None if about_tube is None or square is None else (about_tube, square)


def _least_gap_deg(offsets_mm: Points, along: Vector) -> float | None:
    """The least angle between neighbours of places about an axis through the origin; None with one on the axis."""
    first = unit_vector(np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))]))
    second = np.cross(along, first)
    x, y = offsets_mm @ first, offsets_mm @ second
    if float(np.hypot(x, y).min()) < _OFF_AXIS_MM:
        return None
    turns = np.sort(np.degrees(np.arctan2(y, x)))
    return float(np.diff([*turns, turns[0] + math.degrees(2.0 * math.pi)]).min())

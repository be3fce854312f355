"""What the tube may hit at one bend: the room, the head and the operator's place, seen from the head."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.room.fields import Obstacles, block, half_space, rails, together
from hoopwright.bender.room.solids import BENDERS_OWN, Solid
from hoopwright.bender.room.standing import StandingBender
from hoopwright.geometry import rotation_about

_SIDES = {"ahead": (1.0, 0.0), "behind": (-1.0, 0.0), "left": (0.0, 1.0), "right": (0.0, -1.0)}


@dataclass(frozen=True, eq=False, kw_only=True)
class Surroundings:
    """Obstacles by name.

    Args:
        names: Name of each obstacle.
        stands: `room`, `head`, `frame` or `operator` for each.
        obstacles: The obstacles, head frame, in that order.
    """

    names: tuple[str, ...]
    stands: tuple[str, ...]
    obstacles: Obstacles


def head_from_machine(tilt_deg: float) -> NDArray[np.float64]:
    """Rotation, shape (3, 3), that takes the machine frame to the head's."""
    return rotation_about((1.0, 0.0, 0.0), tilt_deg)


def surroundings(bender: StandingBender, own: tuple[Solid, ...], tilt_deg: float) -> Surroundings:
    """Floor, ceiling, walls and solids as the head sees them at a tilt.

    Args:
        bender: The bender in its room.
        own: The bender's own solids; those of the head tilt with it.
        tilt_deg: The tilt.
    """
    up = np.array([0.0, 0.0, 1.0])
    rows: list[tuple[str, str, Obstacles]] = [("floor", "room", half_space(up, -bender.axis_height_mm))]
    if bender.ceiling_mm is not None:
        rows.append(("ceiling", "room", half_space(-up, bender.axis_height_mm - bender.ceiling_mm)))
    for side, distance in bender.walls.items():
        if distance is not None:
            rows.append((f"wall {side}", "room", half_space(-np.array([*_SIDES[side], 0.0]), -distance)))
    upright = [solid for solid in bender.solids if solid.stands not in BENDERS_OWN]
    upright += [solid for solid in own if solid.stands == "frame"]
    rows += [(solid.name, solid.stands, as_obstacle(solid)) for solid in upright]
    turn = head_from_machine(tilt_deg)
    seen = [(name, stands, obstacle.turned(turn)) for name, stands, obstacle in rows]
    seen += [(solid.name, "head", as_obstacle(solid)) for solid in own if solid.stands == "head"]
    return Surroundings(
        names=tuple(name for name, _, _ in seen),
        stands=tuple(stands for _, stands, _ in seen),
        obstacles=together([obstacle for _, _, obstacle in seen]),
    )


def as_obstacle(solid: Solid) -> Obstacles:
    """A solid as an obstacle in the frame that it was given in."""
    middle, size = np.array(solid.middle_mm), np.array(solid.size_mm)
    if solid.kind == "rail":
        return rails(middle[None], size[None], solid.radius_mm)
    turn_rad = math.radians(solid.turned_deg)
    cos, sin = math.cos(turn_rad), math.sin(turn_rad)
    axes = np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
    return block(axes, middle, size / 2.0, round_about_z=solid.kind == "post")

"""Bend table from nodes, and nodes from a bend table.

Signs: looking along the travel from end A to end B, a positive rotation is clockwise (right-hand rule
about the travel). `docs/conventions.md` has the figure.
"""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars.bar import Bar, Node, as_nodes
from hoopwright.bars.bendable import check_shape, refuse_table
from hoopwright.findings import UserError, stopping
from hoopwright.geometry import (
    STRAIGHT_THROUGH_DEG,
    Vector,
    angle_between_deg,
    rotation_about,
    signed_angle_about_deg,
    unit_vector,
    wrap_deg,
)


@dataclass(frozen=True, kw_only=True)
class BendTable:
    """Straights, rotations and angles from end A to end B.

    Args:
        straights_mm: Tangent to tangent, one more than there are bends.
        rotations_deg: Turn of the bend plane before each bend, in (-180, 180]; the first is 0.
        angles_deg: Change of direction at each bend.
        clr_mm: Centreline radius.
    """

    straights_mm: tuple[float, ...]
    rotations_deg: tuple[float, ...]
    angles_deg: tuple[float, ...]
    clr_mm: float

    @property
    def rotations_total_deg(self) -> tuple[float, ...]:
        """Turn of each bend plane against that of bend 1, in (-180, 180]."""
        return tuple(wrap_deg(float(total)) for total in np.cumsum(self.rotations_deg))

    @property
    def arcs_mm(self) -> tuple[float, ...]:
        """Length of each arc along the centreline."""
        return tuple(self.clr_mm * math.radians(angle) for angle in self.angles_deg)

    @property
    def developed_mm(self) -> float:
        """Straights and arcs together."""
        return math.fsum(self.straights_mm) + math.fsum(self.arcs_mm)


def bend_table(bar: Bar) -> BendTable:
    """The bend table of a bar.

    Raises:
        UserError: `BAR-001` to `BAR-004` where the nodes cannot be bent, with the place and the number.
    """
    stops = stopping(check_shape(bar))
    if stops:
        raise UserError(*stops)
    legs = np.diff(bar.nodes, axis=0)
    lengths = np.linalg.norm(legs, axis=1)
    directions = legs / lengths[:, None]
    angles = [angle_between_deg(a, b) for a, b in itertools.pairwise(directions)]
    setbacks = np.array([0.0, *(bar.clr_mm * math.tan(math.radians(a) / 2.0) for a in angles), 0.0])
    return BendTable(
        straights_mm=tuple(float(s) for s in lengths - setbacks[:-1] - setbacks[1:]),
        rotations_deg=_rotations(directions, angles),
        angles_deg=tuple(angles),
        clr_mm=bar.clr_mm,
    )


def _rotations(directions: Vector, angles_deg: list[float]) -> tuple[float, ...]:
    """Rotation before each bend: atan2((n0 x n1) . u, n0 . n1) about the straight u between them.

    A corner that is straight through has no plane: the plane of the bend before it is carried on.
    """
    rotations: list[float] = []
    plane: Vector | None = None
    for index, angle in enumerate(angles_deg):
        if angle < STRAIGHT_THROUGH_DEG:
            rotations.append(0.0)
            continue
        normal = unit_vector(np.cross(directions[index], directions[index + 1]))
        rotations.append(0.0 if plane is None else signed_angle_about_deg(directions[index], plane, normal))
        plane = normal
    return tuple(rotations)


def nodes_from_table(table: BendTable) -> tuple[Node, ...]:
    """Nodes of a bend table: from the origin, first straight forward, first bend plane's normal up.

    Raises:
        UserError: `BAR-004` for an angle that node form cannot hold, `BAR-006` for numbers that are not
            finite, a negative straight or counts that do not fit.
    """
    refuse_table(table.straights_mm, table.rotations_deg, table.angles_deg, table.clr_mm)
    setbacks = [0.0, *(table.clr_mm * math.tan(math.radians(a) / 2.0) for a in table.angles_deg), 0.0]
    travel, normal = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    nodes = [np.zeros(3)]
    for index, straight in enumerate(table.straights_mm):
        nodes.append(nodes[-1] + (setbacks[index] + straight + setbacks[index + 1]) * travel)
        if index < len(table.angles_deg):
            normal = rotation_about(travel, table.rotations_deg[index]) @ normal
            travel = unit_vector(rotation_about(normal, table.angles_deg[index]) @ travel)
    return as_nodes(np.array(nodes))

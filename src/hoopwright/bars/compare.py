"""A typed bend table laid on the bar that it should make."""

import itertools

import numpy as np

from hoopwright.bars.bar import Bar
from hoopwright.bars.bend_table import BendTable, bend_table, nodes_from_table
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import STRAIGHT_THROUGH_DEG, Points, Vector, angle_between_deg, unit_vector


def lay_table(bar: Bar, table: BendTable) -> Points:
    """Nodes, shape (n, 3) mm, that a bend table gives with end A and bend 1 held where `bar` has them.

    Raises:
        UserError: When either cannot be bent, or `BAR-009` when the bar has no bend to hold.
    """
    own = bend_table(bar)
    if not any(angle >= STRAIGHT_THROUGH_DEG for angle in own.angles_deg):
        raise UserError(
            Finding(
                code="BAR-009",
                severity=Severity.STOP,
                sentence=f"Bar {bar.name} is straight: there is no bend plane to lay another bar on.",
                objects=(bar.name,),
            )
        )
    laid = np.array(nodes_from_table(table))
    held_here, held_there = _first_bend_axes(np.array(nodes_from_table(own))), _first_bend_axes(bar.nodes)
    moved: Points = bar.nodes[0] + (laid - laid[0]) @ (held_there @ held_here.T).T
    return moved


def end_miss_mm(bar: Bar, table: BendTable) -> float:
    """How far end B of a bend table lands from end B of the bar, with end A and bend 1 held."""
    return float(np.linalg.norm(lay_table(bar, table)[-1] - bar.nodes[-1]))


def _first_bend_axes(nodes: Points) -> Vector:
    """Columns: travel at end A, across it in the plane of the first real bend, and that plane's normal."""
    legs = np.diff(nodes, axis=0)
    travel = unit_vector(legs[0])
    before, after = next(
        pair for pair in itertools.pairwise(legs) if angle_between_deg(*pair) >= STRAIGHT_THROUGH_DEG
    )
    normal = unit_vector(np.cross(before, after))
    return np.column_stack([travel, np.cross(normal, travel), normal])

"""Distances to measure on a finished bar before it goes to the car."""

import math
from collections.abc import Iterator

import numpy as np

from hoopwright.bars import Bar, BendTable, centreline, end_miss_mm
from hoopwright.bender.order import is_hoop
from hoopwright.bender.sheet import TapeCheck
from hoopwright.geometry import Arc, Line, Vector, unit_vector

LEFT = np.array([0.0, 1.0, 0.0])
PLANE_DEG = 0.01
ON_CENTRE_MM = 0.001
"""A bend whose middle lies so near to the centre is on neither side of a hoop: below this rounding decides."""
SURE_PLANE_DEG = 1.0
"""Under this a bend has no plane that could be laid flat; same limit as for nearly straight bends."""


def tape_checks(bar: Bar, table: BendTable) -> tuple[TapeCheck, ...]:
    """What to measure: widths, height and diagonals of a hoop; reach and twist of any other bar.

    Args:
        bar: The bar with its finished radius; left and right as in the car.
        table: Its bend table.
    """
    if is_hoop(bar):
        return tuple(_hoop_checks(bar))
    return tuple(_reach_checks(bar, table))


def wrong_turn_miss_mm(bar: Bar, table: BendTable) -> float | None:
    """How far end B lands off when every rotation is turned the wrong way; None where none could be."""
    if not any(has_sign(rotation) for rotation in table.rotations_deg):
        return None
    flipped = BendTable(
        straights_mm=table.straights_mm,
        rotations_deg=tuple(-rotation for rotation in table.rotations_deg),
        angles_deg=table.angles_deg,
        clr_mm=table.clr_mm,
    )
    return end_miss_mm(bar, flipped)


def has_sign(rotation_deg: float) -> bool:
    """Whether turning the other way makes another bar: not for 0 and 180."""
    return PLANE_DEG < abs(rotation_deg) < 180.0 - PLANE_DEG


def _hoop_checks(bar: Bar) -> Iterator[TapeCheck]:
    half = bar.tube.od_mm / 2.0
    foot, knees = abs(float(bar.nodes[0] @ LEFT)), _reach_mm(bar, LEFT)
    yield TapeCheck(
        key="feet",
        name="outside width over the feet, level, at the trim marks",
        value_mm=2.0 * foot + 2.0 * half,
    )
    if knees > foot + 0.01:
        yield TapeCheck(
            key="knees", name="greatest outside width over the knees", value_mm=2.0 * (knees + half)
        )
    upward = _upward(bar)
    level = float(bar.nodes[0] @ upward)
    yield TapeCheck(
        key="height",
        name="height over the metal, from the line between the trim marks",
        value_mm=_reach_mm(bar, upward) - level + half,
    )
    yield from _diagonals(bar, upward)


def _upward(bar: Bar) -> Vector:
    """In the hoop's plane, square to the line between its feet, towards its top."""
    middle = bar.nodes.mean(axis=0) - (bar.nodes[0] + bar.nodes[-1]) / 2.0
    return unit_vector(middle - LEFT * float(middle @ LEFT))


def _diagonals(bar: Bar, upward: Vector) -> Iterator[TapeCheck]:
    """From the outside of each foot to the farthest metal of the shoulder on the other side."""
    arcs, half = arcs_of(bar), bar.tube.od_mm / 2.0
    for foot, name, side in ((bar.nodes[0], "A", "B"), (bar.nodes[-1], "B", "A")):
        outward = math.copysign(1.0, float(foot @ LEFT)) * LEFT
        corner = foot + half * outward
        far = [number for number, arc in arcs.items() if float(middle_of(arc) @ outward) < -ON_CENTRE_MM]
        if far:
            shoulder = max(far, key=lambda number: float(middle_of(arcs[number]) @ upward))
            yield TapeCheck(
                key=f"diagonal {name}",
                name=f"diagonal: outside of foot {name} at its trim mark to the back of bend {shoulder} "
                f"(towards {side}), the greatest reading",
                value_mm=farthest_back_mm(corner, arcs[shoulder], half),
            )


def _reach_checks(bar: Bar, table: BendTable) -> Iterator[TapeCheck]:
    end_a, end_b = bar.nodes[0], bar.nodes[-1]
    reach = float(np.linalg.norm(end_b - end_a))
    yield TapeCheck(key="reach", name="centre of end A to centre of end B, at the trim marks", value_mm=reach)
    half = bar.tube.od_mm / 2.0
    for number, arc in arcs_of(bar).items():
        back = middle_of(arc) + half * unit_vector(middle_of(arc) - arc.centre_mm)
        yield TapeCheck(
            key=f"back {number}",
            name=f"centre of end A to the back of bend {number}, at its middle",
            value_mm=float(np.linalg.norm(back - end_a)),
            critical=False,
        )
    if any(has_sign(rotation) for rotation in table.rotations_deg) and table.angles_deg[0] >= SURE_PLANE_DEG:
        yield _twist_check(bar)


def _twist_check(bar: Bar) -> TapeCheck:
    """The side to which bend 1 turns is named, since the other way up the bar of the other side lies so."""
    normal = unit_vector(np.cross(bar.nodes[1] - bar.nodes[0], bar.nodes[2] - bar.nodes[1]))
    over = float((bar.nodes[-1] - bar.nodes[0]) @ normal)
    turns = "left" if over >= 0.0 else "right"
    return TapeCheck(
        key="twist",
        name="twist: straights 1 and 2 flat on the floor so that bend 1, going away from end A, turns to the "
        f"{turns} as seen from above: centre of end B over the floor",
        value_mm=abs(over) + bar.tube.od_mm / 2.0,
    )


def arcs_of(bar: Bar) -> dict[int, Arc]:
    """Each arc by the number of its bend, which is how many lines lie before it; a bend of no angle has none."""
    arcs, lines = {}, 0
    for piece in centreline(bar).pieces:
        if isinstance(piece, Arc):
            arcs[lines] = piece
        else:
            lines += 1
    return arcs


def middle_of(arc: Arc) -> Vector:
    """The place halfway along an arc."""
    middle: Vector = arc.at(np.array([arc.length_mm / 2.0]))[0]
    return middle


def _reach_mm(bar: Bar, direction: Vector) -> float:
    """How far the centreline reaches in a direction."""
    return max(piece_reach_mm(piece, direction) for piece in centreline(bar).pieces)


def piece_reach_mm(piece: Line | Arc, direction: Vector) -> float:
    """How far a piece of the centreline reaches in a direction."""
    ends = piece.at(np.array([0.0, piece.length_mm])) @ direction
    if isinstance(piece, Line):
        return float(ends.max())
    turned = _turned_deg(piece, direction)
    top = piece.at(np.array([piece.radius_mm * math.radians(turned)]))[0] @ direction
    return float(max(*ends, top))


def _turned_deg(arc: Arc, direction: Vector) -> float:
    """How far along the arc its outside faces a direction, held within the arc."""
    turned = math.degrees(math.atan2(float(arc.direction @ direction), float(arc.outward @ direction)))
    if 0.0 <= turned <= arc.angle_deg:
        return turned
    return 0.0 if abs(turned) < abs(turned - arc.angle_deg) else arc.angle_deg


def farthest_back_mm(point_mm: Vector, arc: Arc, half_mm: float) -> float:
    """Greatest distance from a point to the outside of a bend, half a tube off its axis."""
    turned = _turned_deg(arc, arc.centre_mm - point_mm)
    on_axis = arc.at(np.array([arc.radius_mm * math.radians(turned)]))[0]
    back = on_axis + half_mm * unit_vector(on_axis - arc.centre_mm)
    return float(np.linalg.norm(back - point_mm))

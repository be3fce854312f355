"""How a branch and a header lie to each other where they meet."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Arc, Vector, angle_between_deg, unit_vector
from hoopwright.joints.cope.tubes import Branch, Header

_ROUNDS = 60
_SETTLED_MM = 1e-10


@dataclass(frozen=True, kw_only=True, eq=False)
class Meeting:
    """Where the axes of a branch and a header are nearest to each other.

    Args:
        branch_mm: From the branch's origin along its axis.
        header_mm: Along the header's centreline from its start; below 0 or above its length beyond its ends.
        angle_deg: Between the axes there, 0 to 90.
        offset_mm: How far the branch's axis lies off the header's, positive toward the branch's side at 90° from the
            heel.
        heel: Unit direction square to the branch of its heel, the acute side; where the axes are square, toward the
            header's end. Shape (3,).
        bend_index: The header's bend there, counted from 0; None on a straight.
    """

    branch_mm: float
    header_mm: float
    angle_deg: float
    offset_mm: float
    heel: Vector
    bend_index: int | None


def meeting(branch: Branch, header: Header) -> Meeting:
    """Where the axes are nearest, looked for from the branch's origin on.

    Each round takes the header's place nearest to a place on the branch, and the place on the branch nearest to
    the tangent there; on a straight the first round ends it.
    """
    along_mm = 0.0
    for _ in range(_ROUNDS):
        place, tangent, _ = _nearest(header, branch.origin_mm + along_mm * branch.direction)
        next_mm = _nearest_on_branch(branch, place, tangent)
        settled = abs(next_mm - along_mm) < _SETTLED_MM
        along_mm = next_mm
        if settled:
            break
    on_branch = branch.origin_mm + along_mm * branch.direction
    place, tangent, header_mm = _nearest(header, on_branch)
    heel = _heel(branch.direction, tangent)
    ninety = np.cross(branch.direction, heel)
    raw_deg = angle_between_deg(branch.direction, tangent)
    return Meeting(
        branch_mm=along_mm,
        header_mm=header_mm,
        angle_deg=min(raw_deg, 180.0 - raw_deg),
        offset_mm=float((on_branch - place) @ ninety),
        heel=heel,
        bend_index=_bend_at(header, header_mm),
    )


def _nearest(header: Header, point_mm: Vector) -> tuple[Vector, Vector, float]:
    """Place on the header's axis, its direction there and how far along, beyond the ends too."""
    path = header.path
    along_mm = path.nearest_mm(point_mm)
    length_mm = path.length_mm
    direction = path.directions_at(along_mm)[0]
    place = path.at(along_mm)[0]
    if along_mm <= 0.0 or along_mm >= length_mm:
        beyond_mm = float((point_mm - place) @ direction)
        if (along_mm <= 0.0 and beyond_mm < 0.0) or (along_mm >= length_mm and beyond_mm > 0.0):
            return place + beyond_mm * direction, direction, along_mm + beyond_mm
    return place, direction, along_mm


def _nearest_on_branch(branch: Branch, place: Vector, tangent: Vector) -> float:
    offset = place - branch.origin_mm
    share = float(branch.direction @ tangent)
    sine2 = 1.0 - share * share
    if sine2 < 1e-12:
        return float(offset @ branch.direction)
    return float(offset @ (branch.direction - share * tangent)) / sine2


def _heel(direction: Vector, tangent: Vector) -> Vector:
    share = float(direction @ tangent)
    across = tangent - share * direction
    if math.isclose(abs(share), 1.0, abs_tol=1e-12):
        across = np.eye(3)[int(np.argmin(np.abs(direction)))]
        across = across - float(across @ direction) * direction
    return unit_vector(across if share >= -1e-12 else -across)


def _bend_at(header: Header, header_mm: float) -> int | None:
    starts = header.path.starts_mm
    bends = -1
    for piece, start_mm, end_mm in zip(header.path.pieces, starts[:-1], starts[1:], strict=True):
        if isinstance(piece, Arc):
            bends += 1
            if start_mm < header_mm < end_mm:
                return bends
    return None

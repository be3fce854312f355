"""How a branch and a header lie to each other where they meet."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Arc, FilletedPath, Line, Vector, angle_between_deg, cross, unit_vector
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
    along_mm, settled = 0.0, False
    for _ in range(_ROUNDS):
        place, tangent, header_mm = _nearest(header.path, branch.origin_mm + along_mm * branch.direction)
        next_mm = _nearest_on_branch(branch, place, tangent)
        settled = abs(next_mm - along_mm) < _SETTLED_MM
        along_mm = next_mm
        if settled:
            break
    on_branch = branch.origin_mm + along_mm * branch.direction
    if not settled:
        place, tangent, header_mm = _nearest(header.path, on_branch)
    heel = _heel(branch.direction, tangent)
    ninety = cross(branch.direction, heel)
    raw_deg = angle_between_deg(branch.direction, tangent)
    return Meeting(
        branch_mm=along_mm,
        header_mm=header_mm,
        angle_deg=min(raw_deg, 180.0 - raw_deg),
        offset_mm=float((on_branch - place) @ ninety),
        heel=heel,
        bend_index=_bend_at(header, header_mm),
    )


def _nearest(path: FilletedPath, point_mm: Vector) -> tuple[Vector, Vector, float]:
    """Place on a path, its direction there and how far along, beyond the ends too."""
    # piece by piece with numbers of their own: for one point arrays cost ten times as much
    best_mm, start_mm = math.inf, 0.0
    for piece in path.pieces:
        length_mm = piece.length_mm
        local_mm = piece.nearest_mm(point_mm)
        place = _place_on(piece, local_mm)
        off = point_mm - place
        apart_mm = math.hypot(*off.tolist())
        if apart_mm < best_mm:
            best_mm, best = apart_mm, (piece, place, off, local_mm, start_mm + local_mm)
        start_mm += length_mm
    piece, place, off, local_mm, along_mm = best
    direction = _direction_on(piece, local_mm)
    if along_mm <= 0.0 or along_mm >= start_mm:
        beyond_mm = float(off @ direction)
        if (along_mm <= 0.0 and beyond_mm < 0.0) or (along_mm >= start_mm and beyond_mm > 0.0):
            return place + beyond_mm * direction, direction, along_mm + beyond_mm
    return place, direction, along_mm


def _place_on(piece: Line | Arc, local_mm: float) -> Vector:
    if isinstance(piece, Line):
        return piece.start_mm + local_mm * piece.direction
    turned_rad = local_mm / piece.radius_mm
    cosine, sine = piece.radius_mm * math.cos(turned_rad), piece.radius_mm * math.sin(turned_rad)
    return piece.centre_mm + (cosine * piece.outward + sine * piece.direction)


def _direction_on(piece: Line | Arc, local_mm: float) -> Vector:
    if isinstance(piece, Line):
        return piece.direction
    turned_rad = local_mm / piece.radius_mm
    return math.cos(turned_rad) * piece.direction - math.sin(turned_rad) * piece.outward


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
    bends, start_mm = -1, 0.0
    for piece in header.path.pieces:
        end_mm = start_mm + piece.length_mm
        if isinstance(piece, Arc):
            bends += 1
            if start_mm < header_mm < end_mm:
                return bends
        start_mm = end_mm
    return None

"""Which pieces of a header a branch can touch at all: the others are never cut with its generators."""

import math

import numpy as np

from hoopwright.geometry import Arc, FilletedPath, Line
from hoopwright.joints.cope.tubes import Branch, Header

Place = tuple[float, float, float]
_MARGIN_MM = 1e-3


def pieces_within_reach(branch: Branch, header: Header, *, past_mm: float = 0.0) -> tuple[int, ...]:
    """Indices of the pieces of a header's path that a branch of endless length may touch, or pass by so much, in order.

    Seen along the branch, the branch is a disc and a straight a strip; a bend lies in the ball about its chord, since
    it turns by less than half a circle. What is left out is out of reach for certain.
    """
    radius_mm = branch.od_mm / 2.0 + past_mm + _MARGIN_MM
    path = header.path
    last = len(path.pieces) - 1
    found = []
    bends = 0
    for index, piece in enumerate(path.pieces):
        reach_mm = radius_mm + header.od_mm / 2.0
        if isinstance(piece, Arc):
            oval = header.oval_of(bends)
            bends += 1
            if oval is not None:
                reach_mm = radius_mm + max(header.od_mm, oval.in_plane_mm, oval.across_mm) / 2.0
            nearest_mm = _of_bend(branch, path, index)
        else:
            goes_on = header.is_endless
            nearest_mm = _of_straight(branch, piece, goes_on and index == 0, goes_on and index == last)
        if nearest_mm <= reach_mm:
            found.append(index)
    return tuple(found)


def _of_straight(branch: Branch, line: Line, open_start: bool, open_end: bool) -> float:
    """From the branch's axis to a straight's, seen along the branch."""
    start = _seen(branch, (line.start_mm - branch.origin_mm).tolist())
    leg = _seen(branch, line.direction.tolist())
    length2 = _dot(leg, leg)
    along_mm = -_dot(start, leg) / length2 if length2 > 0.0 else 0.0
    if not open_start:
        along_mm = max(along_mm, 0.0)
    if not open_end:
        along_mm = min(along_mm, line.length_mm)
    return math.hypot(*(one + along_mm * way for one, way in zip(start, leg, strict=True)))


def _of_bend(branch: Branch, path: FilletedPath, index: int) -> float:
    """From the branch's axis to the ball about a bend's chord, seen along the branch."""
    arc = path.pieces[index]
    assert isinstance(arc, Arc)  # noqa: S101
    half_rad = math.radians(arc.angle_deg) / 2.0
    middle = math.cos(half_rad) * arc.outward + math.sin(half_rad) * arc.direction
    place = arc.centre_mm + arc.radius_mm * math.cos(half_rad) * middle
    seen = _seen(branch, np.asarray(place - branch.origin_mm).tolist())
    return math.hypot(*seen) - arc.radius_mm * math.sin(half_rad)


def _seen(branch: Branch, place: list[float]) -> Place:
    """A place or direction with what runs along the branch taken off."""
    x, y, z = place
    u, v, w = branch.direction.tolist()
    share = x * u + y * v + z * w
    return x - share * u, y - share * v, z - share * w


def _dot(one: Place, other: Place) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]

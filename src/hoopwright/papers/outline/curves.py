"""The lines that a drawing of a tube consists of, as points in space."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import FilletedPath, Line, Plane, Points, Vector, unit_vector

SAMPLED_MM = 3.0
"""Points along a line lie so close: a hidden stretch that is shorter may be missed, 0.15 mm on paper at 1 : 20."""
_AROUND = 72
_ALONG_THE_VIEW = math.sin(math.radians(0.05))
_HALVINGS = 10
_SMALL_COS = math.cos(math.radians(8.0))
_SWUNG_COS = math.cos(math.radians(40.0))
"""After so many halvings a side that still swings by more has changed over: the tube runs along the view between."""


@dataclass(frozen=True, eq=False, kw_only=True)
class SolidTube:
    """A tube as a drawing needs it.

    Args:
        path: Its axis.
        od_mm: Outside diameter.
        cut_a: Whether its first end runs into another tube, so that it shows no flat end.
        cut_b: The same for its last end.
        seams: Lines on its skin to draw as well, such as those on which it meets other tubes; each of shape (n, 3).
        saw_a: The plane in which its first end is sawn, as where it stands on a plate, its normal into the tube; the
            axis reaches far enough beyond it for the whole of the cut.
        saw_b: The same for its last end.
    """

    path: FilletedPath
    od_mm: float
    cut_a: bool = False
    cut_b: bool = False
    seams: tuple[Points, ...] = ()
    saw_a: Plane | None = None
    saw_b: Plane | None = None


def drawn_curves(tube: SolidTube, toward: Vector) -> Iterator[Points]:
    """Every line that a drawing of the tube may show, hidden or not; each of shape (n, 3).

    Args:
        tube: The tube.
        toward: Toward the viewer, unit, shape (3,).
    """
    saws = tuple(saw for saw in (tube.saw_a, tube.saw_b) if saw is not None)
    for curve in _whole_curves(tube, toward):
        yield from sawn(curve, saws)
    radius = tube.od_mm / 2.0
    if tube.saw_a is not None:
        yield _sawn_ring(tube.path, 0.0, radius, tube.saw_a)
    if tube.saw_b is not None:
        yield _sawn_ring(tube.path, tube.path.length_mm, radius, tube.saw_b)


def sawn(curve: Points, saws: Sequence[Plane]) -> Iterator[Points]:
    """What of a line is left by the saw: its stretches on the side of every plane's normal, up to the planes."""
    pieces = [curve]
    for saw in saws:
        pieces = [kept for piece in pieces for kept in _kept(piece, saw.distance_mm(piece))]
    yield from pieces


def _kept(curve: Points, past_mm: Vector) -> Iterator[Points]:
    """Stretches of a line where a distance is not negative, each up to where it is 0."""
    if (past_mm >= 0.0).all():
        yield curve
        return
    places = np.flatnonzero(past_mm >= 0.0)
    for stretch in np.split(places, np.flatnonzero(np.diff(places) > 1) + 1):
        if not len(stretch):
            continue
        first, last = int(stretch[0]), int(stretch[-1])
        before = [_between(curve, past_mm, first - 1)] if first > 0 else []
        after = [_between(curve, past_mm, last)] if last < len(curve) - 1 else []
        points = np.concatenate([*before, curve[first : last + 1], *after])
        if len(points) > 1:
            yield points


def _between(curve: Points, past_mm: Vector, place: int) -> Points:
    """Where a distance is 0 between a point of a line and the next; shape (1, 3)."""
    share = past_mm[place] / (past_mm[place] - past_mm[place + 1])
    point: Points = curve[place : place + 1] + share * (curve[place + 1] - curve[place])
    return point


def _sawn_ring(path: FilletedPath, along_mm: float, radius_mm: float, saw: Plane) -> Points:
    """The line round a straight end on which a plane cuts its skin; shape (n, 3), closed."""
    ring, travel = _ring(path, along_mm, radius_mm), path.directions_at(along_mm)[0]
    points: Points = ring - np.multiply.outer(saw.distance_mm(ring) / float(travel @ saw.normal), travel)
    return points


def _whole_curves(tube: SolidTube, toward: Vector) -> Iterator[Points]:
    """The lines of a tube whose ends are not sawn.

    On a tube swept along `c(s)` the skin turns from the viewer where its normal is square to the view: at
    `c(s) ± r t × w / |t × w|`, with the travel `t` and the view `w`. Where the tube runs along the view, its skin is
    seen as a ring instead.

    Args:
        tube: The tube.
        toward: Toward the viewer, unit, shape (3,).

    Source: the contour of a canal surface of one radius, from its normal being square to the travel and to the view.
    """
    radius = tube.od_mm / 2.0
    along = _close_enough(tube.path, toward)
    across = np.cross(tube.path.directions_at(along), toward)
    size = np.linalg.norm(across, axis=1)
    aside = np.divide(across, size[:, None], out=np.zeros_like(across), where=size[:, None] > 0.0)
    turned = np.einsum("ij,ij->i", aside[1:], aside[:-1]) < _SWUNG_COS
    yield from _sides(tube.path.at(along), radius * aside, size > _ALONG_THE_VIEW, turned)
    rings = set(_seen_end_on(tube.path, toward)) | {
        float(np.average(along[place : place + 2], weights=size[place : place + 2][::-1]))
        for place in np.flatnonzero(turned)
        if size[place] > _ALONG_THE_VIEW and size[place + 1] > _ALONG_THE_VIEW
    }
    rings |= {0.0} if not tube.cut_a and tube.saw_a is None else set()
    rings |= {tube.path.length_mm} if not tube.cut_b and tube.saw_b is None else set()
    for place in sorted(rings):
        yield _ring(tube.path, place, radius)
    yield from tube.seams


def _close_enough(path: FilletedPath, toward: Vector) -> Vector:
    """Distances along the axis so close that its sides swing little from one to the next, as seen by the viewer."""
    along = np.unique(np.concatenate([path.even_distances(SAMPLED_MM), path.starts_mm]))
    for _ in range(_HALVINGS):
        across = np.cross(path.directions_at(along), toward)
        size = np.linalg.norm(across, axis=1)
        swing = np.einsum("ij,ij->i", across[1:], across[:-1]) < _SMALL_COS * size[1:] * size[:-1]
        if not swing.any():
            break
        along = np.sort(np.concatenate([along, (along[1:] + along[:-1])[swing] / 2.0]))
    return along


def _sides(axis: Points, aside: Points, known: np.ndarray, turned: np.ndarray) -> Iterator[Points]:
    """The two sides, broken where the tube runs along the view and where they change over."""
    for stretch in stretches(known):
        breaks = np.flatnonzero(turned[stretch.start : stretch.stop - 1]) + 1
        for places in np.split(np.arange(stretch.start, stretch.stop), breaks):
            if len(places) > 1:
                yield axis[places] + aside[places]
                yield axis[places] - aside[places]


def stretches(known: np.ndarray) -> Iterator[slice]:
    """Runs of at least two in a row that are so."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], known.astype(np.int8), [0]])))
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        if last - first > 1:
            yield slice(int(first), int(last))


def _seen_end_on(path: FilletedPath, toward: Vector) -> Iterator[float]:
    """Both ends of each straight that runs along the view."""
    for piece, start in zip(path.pieces, path.starts_mm[:-1], strict=True):
        is_along = float(np.linalg.norm(np.cross(piece.direction, toward))) <= _ALONG_THE_VIEW
        if isinstance(piece, Line) and piece.length_mm > 0.0 and is_along:
            yield float(start)
            yield float(start) + piece.length_mm


def _ring(path: FilletedPath, along_mm: float, radius_mm: float) -> Points:
    """The circle round a tube; shape (n, 3), closed."""
    middle, travel = path.at(along_mm)[0], path.directions_at(along_mm)[0]
    first = unit_vector(np.cross(travel, np.eye(3)[int(np.argmin(np.abs(travel)))]))
    turn_rad = np.linspace(0.0, 2.0 * math.pi, _AROUND + 1)
    second = np.cross(travel, first)
    ring: Points = middle + radius_mm * (
        np.multiply.outer(np.cos(turn_rad), first) + np.multiply.outer(np.sin(turn_rad), second)
    )
    return ring

"""A path of straights with a tangent arc at each corner, measured along its length."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.geometry.vectors import Points, Vector, angle_between_deg, unit_vector

STRAIGHT_THROUGH_DEG = 1e-7
"""Below this a corner has no plane in double precision, and no arc is laid in it."""


@dataclass(frozen=True, eq=False)
class Line:
    """A straight piece.

    Args:
        start_mm: First point, shape (3,).
        direction: Unit direction, shape (3,).
        length_mm: Length; may be zero.
    """

    start_mm: Vector
    direction: Vector
    length_mm: float

    def at(self, along_mm: Vector) -> Points:
        """Points at distances from the start, shape (n, 3)."""
        return self.start_mm + np.multiply.outer(along_mm, self.direction)

    def direction_at(self, along_mm: Vector) -> Points:
        """Unit directions of travel at distances from the start, shape (n, 3)."""
        return np.broadcast_to(self.direction, (len(along_mm), 3))

    def nearest_mm(self, point_mm: Vector) -> float:
        """Distance from the start of the place nearest to a point."""
        return min(max(float((point_mm - self.start_mm) @ self.direction), 0.0), self.length_mm)


@dataclass(frozen=True, eq=False)
class Arc:
    """A circular piece.

    Args:
        centre_mm: Centre, shape (3,).
        outward: Unit direction from the centre to the start, shape (3,).
        direction: Unit direction of travel at the start, shape (3,).
        radius_mm: Radius.
        angle_deg: Change of direction.
    """

    centre_mm: Vector
    outward: Vector
    direction: Vector
    radius_mm: float
    angle_deg: float

    @property
    def length_mm(self) -> float:
        """Length along the arc."""
        return self.radius_mm * math.radians(self.angle_deg)

    def at(self, along_mm: Vector) -> Points:
        """Points at distances from the start, shape (n, 3)."""
        turned_rad = np.asarray(along_mm) / self.radius_mm
        offsets = np.multiply.outer(np.cos(turned_rad), self.outward) + np.multiply.outer(
            np.sin(turned_rad), self.direction
        )
        points: Points = self.centre_mm + self.radius_mm * offsets
        return points

    def direction_at(self, along_mm: Vector) -> Points:
        """Unit directions of travel at distances from the start, shape (n, 3)."""
        turned_rad = np.asarray(along_mm) / self.radius_mm
        directions: Points = np.multiply.outer(np.cos(turned_rad), self.direction) - np.multiply.outer(
            np.sin(turned_rad), self.outward
        )
        return directions

    def nearest_mm(self, point_mm: Vector) -> float:
        """Distance from the start of the place nearest to a point."""
        offset = point_mm - self.centre_mm
        turned_rad = math.atan2(float(offset @ self.direction), float(offset @ self.outward))
        # measured from the middle of the arc, so that the nearer end wins beyond either
        middle_rad = math.radians(self.angle_deg) / 2.0
        beyond_rad = math.remainder(turned_rad - middle_rad, 2.0 * math.pi)
        return self.radius_mm * (middle_rad + min(max(beyond_rad, -middle_rad), middle_rad))


@dataclass(frozen=True, eq=False)
class FilletedPath:
    """Lines and arcs in turn: line, arc, line, ..., line; two lines where a corner is straight through.

    Args:
        pieces: The pieces in order; a line of zero length stands where two arcs meet.
    """

    pieces: tuple[Line | Arc, ...]

    @property
    def length_mm(self) -> float:
        """Length along the whole path."""
        return sum(piece.length_mm for piece in self.pieces)

    @property
    def starts_mm(self) -> Vector:
        """Distance along the path at which each piece starts, and its end; shape (pieces + 1,)."""
        return np.concatenate([[0.0], np.cumsum([piece.length_mm for piece in self.pieces])])

    def at(self, along_mm: ArrayLike) -> Points:
        """Points at distances along the path, shape (n, 3); beyond the ends the end straights go on."""
        return self._each_piece(along_mm, directions=False)

    def directions_at(self, along_mm: ArrayLike) -> Points:
        """Unit directions of travel at distances along the path, shape (n, 3)."""
        return self._each_piece(along_mm, directions=True)

    def distance_to_mm(self, point_mm: ArrayLike) -> float:
        """Shortest distance from a point, shape (3,), to the path."""
        point = np.asarray(point_mm, dtype=np.float64)
        places = [piece.at(np.array([piece.nearest_mm(point)]))[0] for piece in self.pieces]
        return min(float(np.linalg.norm(place - point)) for place in places)

    def nearest_mm(self, point_mm: ArrayLike) -> float:
        """Distance along the path of the place on it nearest to a point, shape (3,)."""
        point = np.asarray(point_mm, dtype=np.float64)
        along = [piece.nearest_mm(point) for piece in self.pieces]
        places = [piece.at(np.array([at]))[0] for piece, at in zip(self.pieces, along, strict=True)]
        index = int(np.argmin([float(np.linalg.norm(place - point)) for place in places]))
        return float(self.starts_mm[index]) + along[index]

    def _each_piece(self, along_mm: ArrayLike, *, directions: bool) -> Points:
        along = np.atleast_1d(np.asarray(along_mm, dtype=np.float64))
        starts = self.starts_mm
        piece_of = np.clip(np.searchsorted(starts, along, side="right") - 1, 0, len(self.pieces) - 1)
        result = np.empty((len(along), 3))
        for index in np.unique(piece_of):
            here = piece_of == index
            piece = self.pieces[index]
            local = along[here] - starts[index]
            result[here] = piece.direction_at(local) if directions else piece.at(local)
        return result

    def even_distances(self, spacing_mm: float) -> Vector:
        """Distances along the path from 0 to its length, at most `spacing_mm` apart, evenly."""
        steps = max(1, math.ceil(self.length_mm / spacing_mm))
        return np.linspace(0.0, self.length_mm, steps + 1)


def fillet_path(nodes_mm: ArrayLike, radii_mm: Sequence[float]) -> FilletedPath:
    """The path through corner points with an arc tangent to both legs at each inner corner.

    Args:
        nodes_mm: Corner points, shape (n, 3), n at least 2.
        radii_mm: One radius for each inner corner, length n - 2.

    Raises:
        ValueError: When a leg has no length, a corner turns back on itself or two arcs overlap. Callers
            that speak to a person check first and say where.
    """
    nodes = np.asarray(nodes_mm, dtype=np.float64)
    legs = np.diff(nodes, axis=0)
    directions = [unit_vector(leg) for leg in legs]
    angles_deg = [angle_between_deg(a, b) for a, b in pairwise(directions)]
    setbacks = [r * math.tan(math.radians(a) / 2.0) for r, a in zip(radii_mm, angles_deg, strict=True)]
    before, after = [0.0, *setbacks], [*setbacks, 0.0]
    pieces: list[Line | Arc] = []
    for index, (leg, direction) in enumerate(zip(legs, directions, strict=True)):
        straight_mm = float(np.linalg.norm(leg)) - before[index] - after[index]
        if not straight_mm >= -1e-9:
            msg = f"arcs overlap by {-straight_mm:.3f} mm on leg {index + 1}"
            raise ValueError(msg)
        pieces.append(Line(nodes[index] + before[index] * direction, direction, max(0.0, straight_mm)))
        if index < len(angles_deg) and angles_deg[index] >= STRAIGHT_THROUGH_DEG:
            pieces.append(
                _corner(
                    nodes[index + 1], direction, directions[index + 1], radii_mm[index], angles_deg[index]
                )
            )
    return FilletedPath(tuple(pieces))


def _corner(node_mm: Vector, before: Vector, after: Vector, radius_mm: float, angle_deg: float) -> Arc:
    inward = unit_vector(after - before * float(after @ before))
    start = node_mm - before * radius_mm * math.tan(math.radians(angle_deg) / 2.0)
    return Arc(start + radius_mm * inward, -inward, before, radius_mm, angle_deg)

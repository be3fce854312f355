"""Planes, and mirroring in them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.geometry.vectors import Points, Vector, unit_vector


@dataclass(frozen=True, eq=False)
class Plane:
    """The points p with normal . p = offset_mm.

    Args:
        normal: Unit normal, shape (3,).
        offset_mm: Distance of the plane from the origin along the normal.
    """

    normal: Vector
    offset_mm: float

    @classmethod
    def through(cls, point_mm: ArrayLike, normal: ArrayLike) -> "Plane":
        """The plane through a point, square to a direction of any length."""
        direction = unit_vector(normal)
        return cls(direction, float(direction @ np.asarray(point_mm, dtype=np.float64)))

    def distance_mm(self, points_mm: ArrayLike) -> Vector:
        """Signed distance of each point, shape (n,), positive on the normal's side."""
        distances: Vector = np.asarray(points_mm, dtype=np.float64) @ self.normal - self.offset_mm
        return distances

    def nearest(self, points_mm: ArrayLike) -> Points:
        """The nearest place in the plane to each point, shape (n, 3)."""
        points = np.asarray(points_mm, dtype=np.float64)
        return points - np.multiply.outer(self.distance_mm(points), self.normal)


def mirror_points(points_mm: ArrayLike, plane: Plane) -> Points:
    """Each point on the other side of the plane, shape (n, 3)."""
    points = np.asarray(points_mm, dtype=np.float64)
    return points - 2.0 * np.multiply.outer(plane.distance_mm(points), plane.normal)


def fit_plane(points_mm: ArrayLike) -> tuple[Plane, float]:
    """Least-squares plane of three or more points.

    Returns:
        The plane, and the greatest distance of a point from it in mm.
    """
    points = np.asarray(points_mm, dtype=np.float64)
    middle = points.mean(axis=0)
    normal = np.linalg.svd(points - middle, full_matrices=False)[2][-1]
    plane = Plane.through(middle, normal)
    return plane, float(np.abs(plane.distance_mm(points)).max())

"""Convex polygons cut by a prism about an axis: what lies inside, and the pieces outside. Pure geometry, in mm."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points, Vector

_ON_MM = 1e-7


@dataclass(frozen=True, eq=False, kw_only=True)
class Prism:
    """All places whose `place @ normals - reach_mm` is nowhere above 0, in the frame of the axis.

    Args:
        normals: Outward unit normals, shape (k, 3).
        reach_mm: Distance of each face from the middle, shape (k,).
    """

    normals: NDArray[np.float64]
    reach_mm: Vector

    def over_mm(self, places: Points) -> NDArray[np.float64]:
        """How far places, shape (n, 3), lie beyond each face, shape (n, k)."""
        return places @ self.normals.T - self.reach_mm


def round_prism(radius_mm: float, half_mm: float, *, sides: int, around: bool) -> Prism:
    """A prism in place of a cylinder about the third axis.

    Args:
        radius_mm: The cylinder's radius.
        half_mm: Half its length.
        sides: Faces round the axis.
        around: Whether it lies about the cylinder, else within it.
    """
    turn = 2.0 * math.pi * np.arange(sides) / sides
    normals = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(sides)])
    flat = radius_mm if around else radius_mm * math.cos(math.pi / sides)
    caps = np.array([[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]])
    return Prism(
        normals=np.vstack([caps, normals]),
        reach_mm=np.concatenate([[half_mm, half_mm], np.full(sides, flat)]),
    )


def cut_polygon(polygon: Points, prism: Prism) -> tuple[Points, list[Points]]:
    """What of a convex polygon lies inside a prism, and the convex pieces outside.

    Args:
        polygon: Its corners in order, shape (n, 3); may be a point or a line.
        prism: The prism.

    Returns:
        The inside, shape (m, 3) with m = 0 where there is none, and the pieces outside.
    """
    over = prism.over_mm(polygon)
    if (over.min(axis=0) > -_ON_MM).any():
        return np.empty((0, 3)), [polygon]
    inside, outside = polygon, []
    for face in np.flatnonzero(over.max(axis=0) > _ON_MM):
        beyond = inside @ prism.normals[face] - prism.reach_mm[face]
        if beyond.max() <= _ON_MM:
            continue
        if beyond.min() >= -_ON_MM:
            return np.empty((0, 3)), [polygon]
        inside, piece = _halves(inside, beyond)
        outside.append(piece)
    return inside, outside


def area_mm2(polygon: Points) -> float:
    """Area of a flat convex polygon, corners of shape (n, 3) in order; 0 for fewer than three."""
    if len(polygon) < 3:
        return 0.0
    spread = polygon[1:] - polygon[0]
    return 0.5 * float(np.linalg.norm(np.cross(spread[:-1], spread[1:]).sum(axis=0)))


def fan(polygon: Points) -> NDArray[np.float64]:
    """A convex polygon as triangles, shape (n, 3, 3)."""
    count = len(polygon)
    if count < 3:
        return np.array([polygon[[0, -1, -1]]])
    return np.stack([polygon[np.array([0, i, i + 1])] for i in range(1, count - 1)])


def _halves(polygon: Points, beyond: Vector) -> tuple[Points, Points]:
    """A polygon on both sides of a face, its corners being so far beyond it."""
    inner: list[Vector] = []
    outer: list[Vector] = []
    for here, there, d, e in zip(
        polygon, np.roll(polygon, -1, axis=0), beyond, np.roll(beyond, -1), strict=True
    ):
        if d <= 0.0:
            inner.append(here)
        if d >= 0.0:
            outer.append(here)
        if d * e < 0.0:
            crossing = here + d / (d - e) * (there - here)
            inner.append(crossing)
            outer.append(crossing)
    return np.array(inner), np.array(outer)

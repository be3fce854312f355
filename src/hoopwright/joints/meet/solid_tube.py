"""A bar as a solid round bar with flat ends, to ask which places lie in it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Arc, FilletedPath, Line, Points, Vector


@dataclass(frozen=True, eq=False)
class SolidTube:
    """A bar filled out to its skin.

    Args:
        bar: The bar.
    """

    bar: Bar

    @cached_property
    def path(self) -> FilletedPath:
        """Its axis."""
        return centreline(self.bar)

    @property
    def radius_mm(self) -> float:
        """Of its skin."""
        return self.bar.tube.od_mm / 2.0

    def axis_distance_mm(self, points_mm: Points) -> Vector:
        """From each point to the axis square to it, shape (n,); infinite beyond the flat ends."""
        nearest = np.full(len(points_mm), np.inf)
        for piece in self.path.pieces:
            off = _off_line(piece, points_mm) if isinstance(piece, Line) else _off_arc(piece, points_mm)
            nearest = np.minimum(nearest, off)
        return nearest

    def nearest_mm(self, points_mm: Points) -> tuple[Vector, Points]:
        """For each point the nearest place on the axis: distances from end A, shape (n,), and places, shape (n, 3)."""
        return nearest_on(self.path, points_mm)

    def holds(self, points_mm: Points, *, deeper_mm: float = 0.0) -> NDArray[np.bool_]:
        """Which points lie in it, more than so deep under its skin; shape (n,)."""
        within: NDArray[np.bool_] = self.axis_distance_mm(points_mm) < self.radius_mm - deeper_mm
        return within


def _off_line(line: Line, points_mm: Points) -> Vector:
    away = points_mm - line.start_mm
    along = away @ line.direction
    off = np.linalg.norm(away - np.multiply.outer(along, line.direction), axis=1)
    return np.where((along >= 0.0) & (along <= line.length_mm), off, np.inf)


def _off_arc(arc: Arc, points_mm: Points) -> Vector:
    away = points_mm - arc.centre_mm
    normal = np.cross(arc.outward, arc.direction)
    out, ahead, beside = away @ arc.outward, away @ arc.direction, away @ normal
    turned_deg = np.degrees(np.arctan2(ahead, out))
    off = np.hypot(np.hypot(out, ahead) - arc.radius_mm, beside)
    return np.where((turned_deg >= 0.0) & (turned_deg <= arc.angle_deg), off, np.inf)


def nearest_on(path: FilletedPath, points_mm: Points) -> tuple[Vector, Points]:
    """Distances along a path, shape (n,), and places on it, shape (n, 3), nearest to points of shape (n, 3)."""
    best = np.full(len(points_mm), np.inf)
    along, places = np.zeros(len(points_mm)), np.zeros((len(points_mm), 3))
    for start, piece in zip(path.starts_mm, path.pieces, strict=False):
        local = _along_line(piece, points_mm) if isinstance(piece, Line) else _along_arc(piece, points_mm)
        here = piece.at(local)
        apart = np.linalg.norm(here - points_mm, axis=1)
        closer = apart < best
        best = np.where(closer, apart, best)
        along = np.where(closer, start + local, along)
        places = np.where(closer[:, None], here, places)
    return along, places


def _along_line(line: Line, points_mm: Points) -> Vector:
    along: Vector = np.clip((points_mm - line.start_mm) @ line.direction, 0.0, line.length_mm)
    return along


def _along_arc(arc: Arc, points_mm: Points) -> Vector:
    away = points_mm - arc.centre_mm
    half_rad = np.radians(arc.angle_deg) / 2.0
    turned = np.arctan2(away @ arc.direction, away @ arc.outward) - half_rad
    beyond = np.remainder(turned + np.pi, 2.0 * np.pi) - np.pi
    along: Vector = arc.radius_mm * (half_rad + np.clip(beyond, -half_rad, half_rad))
    return along

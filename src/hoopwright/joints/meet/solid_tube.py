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

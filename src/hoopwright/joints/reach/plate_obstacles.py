"""Plates, boxes and gussets in a torch's way: triangles, held against rods in closed form."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points, Vector
from hoopwright.joints.reach.obstacles import rods_apart_mm

_INSIDE = -1e-9
_LOT = 40_000


@dataclass(frozen=True, kw_only=True, eq=False)
class PlateTriangles:
    """Flat parts as closed surfaces.

    Args:
        names: The parts.
        late: Names of those that are welded in after the joints: gussets and ties.
        part_of: Which part each triangle is of, shape (m,).
        corners_mm: Shape (m, 3, 3).
    """

    names: tuple[str, ...]
    late: frozenset[str]
    part_of: NDArray[np.int64]
    corners_mm: NDArray[np.float64]

    def near(self, middle_mm: Vector, reach_mm: float, without: frozenset[str]) -> "PlateTriangles":
        """The triangles that come within a reach of a place, but those of some parts."""
        gone = np.array([name in without for name in self.names], dtype=bool)
        low, high = self.corners_mm.min(axis=1), self.corners_mm.max(axis=1)
        off = np.maximum(np.maximum(low - middle_mm, middle_mm - high), 0.0)
        keep = np.linalg.norm(off, axis=1) <= reach_mm
        keep &= ~gone[self.part_of] if len(gone) else keep
        return PlateTriangles(
            names=self.names, late=self.late, part_of=self.part_of[keep], corners_mm=self.corners_mm[keep]
        )


def plate_triangles(
    parts: Mapping[str, NDArray[np.float64]], late: frozenset[str] = frozenset()
) -> PlateTriangles:
    """Parts as obstacles.

    Args:
        parts: Triangles of each part's closed surface, shape (k, 3, 3), by its name.
        late: Names of those that are welded in after the joints.
    """
    return PlateTriangles(
        names=tuple(parts),
        late=late,
        part_of=np.repeat(np.arange(len(parts)), [len(one) for one in parts.values()]).astype(np.int64),
        corners_mm=np.concatenate([*parts.values(), np.empty((0, 3, 3))]),
    )


NO_PLATES = plate_triangles({})


def plates_met(plates: PlateTriangles, starts: Points, ends: Points, radius_mm: float) -> NDArray[np.int64]:
    """Which part each rod meets first in the list of triangles that are nearest; -1 for none; shape (n,)."""
    met = np.full(len(starts), -1, dtype=np.int64)
    count = len(plates.part_of)
    if not count:
        return met
    lot = max(1, _LOT // count)
    for first in range(0, len(starts), lot):
        some = slice(first, first + lot)
        apart = rods_to_triangles_mm(starts[some], ends[some], plates.corners_mm)
        nearest = np.argmin(apart, axis=1)
        least = np.take_along_axis(apart, nearest[:, None], axis=1)[:, 0]
        met[some] = np.where(least < radius_mm, plates.part_of[nearest], -1)
    return met


def rods_to_triangles_mm(
    starts: Points, ends: Points, corners_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Distance between pieces of line, shape (n, 3), and triangles, shape (m, 3, 3); shape (n, m).

    Source: C. Ericson, Real-Time Collision Detection (2005), 5.1.10: it is 0 where the line goes through, else that to
    an edge, or of an end to the face under it.
    """
    a, b, c = (corners_mm[:, k] for k in range(3))
    apart = rods_apart_mm(starts, ends, a, b)
    for one, other in ((b, c), (c, a)):
        apart = np.minimum(apart, rods_apart_mm(starts, ends, one, other))
    normal = np.cross(b - a, c - a)
    size = np.linalg.norm(normal, axis=1)
    normal = normal / np.where(size > 0.0, size, 1.0)[:, None]
    level = (a * normal).sum(axis=1)
    over = [places @ normal.T - level for places in (starts, ends)]
    for places, height in zip((starts, ends), over, strict=True):
        inside = _inside(places[:, None] - height[..., None] * normal, corners_mm, normal)
        apart = np.where(inside, np.minimum(apart, np.abs(height)), apart)
    crosses = over[0] * over[1] < 0.0
    share = over[0] / np.where(crosses, over[0] - over[1], 1.0)
    through = starts[:, None] + share[..., None] * (ends - starts)[:, None]
    return np.where(crosses & _inside(through, corners_mm, normal), 0.0, apart)


def _inside(
    places: NDArray[np.float64], corners_mm: NDArray[np.float64], normal: Points
) -> NDArray[np.bool_]:
    """Whether places in the planes of triangles, shape (n, m, 3), lie in them."""
    inside = np.ones(places.shape[:2], dtype=bool)
    for k in range(3):
        edge = corners_mm[:, (k + 1) % 3] - corners_mm[:, k]
        inside &= ((places - corners_mm[:, k]) * np.cross(normal, edge)).sum(axis=2) >= _INSIDE
    return inside

"""Planes through metal of which some does not belong: beads, brackets, weld seams."""

import numpy as np
from scipy.optimize import linprog

from hoopwright.geometry import Plane, Points, Vector, fit_plane

_TRIALS = 256
_SEED = 20_03
_ROUNDS = 4
_TILE_MM = 15.0
"""Points are averaged over so much before the least largest distance is sought, else a scanner's noise tilts it."""


def commonest_plane(
    points_mm: Points,
    toward: Vector,
    *,
    band_mm: float,
    through_mm: Vector | None = None,
    through_within_mm: float = 0.0,
) -> Plane | None:
    """The plane that most points lie on, its normal to the side of `toward`; None where there is none.

    Args:
        points_mm: Shape (n, 3).
        toward: A direction to the bar's side.
        band_mm: How far a point may lie off and still belong.
        through_mm: A place that the plane must pass by.
        through_within_mm: How near.

    Source: M. A. Fischler and R. C. Bolles, Communications of the ACM 24 (1981) 381, with fixed draws, then least
    squares over those that belong.
    """
    if len(points_mm) < 3:
        return None
    draws = np.random.Generator(np.random.PCG64(_SEED)).integers(0, len(points_mm), size=(_TRIALS, 3))
    a, b, c = (points_mm[draws[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    size = np.linalg.norm(normals, axis=1)
    good = size > 1.0
    if not good.any():
        return None
    normals, a = normals[good] / size[good, None], a[good]
    offsets = (normals * a).sum(axis=1)
    count = (np.abs(normals @ points_mm.T - offsets[:, None]) <= band_mm).sum(axis=1)
    if through_mm is not None:
        count[np.abs(normals @ through_mm - offsets) > through_within_mm] = 0
    best = int(np.argmax(count))
    if count[best] < 3:
        return None
    return settled_plane(
        points_mm, oriented(Plane(normals[best], float(offsets[best])), toward), band_mm=band_mm
    )


def settled_plane(points_mm: Points, plane: Plane, *, band_mm: float) -> Plane:
    """The least-squares plane of the points of shape (n, 3) within a band of a plane, taken anew a few times."""
    for _ in range(_ROUNDS):
        belongs = np.abs(plane.distance_mm(points_mm)) <= band_mm
        if belongs.sum() < 3:
            return plane
        plane = oriented(fit_plane(points_mm[belongs])[0], plane.normal)
    return plane


def laid_plane(points_mm: Points, plane: Plane, *, band_mm: float, rim_mm: float) -> Plane:
    """How a plate lies on metal: evenly on a sheet that is crowned at most, else on what most of the metal agrees on.

    Args:
        points_mm: Shape (n, 3).
        plane: One near it.
        band_mm: How far a point may lie off most of the metal and still belong to it.
        rim_mm: Metal that all lies so near has no bead, and the plate is laid evenly on it.
    """
    most = commonest_plane(points_mm, plane.normal, band_mm=band_mm)
    if most is None or float(most.normal @ plane.normal) < 0.9:
        return plane
    if float(np.quantile(np.abs(most.distance_mm(points_mm)), 0.99)) > rim_mm:
        return most
    smooth = evenest_plane(points_mm, most, band_mm=rim_mm, tile_mm=_TILE_MM)
    if float(np.abs(smooth.distance_mm(points_mm)).max()) <= band_mm:
        return smooth
    return evenest_plane(points_mm, most, band_mm=rim_mm)


def evenest_plane(points_mm: Points, plane: Plane, *, band_mm: float, tile_mm: float = 0.0) -> Plane:
    """The plane whose largest distance to the points near it is least: how a plate is laid on a crowned sheet.

    Args:
        points_mm: Shape (n, 3).
        plane: One near it.
        band_mm: Points within so much of that plane count.
        tile_mm: Points are averaged over so much first; 0 takes each as it is.

    Source: E. W. Cheney, Introduction to Approximation Theory (1966), chapter 2: the least largest deviation as a
    linear programme, solved by HiGHS.
    """
    offs = plane.distance_mm(points_mm)
    near = np.abs(offs) <= band_mm
    if near.sum() < 4:
        return plane
    middle = points_mm[near].mean(axis=0)
    first = np.cross(plane.normal, np.eye(3)[int(np.argmin(np.abs(plane.normal)))])
    axes = np.stack([first / np.linalg.norm(first), np.cross(plane.normal, first / np.linalg.norm(first))])
    flat, height = (points_mm[near] - middle) @ axes.T, offs[near]
    if tile_mm > 0.0:
        flat, height = _averaged(flat, height, tile_mm)
    # unknowns: slope both ways, height at the middle, largest deviation; lengths in hundreds of mm keep it even
    side = np.column_stack([flat / 100.0, np.ones(len(flat))])
    ones = np.ones((len(flat), 1))
    found = linprog(
        [0.0, 0.0, 0.0, 1.0],
        A_ub=np.vstack([np.hstack([side, -ones]), np.hstack([-side, -ones])]),
        b_ub=np.concatenate([height, -height]),
        bounds=[(None, None)] * 3 + [(0.0, None)],
    )
    if found.status != 0 or found.x is None:
        return plane
    slopes, lift = found.x[:2] / 100.0, float(found.x[2])
    normal = plane.normal - slopes @ axes
    at = middle + plane.normal * (lift - float(plane.distance_mm(middle[None])[0]))
    return oriented(Plane.through(at, normal), plane.normal)


def _averaged(flat: Points, height: Vector, tile_mm: float) -> tuple[Points, Vector]:
    """Places of shape (n, 2) and heights, averaged over tiles."""
    tiles = np.floor(flat / tile_mm).astype(np.int64)
    _, tile = np.unique(tiles, axis=0, return_inverse=True)
    tile = tile.reshape(-1)
    count = np.bincount(tile)
    means = [np.bincount(tile, weights=values) / count for values in (flat[:, 0], flat[:, 1], height)]
    return np.stack(means[:2], axis=1), means[2]


def oriented(plane: Plane, toward: Vector) -> Plane:
    """The plane with its normal to the side of a direction."""
    if float(plane.normal @ toward) >= 0.0:
        return plane
    return Plane(-plane.normal, -plane.offset_mm)

"""Where in a cloud of points there is tube, how thick it is, and where its axis runs: from small patches of points."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from hoopwright.geometry import Points, Vector

NEIGHBOURS = 64
FEWEST_NEIGHBOURS = 14
SEEDS = 9000
CLOUD = 60_000
THINNEST_MM, THICKEST_MM = 6.0, 60.0
_ROUND_SHARE = 0.4
_LIKE_RADIUS = 1.35
_FLAT_RATIO = 5.0
_CLUMP_SHARE = 0.4
_WIDEST_PATCH_RATIO = 0.7
_FEWEST_PATCHES = 30
_LEAST_REACH_MM = 8.0


@dataclass(frozen=True, eq=False, kw_only=True)
class TubePatches:
    """Patches that look like tube of one thickness.

    Args:
        axis_mm: A place on the axis for each patch, shape (n, 3).
        directions: Rough direction of the axis there, shape (n, 3).
        radius_mm: Outside radius that most patches agree on.
        noise_mm: Scatter of the points about a patch, the middle one of all patches.
    """

    axis_mm: Points
    directions: Points
    radius_mm: float
    noise_mm: float


_NONE = TubePatches(axis_mm=np.empty((0, 3)), directions=np.empty((0, 3)), radius_mm=0.0, noise_mm=0.0)


def tube_patches(
    points_mm: Points,
    rng: np.random.Generator,
    *,
    neighbours: int = NEIGHBOURS,
    thinnest_mm: float = THINNEST_MM,
    thickest_mm: float = THICKEST_MM,
) -> TubePatches:
    """Patches of tube in a cloud; none where nothing is round.

    A quadric is laid through the neighbours of each of some thousand points; where it bends one way only, its radius
    and the direction in which it does not bend are those of a tube.

    Args:
        points_mm: Finite points, shape (n, 3).
        rng: Chooses points where there are more than needed.
        neighbours: How many points make a patch.
        thinnest_mm: Least outside radius that counts.
        thickest_mm: Greatest.

    Source: second fundamental form of a least-squares quadric, as in any text on differential geometry.
    """
    cloud = _not_too_dense(points_mm[rng.permutation(len(points_mm))[:CLOUD]], neighbours)
    seeds = cloud if len(cloud) <= SEEDS else cloud[:SEEDS]
    tree, limits = cKDTree(cloud), (thinnest_mm, thickest_mm)
    found, reach_mm = _round_ones(_quadrics(tree, seeds, neighbours), limits)
    if len(found.axis_mm) and reach_mm > _WIDEST_PATCH_RATIO * found.radius_mm:
        # points so far apart that a patch goes round the tube
        fewer = max(
            FEWEST_NEIGHBOURS, int(neighbours * (_WIDEST_PATCH_RATIO * found.radius_mm / reach_mm) ** 2)
        )
        found, _ = _round_ones(_quadrics(tree, seeds, fewer), limits)
    return found


def _not_too_dense(cloud: Points, neighbours: int) -> Points:
    """So many of the points, in their random order, that a patch is wide enough to bend more than it scatters."""
    few = cloud[:500]
    apart = np.asarray(cKDTree(cloud).query(few, k=min(neighbours, len(cloud)))[0])
    reach = float(np.median(apart[:, -1]))
    if reach >= _LEAST_REACH_MM:
        return cloud
    return cloud[: max(_FEWEST_PATCHES * neighbours, int(len(cloud) * (reach / _LEAST_REACH_MM) ** 2))]


@dataclass(frozen=True, eq=False, kw_only=True)
class _Quadrics:
    curvature_per_mm: Vector
    other_per_mm: Vector
    to_centre: Points
    base_mm: Points
    unbent: Points
    noise_mm: Vector
    reach_mm: Vector
    is_surface: NDArray[np.bool_]


def _round_ones(made: _Quadrics, limits_mm: tuple[float, float]) -> tuple[TubePatches, float]:
    """The patches that bend one way only and by like radii, and how far patches reach."""
    with np.errstate(divide="ignore"):
        radius = 1.0 / np.abs(made.curvature_per_mm)
    one_way = np.abs(made.other_per_mm) < _ROUND_SHARE * np.abs(made.curvature_per_mm)
    good = one_way & made.is_surface & (radius > limits_mm[0]) & (radius < limits_mm[1])
    if good.sum() < _FEWEST_PATCHES:
        return _NONE, 0.0
    most = _mode_mm(radius[good])
    like = good & (radius < most * _LIKE_RADIUS) & (radius > most / _LIKE_RADIUS)
    found = TubePatches(
        axis_mm=made.base_mm[like] + made.to_centre[like] * most,
        directions=made.unbent[like],
        radius_mm=most,
        noise_mm=float(np.median(made.noise_mm[like])),
    )
    return found, float(np.median(made.reach_mm[like]))


def _quadrics(tree: cKDTree, seeds: Points, neighbours: int) -> _Quadrics:
    """A quadric through the neighbours of each seed, in the axes of their spread."""
    cloud = tree.data
    apart, near = map(np.asarray, tree.query(seeds, k=min(neighbours, len(cloud))))
    offsets = cloud[near] - seeds[:, None]
    middle = offsets.mean(axis=1)
    centred = offsets - middle[:, None]
    size, axes = np.linalg.eigh(np.einsum("nki,nkj->nij", centred, centred))
    scale = np.sqrt(np.maximum(size[:, 2], 1e-12) / offsets.shape[1])[:, None]
    local = np.einsum("nki,nij->nkj", centred, axes) / scale[:, :, None]
    found, left = _least_squares(local[..., 2], local[..., 1], local[..., 0])
    form = np.stack([2 * found[:, 3], found[:, 4], found[:, 4], 2 * found[:, 5]], -1)
    steep = (1.0 + found[:, 1] ** 2 + found[:, 2] ** 2) ** 1.5 * scale[:, 0]
    bent, ways = np.linalg.eigh(form.reshape(-1, 2, 2))
    first, rows = np.argmax(np.abs(bent), axis=1), np.arange(len(seeds))
    flat = ways[rows, :, 1 - first]
    up = axes[:, :, 0] - found[:, 1:2] * axes[:, :, 2] - found[:, 2:3] * axes[:, :, 1]
    up /= np.linalg.norm(up, axis=1)[:, None]
    return _Quadrics(
        curvature_per_mm=bent[rows, first] / steep,
        other_per_mm=bent[rows, 1 - first] / steep,
        to_centre=up * np.sign(bent[rows, first])[:, None],
        base_mm=seeds + middle + axes[:, :, 0] * found[:, :1] * scale,
        unbent=flat[:, :1] * axes[:, :, 2] + flat[:, 1:] * axes[:, :, 1],
        noise_mm=left * scale[:, 0],
        reach_mm=apart[:, -1],
        # neighbours on a line, or all round in a clump, are no surface
        is_surface=(size[:, 1] * _FLAT_RATIO > size[:, 2]) & (left < _CLUMP_SHARE),
    )


def _least_squares(x: Points, y: Points, z: Points) -> tuple[Points, Vector]:
    """Six terms of z(x, y) for each row, and the root mean square of what is left."""
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    normal = np.einsum("nki,nkj->nij", terms, terms) + 1e-9 * np.eye(6)
    found = np.linalg.solve(normal, np.einsum("nki,nk->ni", terms, z)[..., None])[..., 0]
    left = z - np.einsum("nki,ni->nk", terms, found)
    return found, np.sqrt((left**2).sum(axis=1) / max(z.shape[1] - 6, 1))


def _mode_mm(radii: NDArray[np.float64]) -> float:
    """The radius that most agree on: the middle of the fullest tenth of a decade, then the median about it."""
    logs = np.log(radii)
    counts, edges = np.histogram(logs, bins=np.arange(logs.min() - 0.1, logs.max() + 0.2, 0.05))
    smooth = np.convolve(counts, [0.5, 1.0, 1.0, 1.0, 0.5], mode="same")
    top = edges[int(np.argmax(smooth))] + 0.025
    return float(np.exp(np.median(logs[np.abs(logs - top) < 0.15])))

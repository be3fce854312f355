"""Where in a cloud of points there is tube, how thick it is, and where its axis runs: from small patches of points."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from hoopwright.geometry import Points, Vector

NEIGHBOURS = 64
SEEDS = 9000
CLOUD = 60_000
THINNEST_MM, THICKEST_MM = 6.0, 60.0
_ROUND_SHARE = 0.4
_LIKE_RADIUS = 1.35
_FLAT_RATIO = 5.0


@dataclass(frozen=True, eq=False, kw_only=True)
class TubePatches:
    """Patches that look like tube of one thickness.

    Args:
        axis_mm: A place on the axis for each patch, shape (n, 3).
        directions: Rough direction of the axis there, shape (n, 3).
        radius_mm: Outside radius that most patches agree on.
    """

    axis_mm: Points
    directions: Points
    radius_mm: float


def tube_patches(
    points_mm: Points,
    rng: np.random.Generator,
    *,
    thinnest_mm: float = THINNEST_MM,
    thickest_mm: float = THICKEST_MM,
) -> TubePatches:
    """Patches of tube in a cloud; none where nothing is round.

    A quadric is laid through the neighbours of each of some thousand points; where it bends one way only, its radius
    and the direction in which it does not bend are those of a tube.

    Args:
        points_mm: Finite points, shape (n, 3).
        rng: Chooses points where there are more than needed.
        thinnest_mm: Least outside radius that counts.
        thickest_mm: Greatest.

    Source: second fundamental form of a least-squares quadric, as in any text on differential geometry.
    """
    cloud = (
        points_mm if len(points_mm) <= CLOUD else points_mm[rng.choice(len(points_mm), CLOUD, replace=False)]
    )
    seeds = cloud if len(cloud) <= SEEDS else cloud[:SEEDS]
    made = _quadrics(cloud, seeds)
    curve, other, centre_way, base, along = made
    with np.errstate(divide="ignore"):
        radius = 1.0 / np.abs(curve)
    round_one_way = (
        (radius > thinnest_mm) & (radius < thickest_mm) & (np.abs(other) < _ROUND_SHARE * np.abs(curve))
    )
    if round_one_way.sum() < 30:
        return TubePatches(axis_mm=np.empty((0, 3)), directions=np.empty((0, 3)), radius_mm=0.0)
    most = _mode_mm(radius[round_one_way])
    like = round_one_way & (radius < most * _LIKE_RADIUS) & (radius > most / _LIKE_RADIUS)
    axis = base[like] + centre_way[like] * most
    return TubePatches(axis_mm=axis, directions=along[like], radius_mm=most)


def _quadrics(cloud: Points, seeds: Points) -> tuple[Vector, Vector, Points, Points, Points]:
    """Greatest and least curvature, the way to the centre, the place on the surface and the unbent direction."""
    _, near = cKDTree(cloud).query(seeds, k=min(NEIGHBOURS, len(cloud)))
    offsets = cloud[near] - seeds[:, None]
    middle = offsets.mean(axis=1)
    centred = offsets - middle[:, None]
    size, axes = np.linalg.eigh(np.einsum("nki,nkj->nij", centred, centred))
    local = np.einsum("nki,nij->nkj", centred, axes)
    scale = np.sqrt(np.maximum(size[:, 2], 1e-12) / offsets.shape[1])[:, None]
    x, y, z = local[..., 2] / scale, local[..., 1] / scale, local[..., 0] / scale
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    normal = np.einsum("nki,nkj->nij", terms, terms) + 1e-9 * np.eye(6)
    found = np.linalg.solve(normal, np.einsum("nki,nk->ni", terms, z)[..., None])[..., 0]
    form = np.stack(
        [np.stack([2 * found[:, 3], found[:, 4]], -1), np.stack([found[:, 4], 2 * found[:, 5]], -1)], -2
    )
    steep = (1.0 + found[:, 1] ** 2 + found[:, 2] ** 2) ** 1.5
    bent, ways = np.linalg.eigh(form)
    first = np.argmax(np.abs(bent), axis=1)
    rows = np.arange(len(seeds))
    curve, other = bent[rows, first], bent[rows, 1 - first]
    flat = ways[rows, :, 1 - first]
    along = flat[:, :1] * axes[:, :, 2] + flat[:, 1:] * axes[:, :, 1]
    up = axes[:, :, 0] - found[:, 1:2] * axes[:, :, 2] - found[:, 2:3] * axes[:, :, 1]
    up /= np.linalg.norm(up, axis=1)[:, None]
    base = seeds + middle + axes[:, :, 0] * found[:, :1] * scale
    # not spread out in a patch: the neighbours lie on a line or in a clump
    thin = size[:, 1] * _FLAT_RATIO < size[:, 2]
    curve = np.where(thin, 0.0, curve / steep / scale[:, 0])
    return curve, other / steep / scale[:, 0], up * np.sign(curve)[:, None], base, along


def _mode_mm(radii: NDArray[np.float64]) -> float:
    """The radius that most agree on: the middle of the fullest tenth of a decade, then the median about it."""
    logs = np.log(radii)
    counts, edges = np.histogram(logs, bins=np.arange(logs.min() - 0.1, logs.max() + 0.2, 0.05))
    smooth = np.convolve(counts, [0.5, 1.0, 1.0, 1.0, 0.5], mode="same")
    top = edges[int(np.argmax(smooth))] + 0.025
    return float(np.exp(np.median(logs[np.abs(logs - top) < 0.15])))

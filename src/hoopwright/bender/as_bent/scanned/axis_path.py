"""The axis of the bar as an ordered row of places, and what of the scan belongs to something else."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components, dijkstra, minimum_spanning_tree
from scipy.spatial import cKDTree

from hoopwright.bender.as_bent.scanned.patches import TubePatches
from hoopwright.geometry import Points

STEP_RATIO = 0.35
WIDEST_GAP_RATIO = 8.0
_ALONE = 4
_MOST_NEIGHBOURS = 120
_LINE_SHARE = 0.85


@dataclass(frozen=True, eq=False, kw_only=True)
class AxisPath:
    """The longest run of axis in a scan.

    Args:
        places_mm: In order along the bar, shape (n, 3).
        step_mm: About how far they are apart where the scan covers the bar.
        other_mm: Length of tube that is not on the run.
    """

    places_mm: Points
    step_mm: float
    other_mm: float

    @property
    def length_mm(self) -> float:
        """Length along the run."""
        return float(np.linalg.norm(np.diff(self.places_mm, axis=0), axis=1).sum())


def axis_path(patches: TubePatches) -> AxisPath | None:
    """The longest run through the axis places of the patches; None without any.

    Gaps of up to some diameters, where the scan did not see the bar, are bridged.
    """
    step = STEP_RATIO * 2.0 * patches.radius_mm
    places = _thinned(_pulled_to_line(patches), step)
    if len(places) < _ALONE:
        return None
    tree = _tree(places, WIDEST_GAP_RATIO * 2.0 * patches.radius_mm)
    order = _longest(tree)
    on = places[order]
    away = np.asarray(cKDTree(on).query(places)[0])
    other = float((away > 3.0 * patches.radius_mm).sum()) * step
    return AxisPath(places_mm=on, step_mm=step, other_mm=other)


def _pulled_to_line(patches: TubePatches) -> Points:
    """Axis places moved to the line through their neighbours; those that lie on no line are left out."""
    axis = _not_too_many(patches.axis_mm, patches.radius_mm * 1.2)
    pairs = cKDTree(axis).query_pairs(patches.radius_mm * 1.2, output_type="ndarray")
    pairs = np.concatenate([pairs, pairs[:, ::-1], np.repeat(np.arange(len(axis))[:, None], 2, axis=1)])
    count = np.bincount(pairs[:, 0], minlength=len(axis)).astype(np.float64)
    middle = _summed(pairs[:, 0], axis[pairs[:, 1]], len(axis)) / count[:, None]
    off = axis[pairs[:, 1]] - middle[pairs[:, 0]]
    spread = _summed(pairs[:, 0], (off[:, :, None] * off[:, None, :]).reshape(-1, 9), len(axis))
    size, ways = np.linalg.eigh(spread.reshape(-1, 3, 3))
    way = ways[:, :, 2]
    share = size[:, 2] / np.maximum(size.sum(axis=1), 1e-12)
    along = np.einsum("ni,ni->n", axis - middle, way)
    kept: Points = (middle + along[:, None] * way)[(share > _LINE_SHARE) & (count >= _ALONE)]
    return kept


def _not_too_many(axis: Points, reach_mm: float) -> Points:
    """Every so many of the places, where a short tube has crowded them."""
    some = axis[:: max(1, len(axis) // 200)]
    usual = float(np.mean(cKDTree(axis).query_ball_point(some, reach_mm, return_length=True)))
    return axis[:: max(1, round(usual / _MOST_NEIGHBOURS))]


def _summed(rows: NDArray[np.intp], values: NDArray[np.float64], size: int) -> NDArray[np.float64]:
    return np.stack(
        [np.bincount(rows, weights=values[:, k], minlength=size) for k in range(values.shape[1])], axis=1
    )


def _thinned(places: Points, step_mm: float) -> Points:
    """One place for each cube, the mean of those in it."""
    if len(places) == 0:
        return places
    cube = np.floor((places - places.min(axis=0)) / step_mm).astype(np.int64)
    _, which, count = np.unique(cube, axis=0, return_inverse=True, return_counts=True)
    which = which.reshape(-1)
    return _summed(which, places, len(count)) / count[:, None]


def _tree(places: Points, widest_mm: float) -> "csr_matrix[np.float64]":
    """The shortest tree through the places, of links up to a length; its longest connected part."""
    near = min(len(places) - 1, 24)
    apart, index = map(np.asarray, cKDTree(places).query(places, k=near + 1))
    rows = np.repeat(np.arange(len(places)), near)
    columns, lengths = index[:, 1:].ravel(), apart[:, 1:].ravel()
    links = _ends_linked(places, rows, columns, lengths, widest_mm)
    return csr_matrix(minimum_spanning_tree(links))


def _ends_linked(
    places: Points,
    rows: NDArray[np.intp],
    columns: NDArray[np.intp],
    lengths: NDArray[np.float64],
    widest_mm: float,
) -> "csr_matrix[np.float64]":
    """Near neighbours, and between parts that these leave apart the shortest link that is short enough."""
    good = lengths <= widest_mm
    rows, columns, lengths = rows[good], columns[good], np.maximum(lengths[good], 1e-6)
    size = (len(places), len(places))
    parts, label = connected_components(csr_matrix((lengths, (rows, columns)), shape=size), directed=False)
    extra = []
    for first in range(parts if parts <= 60 else 0):
        for second in range(first + 1, parts):
            a, b = np.flatnonzero(label == first), np.flatnonzero(label == second)
            apart, nearest = map(np.asarray, cKDTree(places[b]).query(places[a]))
            at = int(np.argmin(apart))
            if apart[at] <= widest_mm:
                extra.append((a[at], b[nearest[at]], apart[at]))
    if extra:
        more_rows, more_columns, more_lengths = zip(*extra, strict=True)
        rows = np.concatenate([rows, more_rows])
        columns = np.concatenate([columns, more_columns])
        lengths = np.concatenate([lengths, more_lengths])
    return csr_matrix((lengths, (rows, columns)), shape=size)


def _longest(links: "csr_matrix[np.float64]") -> NDArray[np.intp]:
    """Places along the longest way through the tree."""
    parts, label = connected_components(links, directed=False)
    best: NDArray[np.intp] = np.array([0])
    longest = -1.0
    for part in np.argsort(-np.bincount(label))[: min(parts, 8)]:
        inside = np.flatnonzero(label == part)
        away = dijkstra(links, directed=False, indices=[int(inside[0])])[0]
        start = int(inside[np.argmax(away[inside])])
        ways, befores = dijkstra(links, directed=False, indices=[start], return_predecessors=True)
        away, before = ways[0], befores[0]
        end = int(inside[np.argmax(away[inside])])
        if away[end] > longest:
            longest = float(away[end])
            way = [end]
            while way[-1] != start:
                way.append(int(before[way[-1]]))
            best = np.array(way[::-1])
    return best

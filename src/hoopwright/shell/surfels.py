"""A scan thinned to one small disc of metal per cell of a grid: for alignment, symmetry and regions.

No number that is shown as a gap comes from here.
"""

import math
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import ndimage
from scipy.spatial import cKDTree

from hoopwright.geometry import Points, Vector
from hoopwright.shell.tree import TriangleTree

CELL_MM = 15.0
_BODY_CELL_MM = 45.0
_MOST_CELLS = 30_000_000
_SLAB = 0.2
_BESIDE_FLOOR = 0.03
_LOOKED_AT = 8
_SAME_POINT_MM = 1e-3
_POINTS_PER_DISC = 16
"""A plane through fewer points of a cloud follows their noise."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Surfels:
    """One disc of metal per occupied cell.

    Args:
        cell_mm: Size of a cell.
        middle_mm: Middle of the metal in the cell, shape (k, 3).
        normal: Unit normal without a meaning of its sign, shape (k, 3).
        area_mm2: Metal in the cell, shape (k,); for a cloud one cell face for every cell.
        flatness: Share of the metal that agrees with the normal, shape (k,), 0 to 1.
        cell: Integer cell coordinates, shape (k, 3).
        of_triangle: The surfel of each triangle of the tree, shape (n,); -1 outside the body.
    """

    cell_mm: float
    middle_mm: Points
    normal: Points
    area_mm2: Vector
    flatness: Vector
    cell: NDArray[np.int32]
    of_triangle: NDArray[np.int32]


def make_surfels(tree: TriangleTree, *, is_cloud: bool, cell_mm: float = CELL_MM) -> Surfels:
    """Thin the main body of a scan; pieces that float free of it are left out.

    Args:
        tree: The scan.
        is_cloud: Whether the triangles are points.
        cell_mm: Size of a cell; larger where the body would need too many.
    """
    low, high = main_body_box(tree)
    if is_cloud:
        cell_mm = max(cell_mm, math.sqrt(_POINTS_PER_DISC) * cloud_spacing_mm(tree))
    # metal in the box's own faces may come out a rounding error beyond them
    low = low - 0.5 * cell_mm
    size = max(cell_mm, float((np.prod(high - low + 2 * cell_mm) / _MOST_CELLS) ** (1 / 3)))
    shape = np.ceil((high - low) / size).astype(np.int64) + 1
    number = np.full(int(np.prod(shape)), -1, dtype=np.int32)
    of_triangle = np.empty(len(tree.corners), dtype=np.int32)
    capacity = _number_cells(tree.corners, low, size, shape, number, of_triangle)
    sums = np.zeros((capacity, 16))
    _sum_cells(tree.corners, low, size, shape, number, sums)
    weight = sums[:, 0]
    middle = sums[:, 1:4] / weight[:, None]
    spread = _symmetric(sums[:, 10:16]) / weight[:, None, None] - middle[:, :, None] * middle[:, None, :]
    values, vectors = np.linalg.eigh(spread if is_cloud else _symmetric(sums[:, 4:10]))
    normal = vectors[:, :, 0] if is_cloud else vectors[:, :, 2]
    whole = np.maximum(values.sum(axis=1), 1e-12)
    flatness = 1.0 - 3.0 * values[:, 0] / whole if is_cloud else values[:, 2] / whole
    cells = np.stack(np.unravel_index(np.flatnonzero(number >= 0), shape), axis=1).astype(np.int32)
    by_number = np.empty_like(cells)
    by_number[number[number >= 0]] = cells
    return Surfels(
        cell_mm=size,
        middle_mm=middle + low,
        normal=normal,
        area_mm2=np.full(capacity, size * size) if is_cloud else weight,
        flatness=np.clip(flatness, 0.0, 1.0),
        cell=by_number,
        of_triangle=of_triangle,
    )


def main_body_box(tree: TriangleTree) -> tuple[Vector, Vector]:
    """Lowest and highest corner of the largest connected piece, joined across gaps of about a hand."""
    low = tree.lowest_mm
    extent = tree.highest_mm - low
    size = max(_BODY_CELL_MM, float((np.prod(extent + _BODY_CELL_MM) / _MOST_CELLS) ** (1 / 3)))
    shape = np.ceil(extent / size).astype(np.int64) + 1
    filled = np.zeros(int(np.prod(shape)), dtype=np.int32)
    _count_cells(tree.corners, low, size, shape, filled)
    occupied = filled.reshape(shape) > 0
    labels, pieces = ndimage.label(occupied, structure=np.ones((3, 3, 3)))
    if pieces <= 1:
        return low, tree.highest_mm
    cells = np.bincount(labels[occupied].ravel(), minlength=pieces + 1)
    place = np.argwhere(labels == int(np.argmax(cells)))
    if _is_slab(place):
        # a workshop floor with what stands on it: the car may hang free above it
        place = np.argwhere(np.isin(labels, np.flatnonzero(cells >= _BESIDE_FLOOR * cells.max())))
    top = low + (place.max(axis=0) + 1.5) * size
    return low + (place.min(axis=0) - 0.5) * size, np.minimum(top, tree.highest_mm)


def _is_slab(cells: NDArray[np.int64]) -> bool:
    """Whether cells lie about one plane, as a floor does and a car's body does not."""
    if len(cells) < 2:
        return False
    spread = np.linalg.svd(np.cov(cells.T), compute_uv=False)
    return bool(spread[2] < _SLAB**2 * spread[1])


def cloud_spacing_mm(tree: TriangleTree) -> float:
    """Typical distance between neighbouring points of a cloud, from up to 4000 of them."""
    points = tree.corners[:, :3].astype(np.float64)
    search = cKDTree(points, balanced_tree=False, compact_nodes=False)
    picked = points[:: max(1, len(points) // 4000)]
    near = np.asarray(search.query(picked, k=min(_LOOKED_AT, len(points)))[0]).reshape(len(picked), -1)
    # a point that was written twice is no neighbour of itself
    to_next = np.where(near > _SAME_POINT_MM, near, np.inf).min(axis=1)
    apart = to_next[np.isfinite(to_next)]
    return float(np.median(apart)) if len(apart) else 0.0


def cell_numbers(
    tree: TriangleTree, low: Vector, size_mm: float, shape: NDArray[np.int64]
) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    """How much metal lies in each cell of a grid, and in which cell each triangle begins.

    Args:
        tree: The triangles.
        low: Lowest corner of the grid, mm, shape (3,).
        size_mm: Edge of a cell.
        shape: How many cells along each axis, shape (3,).

    Returns:
        A count for each cell, shape (cells,), and for each triangle the cell of its first corner, shape (t,).
    """
    filled = np.zeros(int(np.prod(shape)), dtype=np.int32)
    _count_cells(tree.corners, low, size_mm, shape, filled)
    cell = np.minimum(((tree.corners[:, :3] - low) // size_mm).astype(np.int64), shape - 1)
    flat = (cell[:, 0] * shape[1] + cell[:, 1]) * shape[2] + cell[:, 2]
    return filled, flat


def piece_cells(surfels: Surfels, keep: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Number of the connected piece of each kept surfel, shape (k,), largest first from 0; -1 if not kept."""
    coarse = surfels.cell // 3
    grid = np.zeros(coarse.max(axis=0) + 1, dtype=bool)
    grid[tuple(coarse[keep].T)] = True
    labels, pieces = ndimage.label(grid, structure=np.ones((3, 3, 3)))
    of_surfel = np.where(keep, labels[tuple(coarse.T)], 0)
    area = np.bincount(of_surfel, weights=surfels.area_mm2, minlength=pieces + 1)
    area[0] = -1.0
    rank = np.empty(pieces + 1, dtype=np.int32)
    rank[np.argsort(-area)] = np.arange(pieces + 1)
    return np.where(keep, rank[of_surfel], -1).astype(np.int32)


def _symmetric(packed: NDArray[np.float64]) -> NDArray[np.float64]:
    """Packed xx xy xz yy yz zz as (k, 3, 3)."""
    return packed[:, [0, 1, 2, 1, 3, 4, 2, 4, 5]].reshape(-1, 3, 3)


@njit(inline="always")
def _cell_of(x, y, z, low, size, shape):  # type: ignore[no-untyped-def]
    i, j, k = int((x - low[0]) // size), int((y - low[1]) // size), int((z - low[2]) // size)
    if i < 0 or j < 0 or k < 0 or i >= shape[0] or j >= shape[1] or k >= shape[2]:
        return -1
    return (i * shape[1] + j) * shape[2] + k


@njit(inline="always")
def _parts(c, t, size):  # type: ignore[no-untyped-def]
    """Into how many pieces each edge is cut so that a piece is about a cell."""
    longest = 0.0
    for a, b in ((0, 3), (3, 6), (6, 0)):
        edge = (c[t, a] - c[t, b]) ** 2 + (c[t, a + 1] - c[t, b + 1]) ** 2 + (c[t, a + 2] - c[t, b + 2]) ** 2
        longest = max(longest, edge)
    return min(400, max(1, int(np.ceil(np.sqrt(longest) / size))))


@njit(inline="always")
def _part_middle(c, t, n, i, j):  # type: ignore[no-untyped-def]
    """Middle of piece j of row i: pieces point up and down in turn."""
    third = 1.0 / 3.0 if j % 2 == 0 else 2.0 / 3.0
    u, v = (i + third) / n, (j // 2 + third) / n
    w = 1.0 - u - v
    return (
        w * c[t, 0] + u * c[t, 3] + v * c[t, 6],
        w * c[t, 1] + u * c[t, 4] + v * c[t, 7],
        w * c[t, 2] + u * c[t, 5] + v * c[t, 8],
    )


@njit(cache=True, nogil=True)
def _count_cells(c, low, size, shape, filled):  # type: ignore[no-untyped-def]
    for t in range(len(c)):
        n = _parts(c, t, size)
        for i in range(n):
            for j in range(2 * (n - i) - 1):
                x, y, z = _part_middle(c, t, n, i, j)
                cell = _cell_of(x, y, z, low, size, shape)
                if cell >= 0:
                    filled[cell] += 1


@njit(cache=True, nogil=True)
def _number_cells(c, low, size, shape, number, of_triangle):  # type: ignore[no-untyped-def]
    """Number the occupied cells; the number of a triangle is that of its middle's cell."""
    count = 0
    for t in range(len(c)):
        n = _parts(c, t, size)
        last = -1
        for i in range(n):
            for j in range(2 * (n - i) - 1):
                x, y, z = _part_middle(c, t, n, i, j)
                cell = _cell_of(x, y, z, low, size, shape)
                if cell >= 0 and number[cell] < 0:
                    number[cell] = count
                    count += 1
                last = number[cell] if cell >= 0 else last
        cell = _cell_of(
            (c[t, 0] + c[t, 3] + c[t, 6]) / 3.0, (c[t, 1] + c[t, 4] + c[t, 7]) / 3.0,
            (c[t, 2] + c[t, 5] + c[t, 8]) / 3.0, low, size, shape,
        )  # fmt: skip
        # the middle of a triangle cut into an even number of rows may lie in a cell that no piece fell in
        of_triangle[t] = number[cell] if cell >= 0 and number[cell] >= 0 else last
    return count


@njit(cache=True, nogil=True)
def _sum_cells(c, low, size, shape, number, sums):  # type: ignore[no-untyped-def]
    """Per cell: weight, first moments, outer product of normals, second moments."""
    for t in range(len(c)):
        ex, ey, ez = c[t, 3] - c[t, 0], c[t, 4] - c[t, 1], c[t, 5] - c[t, 2]
        fx, fy, fz = c[t, 6] - c[t, 0], c[t, 7] - c[t, 1], c[t, 8] - c[t, 2]
        nx, ny, nz = ey * fz - ez * fy, ez * fx - ex * fz, ex * fy - ey * fx
        double = np.sqrt(nx * nx + ny * ny + nz * nz)
        n = _parts(c, t, size)
        # a point of a cloud, or a triangle without area, weighs next to nothing among real ones
        weight = 0.5 * double / (n * n) + 1e-9
        if double > 0.0:
            nx, ny, nz = nx / double, ny / double, nz / double
        for i in range(n):
            for j in range(2 * (n - i) - 1):
                x, y, z = _part_middle(c, t, n, i, j)
                cell = _cell_of(x, y, z, low, size, shape)
                if cell < 0:
                    continue
                s = sums[number[cell]]
                x, y, z = x - low[0], y - low[1], z - low[2]
                s[0] += weight
                s[1] += weight * x
                s[2] += weight * y
                s[3] += weight * z
                s[4] += weight * nx * nx
                s[5] += weight * nx * ny
                s[6] += weight * nx * nz
                s[7] += weight * ny * ny
                s[8] += weight * ny * nz
                s[9] += weight * nz * nz
                s[10] += weight * x * x
                s[11] += weight * x * y
                s[12] += weight * x * z
                s[13] += weight * y * y
                s[14] += weight * y * z
                s[15] += weight * z * z

"""Regions of a shell: connected patches of like normal (within 10 degrees)."""

from dataclasses import dataclass

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

from hoopwright.geometry import Points, Vector
from hoopwright.shell.surfels import Surfels
from hoopwright.shell.tree import TriangleTree, leaf_start

LIKE_NORMAL_DEG = 10.0
SMALL_PARTS = 0
NODE_SLOTS = 4
NONE = -1
MANY = -2
_LEAST_AREA_MM2 = 4000.0
_FLAT_ENOUGH = 0.9
_THIN_NEIGHBOURS = 4.5
"""A sheet's cell has eight like neighbours, one at a border five; a strip along a crease has two."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Regions:
    """The patches of a shell, in the scan's frame. Region 0 is all small parts together.

    Args:
        middle_mm: Middle of each region, shape (r, 3).
        normal: Mean normal without a meaning of its sign, shape (r, 3).
        area_mm2: Shape (r,).
        of_triangle: Region of each triangle of the tree, shape (n,).
        of_node: Regions found under each node of the tree, shape (nodes, 4): `NONE` fills the rest, `MANY`
            in the first place says that there are more.
    """

    middle_mm: Points
    normal: Points
    area_mm2: Vector
    of_triangle: NDArray[np.int32]
    of_node: NDArray[np.int32]

    @property
    def count(self) -> int:
        """How many regions, small parts included."""
        return len(self.area_mm2)


def find_regions(tree: TriangleTree, surfels: Surfels) -> Regions:
    """Grow patches over the surfels, then give every triangle to the patch whose sheet it lies in."""
    grid = _grid(surfels)
    seeds = np.lexsort((np.arange(len(surfels.flatness)), -surfels.area_mm2, -np.round(surfels.flatness, 2)))
    raw = np.full(len(seeds), -1, dtype=np.int32)
    _grow(
        surfels.cell, grid, surfels.middle_mm, surfels.normal, surfels.area_mm2, surfels.flatness,
        seeds, np.cos(np.radians(LIKE_NORMAL_DEG)), 0.5 * surfels.cell_mm, raw,
    )  # fmt: skip
    _dissolve_strips(surfels.cell, grid, raw)
    label = _by_size(raw, surfels.area_mm2)
    of_triangle = np.zeros(len(tree.corners), dtype=np.int32)
    _give(
        tree.corners, surfels.of_triangle, surfels.cell, grid, surfels.middle_mm, surfels.normal,
        surfels.flatness, label, surfels.cell_mm, of_triangle,
    )  # fmt: skip
    of_node = np.full((len(tree.boxes), NODE_SLOTS), NONE, dtype=np.int32)
    _node_regions(of_triangle, len(tree.boxes) // 2, of_node)
    middle, normal, area = _means(surfels, label)
    return Regions(
        middle_mm=middle,
        normal=normal,
        area_mm2=area,
        of_triangle=of_triangle,
        of_node=of_node,
    )


def regrouped(regions: Regions, tree: TriangleTree, of_triangle: NDArray[np.int32], more: int) -> Regions:
    """The regions with other triangles, and so many more at the end, which have no sheet of their own.

    Args:
        regions: As they were.
        tree: The triangles.
        of_triangle: The region of each, shape (n,).
        more: How many regions are added.
    """
    of_node = np.full((len(tree.boxes), NODE_SLOTS), NONE, dtype=np.int32)
    of_triangle = np.ascontiguousarray(of_triangle, dtype=np.int32)
    _node_regions(of_triangle, len(tree.boxes) // 2, of_node)
    rows = np.zeros((more, 3))
    return Regions(
        middle_mm=np.concatenate([regions.middle_mm, rows]),
        normal=np.concatenate([regions.normal, rows]),
        area_mm2=np.concatenate([regions.area_mm2, np.zeros(more)]),
        of_triangle=of_triangle,
        of_node=of_node,
    )


def _grid(surfels: Surfels) -> NDArray[np.int32]:
    grid = np.full(surfels.cell.max(axis=0) + 1, -1, dtype=np.int32)
    grid[tuple(surfels.cell.T)] = np.arange(len(surfels.cell), dtype=np.int32)
    return grid


def _dissolve_strips(cell: NDArray[np.int32], grid: NDArray[np.int32], raw: NDArray[np.int32]) -> None:
    """Take back patches one cell wide: the mixed normals along a crease, whose metal is in the sheets beside."""
    same = np.zeros(len(cell))
    padded = np.pad(grid, 1, constant_values=-1)
    for step in range(27):
        offset = np.array([step // 9, step // 3 % 3, step % 3])
        other = padded[tuple((cell + offset).T)]
        same += (other >= 0) & (raw[other] == raw) & (step != 13)
    counts = np.bincount(raw + 1)
    mean = np.bincount(raw + 1, weights=same) / np.maximum(counts, 1)
    raw[mean[raw + 1] < _THIN_NEIGHBOURS] = -1


def _by_size(raw: NDArray[np.int32], area: Vector) -> NDArray[np.int32]:
    """Numbers from 1 by falling area; patches below the least area become small parts."""
    total = np.bincount(raw + 1, weights=area)
    total[0] = 0.0
    order = np.argsort(-total, kind="stable")
    number = np.zeros(len(total), dtype=np.int32)
    big = order[total[order] >= _LEAST_AREA_MM2]
    number[big] = np.arange(1, len(big) + 1)
    return number[raw + 1]


def _means(surfels: Surfels, label: NDArray[np.int32]) -> tuple[Points, Points, Vector]:
    """Middle, mean normal and area of each region."""
    count = int(label.max()) + 1
    area = np.bincount(label, weights=surfels.area_mm2, minlength=count).astype(np.float64)
    first = np.zeros(count, dtype=np.int64)
    first[label[::-1]] = np.arange(len(label))[::-1]
    sign = np.sign(np.einsum("ij,ij->i", surfels.normal, surfels.normal[first][label]))
    middle, normal = np.zeros((count, 3)), np.zeros((count, 3))
    for axis in range(3):
        weighted = surfels.area_mm2 * surfels.middle_mm[:, axis]
        middle[:, axis] = np.bincount(label, weights=weighted, minlength=count) / np.maximum(area, 1e-9)
        weighted = surfels.area_mm2 * sign * surfels.normal[:, axis]
        normal[:, axis] = np.bincount(label, weights=weighted, minlength=count)
    length = np.linalg.norm(normal, axis=1, keepdims=True)
    return middle, normal / np.maximum(length, 1e-12), area


@njit(cache=True, nogil=True)
def _grow(cell, grid, middle, normal, area, flatness, seeds, like, sheet, label):  # type: ignore[no-untyped-def]
    """Breadth-first growth; a cell joins when its normal is like the patch's mean and its sheet goes on."""
    queue = np.empty(len(seeds), dtype=np.int64)
    regions = 0
    for seed in seeds:
        if label[seed] >= 0 or flatness[seed] < _FLAT_ENOUGH:
            continue
        sx, sy, sz = area[seed] * normal[seed, 0], area[seed] * normal[seed, 1], area[seed] * normal[seed, 2]
        label[seed] = regions
        queue[0], head, tail = seed, 0, 1
        while head < tail:
            here = queue[head]
            head += 1
            for step in range(27):
                i = cell[here, 0] + step // 9 - 1
                j = cell[here, 1] + step // 3 % 3 - 1
                k = cell[here, 2] + step % 3 - 1
                if i < 0 or j < 0 or k < 0 or i >= grid.shape[0] or j >= grid.shape[1] or k >= grid.shape[2]:
                    continue
                other = grid[i, j, k]
                if other < 0 or label[other] >= 0 or flatness[other] < _FLAT_ENOUGH:
                    continue
                dot = sx * normal[other, 0] + sy * normal[other, 1] + sz * normal[other, 2]
                if abs(dot) < like * np.sqrt(sx * sx + sy * sy + sz * sz):
                    continue
                off = 0.0
                for axis in range(3):
                    off += (middle[other, axis] - middle[here, axis]) * normal[here, axis]
                if abs(off) > sheet:
                    continue
                label[other] = regions
                weight = area[other] if dot > 0.0 else -area[other]
                sx += weight * normal[other, 0]
                sy += weight * normal[other, 1]
                sz += weight * normal[other, 2]
                queue[tail] = other
                tail += 1
        regions += 1


@njit(cache=True, nogil=True, parallel=True)
def _give(corners, of_triangle, cell, grid, middle, normal, flatness, label, size, region):  # type: ignore[no-untyped-def]
    """A triangle takes the region of its own cell when that is one sheet, else of the sheet nearest to it."""
    for t in prange(len(corners)):
        own = of_triangle[t]
        if own < 0:
            region[t] = SMALL_PARTS
            continue
        if label[own] > 0 and flatness[own] > 0.995:
            region[t] = label[own]
            continue
        best, best_off = SMALL_PARTS, 0.5 * size
        for step in range(27):
            i, j, k = (
                cell[own, 0] + step // 9 - 1,
                cell[own, 1] + step // 3 % 3 - 1,
                cell[own, 2] + step % 3 - 1,
            )
            if i < 0 or j < 0 or k < 0 or i >= grid.shape[0] or j >= grid.shape[1] or k >= grid.shape[2]:
                continue
            other = grid[i, j, k]
            if other < 0 or label[other] <= 0:
                continue
            off = 0.0
            for axis in range(3):
                at = (corners[t, axis] + corners[t, 3 + axis] + corners[t, 6 + axis]) / 3.0
                off += (at - middle[other, axis]) * normal[other, axis]
            # a mixed cell's plane is the mean of two sheets: clean neighbours go first
            off = abs(off) + (1.0 - flatness[other]) * size
            if off < best_off:
                best, best_off = label[other], off
        region[t] = best


@njit(inline="always")
def _note(slots, region):  # type: ignore[no-untyped-def]
    """Enter a region into a node's slots; with more than fit, the first slot says MANY."""
    if slots[0] == MANY:
        return
    for slot in range(NODE_SLOTS):
        if slots[slot] == region:
            return
        if slots[slot] == NONE:
            slots[slot] = region
            return
    slots[0] = MANY


@njit(cache=True, nogil=True)
def _node_regions(of_triangle, leaves, of_node):  # type: ignore[no-untyped-def]
    count = len(of_triangle)
    for leaf in range(leaves):
        for t in range(leaf_start(leaf, count, leaves), leaf_start(leaf + 1, count, leaves)):
            _note(of_node[leaves + leaf], of_triangle[t])
    for node in range(leaves - 1, 0, -1):
        for child in (2 * node, 2 * node + 1):
            if of_node[child, 0] == MANY:
                of_node[node, 0] = MANY
            for slot in range(NODE_SLOTS):
                if of_node[child, slot] >= 0:
                    _note(of_node[node], of_node[child, slot])

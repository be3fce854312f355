"""Nearest metal of every region along a row of points."""

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

from hoopwright.geometry import Points
from hoopwright.shell.nearest import box_distance2, closest_on_triangle
from hoopwright.shell.regions import MANY, NODE_SLOTS, NONE, Regions
from hoopwright.shell.tree import TriangleTree, leaf_start

_STACK = 256
_BLOCK = 16
_COARSE = 64
_PARTS = 4
"""Into how many parts a row is cut, so that one row alone keeps several cores busy."""


def region_rows(
    tree: TriangleTree,
    regions: Regions,
    points: Points,
    starts: NDArray[np.int64],
    best2: NDArray[np.float64],
    sample: NDArray[np.int64],
    place: NDArray[np.float64],
) -> None:
    """Each row of points on its own.

    Args:
        tree: What to measure against.
        regions: Its regions.
        points: All rows behind each other, shape (n, 3).
        starts: First point of each row, and the end, shape (rows + 1,).
        best2: Squared reach on entry, squared distance of each region on return, shape (rows, regions).
        sample: Point at which it was found, or -1 where a region is beyond reach, shape (rows, regions).
        place: Where the metal is, shape (rows, regions, 3).
    """
    metal = (tree.corners, tree.boxes, regions.of_triangle, regions.of_node)
    _coarse_rows(*metal, points, starts, best2, sample, place)
    part2, part_sample, part_place = (
        np.repeat(one[:, None], _PARTS, axis=1) for one in (best2, sample, place)
    )
    _fine_parts(*metal, points, starts, part2, part_sample, part_place)
    chosen = np.argmin(part2, axis=1)[:, None]
    best2[:] = np.take_along_axis(part2, chosen, axis=1)[:, 0]
    sample[:] = np.take_along_axis(part_sample, chosen, axis=1)[:, 0]
    place[:] = np.take_along_axis(part_place, chosen[..., None], axis=1)[:, 0]


@njit(inline="always")
def _limit(of_node, node, best2, loosest):  # type: ignore[no-untyped-def]
    """Squared distance beyond which nothing under a node can help any of its regions."""
    if of_node[node, 0] == MANY:
        return loosest
    limit = 0.0
    for slot in range(NODE_SLOTS):
        region = of_node[node, slot]
        if region == NONE:
            break
        limit = max(limit, best2[region])
    return limit


@njit(inline="always")
def _apart2(boxes, node, low, high):  # type: ignore[no-untyped-def]
    """Squared distance between a node's box and another one."""
    apart2 = 0.0
    for axis in range(3):
        apart = max(boxes[node, axis] - high[axis], low[axis] - boxes[node, 3 + axis], 0.0)
        apart2 += apart * apart
    return apart2


@njit
def _block(corners, boxes, of_triangle, of_node, points, first, stop, best2, sample, place, stack):  # type: ignore[no-untyped-def]
    """Lower `best2` of every region by some points, with one walk down the tree for all of them."""
    leaves = len(boxes) // 2
    count = len(corners)
    loosest = best2.max()
    low, high = points[first].copy(), points[first].copy()
    for i in range(first, stop):
        for axis in range(3):
            low[axis], high[axis] = min(low[axis], points[i, axis]), max(high[axis], points[i, axis])
    stack[0] = 1
    depth = 1
    while depth > 0:
        depth -= 1
        node = stack[depth]
        limit = _limit(of_node, node, best2, loosest)
        if _apart2(boxes, node, low, high) >= limit:
            continue
        if node < leaves:
            near, far = 2 * node, 2 * node + 1
            if _apart2(boxes, far, low, high) < _apart2(boxes, near, low, high):
                near, far = far, near
            stack[depth], stack[depth + 1] = far, near
            depth += 2
            continue
        leaf = node - leaves
        for i in range(first, stop):
            x, y, z = points[i, 0], points[i, 1], points[i, 2]
            if box_distance2(boxes, node, x, y, z) >= _limit(of_node, node, best2, loosest):
                continue
            for t in range(leaf_start(leaf, count, leaves), leaf_start(leaf + 1, count, leaves)):
                px, py, pz = closest_on_triangle(corners, t, x, y, z)
                d2 = (px - x) ** 2 + (py - y) ** 2 + (pz - z) ** 2
                r = of_triangle[t]
                if d2 < best2[r]:
                    best2[r], sample[r] = d2, i
                    place[r, 0], place[r, 1], place[r, 2] = px, py, pz


@njit(cache=True, nogil=True, parallel=True)
def _coarse_rows(corners, boxes, of_triangle, of_node, points, starts, best2, sample, place):  # type: ignore[no-untyped-def]
    """A few points of each row, which tightens the distances for all that follow."""
    for row in prange(len(starts) - 1):
        stack = np.empty(_STACK, dtype=np.int64)
        for i in range(starts[row], starts[row + 1], _COARSE):
            _block(
                corners, boxes, of_triangle, of_node, points, i, i + 1,
                best2[row], sample[row], place[row], stack,
            )  # fmt: skip


@njit(cache=True, nogil=True, parallel=True)
def _fine_parts(corners, boxes, of_triangle, of_node, points, starts, best2, sample, place):  # type: ignore[no-untyped-def]
    """All points, block by block, each part of a row with distances of its own."""
    for task in prange((len(starts) - 1) * _PARTS):
        row, part = task // _PARTS, task % _PARTS
        stack = np.empty(_STACK, dtype=np.int64)
        length = starts[row + 1] - starts[row]
        first = starts[row] + part * length // _PARTS
        stop = starts[row] + (part + 1) * length // _PARTS
        for i in range(first, stop, _BLOCK):
            _block(
                corners, boxes, of_triangle, of_node, points, i, min(i + _BLOCK, stop),
                best2[row, part], sample[row, part], place[row, part], stack,
            )  # fmt: skip

"""Nearest metal of every region along a row of points."""

import numpy as np
from numba import njit, prange

from hoopwright.shell.nearest import box_distance2, closest_on_triangle
from hoopwright.shell.regions import MANY, NODE_SLOTS, NONE
from hoopwright.shell.tree import leaf_start

_STACK = 256
_STRIDE = 16


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


@njit
def _one_row(corners, boxes, of_triangle, of_node, points, start, stop, best2, sample, place):  # type: ignore[no-untyped-def]
    """Lower `best2` of every region by the points start to stop; every 16th point first, to tighten early."""
    leaves = len(boxes) // 2
    count = len(corners)
    stack = np.empty(_STACK, dtype=np.int64)
    loosest = best2.max()
    for turn in range(_STRIDE):
        for i in range(start + turn, stop, _STRIDE):
            x, y, z = points[i, 0], points[i, 1], points[i, 2]
            stack[0] = 1
            depth = 1
            while depth > 0:
                depth -= 1
                node = stack[depth]
                if box_distance2(boxes, node, x, y, z) >= _limit(of_node, node, best2, loosest):
                    continue
                if node < leaves:
                    near, far = 2 * node, 2 * node + 1
                    if box_distance2(boxes, far, x, y, z) < box_distance2(boxes, near, x, y, z):
                        near, far = far, near
                    stack[depth], stack[depth + 1] = far, near
                    depth += 2
                    continue
                leaf = node - leaves
                for t in range(leaf_start(leaf, count, leaves), leaf_start(leaf + 1, count, leaves)):
                    px, py, pz = closest_on_triangle(corners, t, x, y, z)
                    d2 = (px - x) ** 2 + (py - y) ** 2 + (pz - z) ** 2
                    r = of_triangle[t]
                    if d2 < best2[r]:
                        best2[r], sample[r] = d2, i
                        place[r, 0], place[r, 1], place[r, 2] = px, py, pz


@njit(cache=True, nogil=True, parallel=True)
def region_rows(corners, boxes, of_triangle, of_node, points, starts, best2, sample, place):  # type: ignore[no-untyped-def]
    """Each row of points on its own.

    Args:
        corners: Of the tree.
        boxes: Of the tree.
        of_triangle: Of the regions.
        of_node: Of the regions.
        points: All rows behind each other, shape (n, 3).
        starts: First point of each row, and the end, shape (rows + 1,).
        best2: Squared reach on entry, squared distance of each region on return, shape (rows, regions).
        sample: Point at which it was found, or -1 where a region is beyond reach, shape (rows, regions).
        place: Where the metal is, shape (rows, regions, 3).
    """
    for row in prange(len(starts) - 1):
        _one_row(
            corners, boxes, of_triangle, of_node, points, starts[row], starts[row + 1],
            best2[row], sample[row], place[row],
        )  # fmt: skip

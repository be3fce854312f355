"""Nearest metal to points: exact distances on the full mesh.

Coordinates are stored as float32 and all arithmetic is float64.
Source of the point-triangle cases: C. Ericson, Real-Time Collision Detection (2005), 5.1.5.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit, prange
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Points, Vector
from hoopwright.shell.tree import TriangleTree, leaf_start

_STACK = 128
_CHUNK = 256
_THIN = 1e-10
"""Squared sine of the angle below which a triangle is taken as its edges: 0.001 mm on an edge of 100 mm."""


@dataclass(frozen=True, eq=False, kw_only=True)
class NearestMetal:
    """The nearest metal to each of n points.

    Args:
        distance_mm: Shape (n,); infinite where nothing lies within the reach.
        place_mm: Where the metal is, shape (n, 3); NaN where nothing lies within the reach.
        triangle: Its place in the tree's order, shape (n,); -1 where nothing lies within the reach.
    """

    distance_mm: Vector
    place_mm: Points
    triangle: NDArray[np.int64]


def nearest_metal(tree: TriangleTree, points_mm: ArrayLike, *, reach_mm: float = np.inf) -> NearestMetal:
    """Nearest metal to each point, in the tree's frame. Points that follow a line are several times faster.

    Args:
        tree: What to measure against.
        points_mm: Shape (n, 3).
        reach_mm: How far to look.
    """
    points = np.ascontiguousarray(points_mm, dtype=np.float64).reshape(-1, 3)
    count = len(points)
    distance, place = np.empty(count), np.empty((count, 3))
    triangle = np.empty(count, dtype=np.int64)
    kernel = _rows_parallel if count > 2 * _CHUNK else _rows_serial
    kernel(tree.corners, tree.boxes, points, reach_mm, distance, place, triangle)
    return NearestMetal(distance_mm=distance, place_mm=place, triangle=triangle)


@njit(inline="always")
def box_distance2(boxes, node, x, y, z):  # type: ignore[no-untyped-def]
    """Squared distance of a point to a node's box."""
    dx = max(boxes[node, 0] - x, x - boxes[node, 3], 0.0)
    dy = max(boxes[node, 1] - y, y - boxes[node, 4], 0.0)
    dz = max(boxes[node, 2] - z, z - boxes[node, 5], 0.0)
    return dx * dx + dy * dy + dz * dz


@njit
def _on_thin(c, t, x, y, z):  # type: ignore[no-untyped-def]
    """Nearest place on the three edges: for a sliver, whose inside is lost in rounding."""
    best2, px, py, pz = np.inf, 0.0, 0.0, 0.0
    for a, b in ((0, 3), (3, 6), (6, 0)):
        ax, ay, az = np.float64(c[t, a]), np.float64(c[t, a + 1]), np.float64(c[t, a + 2])
        ex, ey, ez = c[t, b] - ax, c[t, b + 1] - ay, c[t, b + 2] - az
        length2 = ex * ex + ey * ey + ez * ez
        along = (x - ax) * ex + (y - ay) * ey + (z - az) * ez
        s = min(1.0, max(0.0, along / length2)) if length2 > 0.0 else 0.0
        qx, qy, qz = ax + s * ex, ay + s * ey, az + s * ez
        d2 = (qx - x) ** 2 + (qy - y) ** 2 + (qz - z) ** 2
        if d2 < best2:
            best2, px, py, pz = d2, qx, qy, qz
    return px, py, pz


@njit
def closest_on_triangle(c, t, x, y, z):  # type: ignore[no-untyped-def]
    """Place on triangle t nearest to a point."""
    ax, ay, az = np.float64(c[t, 0]), np.float64(c[t, 1]), np.float64(c[t, 2])
    abx, aby, abz = c[t, 3] - ax, c[t, 4] - ay, c[t, 5] - az
    acx, acy, acz = c[t, 6] - ax, c[t, 7] - ay, c[t, 8] - az
    apx, apy, apz = x - ax, y - ay, z - az
    d1 = abx * apx + aby * apy + abz * apz
    d2 = acx * apx + acy * apy + acz * apz
    if d1 <= 0.0 and d2 <= 0.0:
        return ax, ay, az
    bpx, bpy, bpz = apx - abx, apy - aby, apz - abz
    d3 = abx * bpx + aby * bpy + abz * bpz
    d4 = acx * bpx + acy * bpy + acz * bpz
    if d3 >= 0.0 and d4 <= d3:
        return ax + abx, ay + aby, az + abz
    cpx, cpy, cpz = apx - acx, apy - acy, apz - acz
    d5 = abx * cpx + aby * cpy + abz * cpz
    d6 = acx * cpx + acy * cpy + acz * cpz
    if d6 >= 0.0 and d5 <= d6:
        return ax + acx, ay + acy, az + acz
    vc = d1 * d4 - d3 * d2
    # d1 - d3 is the edge's squared length: an edge of no length is left to the other two
    if vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0 and d1 > d3:
        s = d1 / (d1 - d3)
        return ax + s * abx, ay + s * aby, az + s * abz
    vb = d5 * d2 - d1 * d6
    if vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
        s = d2 / (d2 - d6) if d2 > d6 else 0.0
        return ax + s * acx, ay + s * acy, az + s * acz
    va = d3 * d6 - d5 * d4
    if va <= 0.0 and d4 >= d3 and d5 >= d6:
        whole = (d4 - d3) + (d5 - d6)
        s = (d4 - d3) / whole if whole > 0.0 else 0.0
        return ax + abx + s * (acx - abx), ay + aby + s * (acy - aby), az + abz + s * (acz - abz)
    ab2, ac2, both = d1 - d3, d2 - d6, abx * acx + aby * acy + abz * acz
    whole = va + vb + vc
    if whole <= 0.0 or ab2 * ac2 - both * both <= _THIN * ab2 * ac2:
        return _on_thin(c, t, x, y, z)
    share = 1.0 / whole
    v, w = vb * share, vc * share
    return ax + v * abx + w * acx, ay + v * aby + w * acy, az + v * abz + w * acz


@njit
def _nearest_one(corners, boxes, x, y, z, best, reach2, stack, bounds, place):  # type: ignore[no-untyped-def]
    """Squared distance and triangle; `place` is filled. -1 where nothing lies within the reach.

    A triangle that is likely near (`best`, or -1) is tried first: what lies farther is then passed over.
    """
    leaves = len(boxes) // 2
    count = len(corners)
    best2 = reach2
    if best >= 0:
        px, py, pz = closest_on_triangle(corners, best, x, y, z)
        best2 = (px - x) ** 2 + (py - y) ** 2 + (pz - z) ** 2
        place[0], place[1], place[2] = px, py, pz
        if best2 >= reach2:
            best, best2 = -1, reach2
    stack[0], bounds[0] = 1, box_distance2(boxes, 1, x, y, z)
    depth = 1
    while depth > 0:
        depth -= 1
        if bounds[depth] >= best2:
            continue
        node = stack[depth]
        while node < leaves:
            near, far = 2 * node, 2 * node + 1
            to_near, to_far = box_distance2(boxes, near, x, y, z), box_distance2(boxes, far, x, y, z)
            if to_far < to_near:
                near, far, to_near, to_far = far, near, to_far, to_near
            if to_far < best2:
                stack[depth], bounds[depth] = far, to_far
                depth += 1
            if to_near >= best2:
                node = -1
                break
            node = near
        if node < 0:
            continue
        leaf = node - leaves
        for t in range(leaf_start(leaf, count, leaves), leaf_start(leaf + 1, count, leaves)):
            px, py, pz = closest_on_triangle(corners, t, x, y, z)
            d2 = (px - x) ** 2 + (py - y) ** 2 + (pz - z) ** 2
            if d2 < best2:
                best, best2 = t, d2
                place[0], place[1], place[2] = px, py, pz
    return best2, best


@njit
def _row(corners, boxes, points, start, stop, reach, distance, place, triangle):  # type: ignore[no-untyped-def]
    stack = np.empty(_STACK, dtype=np.int64)
    bounds = np.empty(_STACK)
    t = -1
    for i in range(start, stop):
        d2, t = _nearest_one(
            corners,
            boxes,
            points[i, 0],
            points[i, 1],
            points[i, 2],
            t,
            reach * reach,
            stack,
            bounds,
            place[i],
        )
        triangle[i] = t
        if t < 0:
            distance[i] = np.inf
            place[i, :] = np.nan
        else:
            distance[i] = np.sqrt(d2)
    return 0


@njit(cache=True, nogil=True)
def _rows_serial(corners, boxes, points, reach, distance, place, triangle):  # type: ignore[no-untyped-def]
    _row(corners, boxes, points, 0, len(points), reach, distance, place, triangle)


@njit(cache=True, nogil=True, parallel=True)
def _rows_parallel(corners, boxes, points, reach, distance, place, triangle):  # type: ignore[no-untyped-def]
    chunks = (len(points) + _CHUNK - 1) // _CHUNK
    for chunk in prange(chunks):
        start = chunk * _CHUNK
        stop = min(len(points), start + _CHUNK)
        _row(corners, boxes, points, start, stop, reach, distance, place, triangle)

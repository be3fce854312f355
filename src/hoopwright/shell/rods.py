"""Nearest metal to straight pieces of line, such as the axis of a torch: exact distances on the full mesh.

Source of the distance between two pieces of line: C. Ericson, Real-Time Collision Detection (2005), 5.1.9; of the
crossing: as in `rays`. A piece of line and a triangle that do not cross are nearest at an end of the piece or at an
edge of the triangle.
"""

import numpy as np
from numba import njit, prange
from numpy.typing import ArrayLike

from hoopwright.shell.nearest import NearestMetal, closest_on_triangle
from hoopwright.shell.tree import TriangleTree, leaf_start

_STACK = 128
_CHUNK = 64


def nearest_to_rods(
    tree: TriangleTree, starts_mm: ArrayLike, ends_mm: ArrayLike, *, reach_mm: float
) -> NearestMetal:
    """Nearest metal to each straight piece within a reach, in the tree's frame.

    Args:
        tree: What to measure against.
        starts_mm: One end of each piece, shape (n, 3).
        ends_mm: The other end, shape (n, 3).
        reach_mm: How far to look; work grows with it.
    """
    starts = np.ascontiguousarray(starts_mm, dtype=np.float64).reshape(-1, 3)
    ends = np.ascontiguousarray(ends_mm, dtype=np.float64).reshape(-1, 3)
    count = len(starts)
    distance, place = np.empty(count), np.empty((count, 3))
    triangle = np.empty(count, dtype=np.int64)
    kernel = _rods_parallel if count > 2 * _CHUNK else _rods_serial
    kernel(tree.corners, tree.boxes, starts, ends, float(reach_mm), distance, place, triangle)
    return NearestMetal(distance_mm=distance, place_mm=place, triangle=triangle)


@njit(inline="always")
def _outside_bound2(boxes, node, a, b, half):  # type: ignore[no-untyped-def]
    """A squared distance that nothing in a node's box can lie below: by its box, and by the ball round it."""
    apart2, ball2 = 0.0, 0.0
    for axis in range(3):
        low, high = boxes[node, axis], boxes[node, 3 + axis]
        apart = max(min(a[axis], b[axis]) - high, low - max(a[axis], b[axis]), 0.0)
        apart2 += apart * apart
        ball2 += (high - low) * (high - low)
    length2, along, centre2 = 0.0, 0.0, 0.0
    for axis in range(3):
        d = 2.0 * half[axis]
        off = 0.5 * (np.float64(boxes[node, axis]) + boxes[node, 3 + axis]) - a[axis]
        length2 += d * d
        along += off * d
        centre2 += off * off
    s = min(1.0, max(0.0, along / length2)) if length2 > 0.0 else 0.0
    to_centre2 = max(0.0, centre2 - 2.0 * s * along + s * s * length2)
    beyond = max(0.0, np.sqrt(to_centre2) - 0.5 * np.sqrt(ball2))
    return max(apart2, beyond * beyond)


@njit
def _crosses(c, t, a, b):  # type: ignore[no-untyped-def]
    """Share of the piece at which it goes through a triangle, or -1."""
    dx, dy, dz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    ax, ay, az = np.float64(c[t, 0]), np.float64(c[t, 1]), np.float64(c[t, 2])
    ex, ey, ez = c[t, 3] - ax, c[t, 4] - ay, c[t, 5] - az
    fx, fy, fz = c[t, 6] - ax, c[t, 7] - ay, c[t, 8] - az
    px, py, pz = dy * fz - dz * fy, dz * fx - dx * fz, dx * fy - dy * fx
    scale = ex * px + ey * py + ez * pz
    if scale == 0.0:
        return -1.0
    sx, sy, sz = a[0] - ax, a[1] - ay, a[2] - az
    u = (sx * px + sy * py + sz * pz) / scale
    qx, qy, qz = sy * ez - sz * ey, sz * ex - sx * ez, sx * ey - sy * ex
    v = (dx * qx + dy * qy + dz * qz) / scale
    s = (fx * qx + fy * qy + fz * qz) / scale
    if u < 0.0 or v < 0.0 or u + v > 1.0 or s < 0.0 or s > 1.0:
        return -1.0
    return s


@njit
def _edge_shares(a, b, px, py, pz, ex, ey, ez):  # type: ignore[no-untyped-def]
    """Shares of the piece a b and of the edge p + e at which they are nearest."""
    dx, dy, dz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    rx, ry, rz = a[0] - px, a[1] - py, a[2] - pz
    dd, ee = dx * dx + dy * dy + dz * dz, ex * ex + ey * ey + ez * ez
    f = ex * rx + ey * ry + ez * rz
    if dd <= 0.0 and ee <= 0.0:
        return 0.0, 0.0
    if dd <= 0.0:
        return 0.0, min(1.0, max(0.0, f / ee))
    c = dx * rx + dy * ry + dz * rz
    if ee <= 0.0:
        return min(1.0, max(0.0, -c / dd)), 0.0
    m = dx * ex + dy * ey + dz * ez
    whole = dd * ee - m * m
    s = min(1.0, max(0.0, (m * f - c * ee) / whole)) if whole > 0.0 else 0.0
    t = (m * s + f) / ee
    if t < 0.0:
        return min(1.0, max(0.0, -c / dd)), 0.0
    if t > 1.0:
        return min(1.0, max(0.0, (m - c) / dd)), 1.0
    return s, t


@njit
def _to_triangle2(c, t, a, b, at):  # type: ignore[no-untyped-def]
    """Squared distance of the piece a b to triangle t; `at` is the place on the triangle."""
    s = _crosses(c, t, a, b)
    if s >= 0.0:
        for axis in range(3):
            at[axis] = a[axis] + s * (b[axis] - a[axis])
        return 0.0
    best2 = np.inf
    for end in range(2):
        p = a if end == 0 else b
        x, y, z = closest_on_triangle(c, t, p[0], p[1], p[2])
        d2 = (x - p[0]) ** 2 + (y - p[1]) ** 2 + (z - p[2]) ** 2
        if d2 < best2:
            best2 = d2
            at[0], at[1], at[2] = x, y, z
    for i, j in ((0, 3), (3, 6), (6, 0)):
        px, py, pz = np.float64(c[t, i]), np.float64(c[t, i + 1]), np.float64(c[t, i + 2])
        ex, ey, ez = c[t, j] - px, c[t, j + 1] - py, c[t, j + 2] - pz
        s, u = _edge_shares(a, b, px, py, pz, ex, ey, ez)
        x, y, z = px + u * ex, py + u * ey, pz + u * ez
        d2 = (
            (a[0] + s * (b[0] - a[0]) - x) ** 2
            + (a[1] + s * (b[1] - a[1]) - y) ** 2
            + (a[2] + s * (b[2] - a[2]) - z) ** 2
        )
        if d2 < best2:
            best2 = d2
            at[0], at[1], at[2] = x, y, z
    return best2


@njit
def _one_rod(corners, boxes, a, b, reach, stack, bounds, at, place):  # type: ignore[no-untyped-def]
    leaves = len(boxes) // 2
    count = len(corners)
    half = 0.5 * (b - a)
    best, best2 = -1, reach * reach
    stack[0], bounds[0] = 1, _outside_bound2(boxes, 1, a, b, half)
    depth = 1
    while depth > 0 and best2 > 0.0:
        depth -= 1
        if bounds[depth] > best2:
            continue
        node = stack[depth]
        if node >= leaves:
            leaf = node - leaves
            for t in range(leaf_start(leaf, count, leaves), leaf_start(leaf + 1, count, leaves)):
                d2 = _to_triangle2(corners, t, a, b, at)
                if d2 < best2:
                    best, best2 = t, d2
                    place[0], place[1], place[2] = at[0], at[1], at[2]
            continue
        near, far = 2 * node, 2 * node + 1
        to_near = _outside_bound2(boxes, near, a, b, half)
        to_far = _outside_bound2(boxes, far, a, b, half)
        if to_far < to_near:
            near, far, to_near, to_far = far, near, to_far, to_near
        stack[depth], bounds[depth] = far, to_far
        stack[depth + 1], bounds[depth + 1] = near, to_near
        depth += 2
    return best2, best


@njit
def _some_rods(corners, boxes, starts, ends, first, stop, reach, distance, place, triangle):  # type: ignore[no-untyped-def]
    stack, bounds, at = np.empty(_STACK, dtype=np.int64), np.empty(_STACK), np.empty(3)
    for i in range(first, stop):
        d2, t = _one_rod(corners, boxes, starts[i], ends[i], reach, stack, bounds, at, place[i])
        triangle[i] = t
        if t < 0:
            distance[i] = np.inf
            place[i, :] = np.nan
        else:
            distance[i] = np.sqrt(d2)
    return 0


@njit(cache=True, nogil=True)
def _rods_serial(corners, boxes, starts, ends, reach, distance, place, triangle):  # type: ignore[no-untyped-def]
    _some_rods(corners, boxes, starts, ends, 0, len(starts), reach, distance, place, triangle)


@njit(cache=True, nogil=True, parallel=True)
def _rods_parallel(corners, boxes, starts, ends, reach, distance, place, triangle):  # type: ignore[no-untyped-def]
    chunks = (len(starts) + _CHUNK - 1) // _CHUNK
    for chunk in prange(chunks):
        start = chunk * _CHUNK
        stop = min(len(starts), start + _CHUNK)
        _some_rods(corners, boxes, starts, ends, start, stop, reach, distance, place, triangle)

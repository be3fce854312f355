"""Rays and short pieces of line against the mesh.

Source of the ray-triangle test: T. Möller and B. Trumbore, J. Graphics Tools 2 (1997) 21.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit, prange
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Points, Vector
from hoopwright.shell.tree import TriangleTree, leaf_start

_STACK = 128
_EDGE = 1e-9
"""Barycentric slack, so that a ray through a shared edge does not slip between two triangles."""


@dataclass(frozen=True, eq=False, kw_only=True)
class RayHits:
    """The first metal along each of n rays.

    Args:
        distance_mm: Along the ray, shape (n,); infinite without a hit.
        place_mm: Shape (n, 3); NaN without a hit.
        triangle: Its place in the tree's order, shape (n,); -1 without a hit.
    """

    distance_mm: Vector
    place_mm: Points
    triangle: NDArray[np.int64]


def first_hits(
    tree: TriangleTree, starts_mm: ArrayLike, directions: ArrayLike, *, reach_mm: float | Vector = np.inf
) -> RayHits:
    """First metal along rays, both faces counted, in the tree's frame. A cloud is never hit.

    Args:
        tree: What to look at.
        starts_mm: Shape (n, 3).
        directions: Shape (n, 3) or (3,); need not be of unit length.
        reach_mm: How far to look; one number or one for each ray, shape (n,).
    """
    starts = np.ascontiguousarray(starts_mm, dtype=np.float64).reshape(-1, 3)
    rays = np.broadcast_to(np.asarray(directions, dtype=np.float64), starts.shape)
    rays = np.ascontiguousarray(rays / np.linalg.norm(rays, axis=1, keepdims=True))
    reach = np.ascontiguousarray(np.broadcast_to(np.asarray(reach_mm, dtype=np.float64), len(starts)))
    distance, triangle = np.empty(len(starts)), np.empty(len(starts), dtype=np.int64)
    kernel = _shoot_parallel if len(starts) > 2000 else _shoot_serial
    kernel(tree.corners, tree.boxes, starts, rays, reach, distance, triangle)
    with np.errstate(invalid="ignore"):
        place = starts + distance[:, None] * rays
    place[triangle < 0] = np.nan
    return RayHits(distance_mm=distance, place_mm=place, triangle=triangle)


@njit(inline="always")
def _enters(boxes, node, x, y, z, ix, iy, iz, limit):  # type: ignore[no-untyped-def]
    """Distance at which a ray enters a node's box, or infinite."""
    low, high = 0.0, limit
    for axis in range(3):
        o, inverse = (x, ix) if axis == 0 else ((y, iy) if axis == 1 else (z, iz))
        a = (boxes[node, axis] - o) * inverse
        b = (boxes[node, 3 + axis] - o) * inverse
        # 0 * inf where the ray lies in a face of the box: that slab does not bound it
        if a == a and b == b:
            low = max(low, min(a, b))
            high = min(high, max(a, b))
    return low if low <= high else np.inf


@njit
def _hit(c, t, x, y, z, dx, dy, dz):  # type: ignore[no-untyped-def]
    """Distance along the ray to triangle t, or infinite."""
    ax, ay, az = np.float64(c[t, 0]), np.float64(c[t, 1]), np.float64(c[t, 2])
    ex, ey, ez = c[t, 3] - ax, c[t, 4] - ay, c[t, 5] - az
    fx, fy, fz = c[t, 6] - ax, c[t, 7] - ay, c[t, 8] - az
    px, py, pz = dy * fz - dz * fy, dz * fx - dx * fz, dx * fy - dy * fx
    scale = ex * px + ey * py + ez * pz
    if scale == 0.0:
        return np.inf
    sx, sy, sz = x - ax, y - ay, z - az
    u = (sx * px + sy * py + sz * pz) / scale
    if u < -_EDGE or u > 1.0 + _EDGE:
        return np.inf
    qx, qy, qz = sy * ez - sz * ey, sz * ex - sx * ez, sx * ey - sy * ex
    v = (dx * qx + dy * qy + dz * qz) / scale
    if v < -_EDGE or u + v > 1.0 + _EDGE:
        return np.inf
    distance = (fx * qx + fy * qy + fz * qz) / scale
    return distance if distance >= 0.0 else np.inf


@njit
def _shoot_one(corners, boxes, o, d, reach, stack, bounds):  # type: ignore[no-untyped-def]
    leaves = len(boxes) // 2
    count = len(corners)
    x, y, z = o[0], o[1], o[2]
    ix = 1.0 / d[0] if d[0] != 0.0 else np.inf
    iy = 1.0 / d[1] if d[1] != 0.0 else np.inf
    iz = 1.0 / d[2] if d[2] != 0.0 else np.inf
    best, best_at = -1, reach
    stack[0], bounds[0] = 1, _enters(boxes, 1, x, y, z, ix, iy, iz, reach)
    depth = 1
    while depth > 0:
        depth -= 1
        # an entry beyond the best hit is passed over; a box never entered has an infinite bound
        if bounds[depth] > best_at or bounds[depth] == np.inf:
            continue
        node = stack[depth]
        if node >= leaves:
            leaf = node - leaves
            for t in range(leaf_start(leaf, count, leaves), leaf_start(leaf + 1, count, leaves)):
                at = _hit(corners, t, x, y, z, d[0], d[1], d[2])
                if at <= best_at and at < np.inf:
                    best, best_at = t, at
            continue
        near, far = 2 * node, 2 * node + 1
        to_near = _enters(boxes, near, x, y, z, ix, iy, iz, best_at)
        to_far = _enters(boxes, far, x, y, z, ix, iy, iz, best_at)
        if to_far < to_near:
            near, far, to_near, to_far = far, near, to_far, to_near
        stack[depth], bounds[depth] = far, to_far
        stack[depth + 1], bounds[depth + 1] = near, to_near
        depth += 2
    return best_at if best >= 0 else np.inf, best


@njit(cache=True, nogil=True)
def _shoot_serial(corners, boxes, starts, rays, reach, distance, triangle):  # type: ignore[no-untyped-def]
    stack, bounds = np.empty(_STACK, dtype=np.int64), np.empty(_STACK)
    for i in range(len(starts)):
        distance[i], triangle[i] = _shoot_one(corners, boxes, starts[i], rays[i], reach[i], stack, bounds)


@njit(cache=True, nogil=True, parallel=True)
def _shoot_parallel(corners, boxes, starts, rays, reach, distance, triangle):  # type: ignore[no-untyped-def]
    chunks = (len(starts) + 255) // 256
    for chunk in prange(chunks):
        stack, bounds = np.empty(_STACK, dtype=np.int64), np.empty(_STACK)
        for i in range(chunk * 256, min(len(starts), chunk * 256 + 256)):
            distance[i], triangle[i] = _shoot_one(corners, boxes, starts[i], rays[i], reach[i], stack, bounds)

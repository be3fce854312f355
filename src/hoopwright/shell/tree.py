"""A bounding-volume tree over triangles, in the order of a space-filling curve.

The tree is complete and implicit: node 1 is the root, node i has the children 2 i and 2 i + 1, and leaf j
holds the triangles from j n / leaves to (j + 1) n / leaves. Points of a cloud are triangles of no size.
Source of the order: G. M. Morton, IBM, 1966; of the build: T. Karras, High-Performance Graphics 2012.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

TRIANGLES_PER_LEAF = 6
_RADIX_ABOVE = 100_000
_DIGIT_BITS = 10
_PARTS = 8


@dataclass(frozen=True, eq=False, kw_only=True)
class TriangleTree:
    """Triangles in curve order with a box for each node.

    Args:
        corners: Shape (n, 9), float32: three corners of each triangle, mm.
        order: Number of each triangle in the mesh that it was built from, shape (n,).
        boxes: Lowest and highest corner of each node, shape (2 leaves, 6), float32; row 0 is not used.
    """

    corners: NDArray[np.float32]
    order: NDArray[np.int32]
    boxes: NDArray[np.float32]

    @property
    def leaves(self) -> int:
        """How many leaves: a power of two."""
        return len(self.boxes) // 2

    @property
    def lowest_mm(self) -> NDArray[np.float64]:
        """Lowest corner of everything, shape (3,)."""
        return self.boxes[1, :3].astype(np.float64)

    @property
    def highest_mm(self) -> NDArray[np.float64]:
        """Highest corner of everything, shape (3,)."""
        return self.boxes[1, 3:].astype(np.float64)


def build_tree(points_mm: NDArray[np.float32], triangles: NDArray[np.int32]) -> TriangleTree:
    """The tree over a mesh, or over a cloud when there are no triangles.

    Args:
        points_mm: Shape (n, 3), float32, finite.
        triangles: Indices, shape (m, 3); m is 0 for a cloud.
    """
    faces = triangles
    if len(faces) == 0:
        faces = np.repeat(np.arange(len(points_mm), dtype=np.int32)[:, None], 3, axis=1)
    count = len(faces)
    index_bits = max(1, int(count - 1).bit_length())
    axis_bits = min(20, (64 - index_bits) // 3)
    low, high = np.empty(3, dtype=np.float32), np.empty(3, dtype=np.float32)
    _bounds(points_mm, low, high)
    keys = np.empty(count, dtype=np.uint64)
    _curve_keys(points_mm, faces, low, float((high - low).max()), axis_bits, index_bits, keys)
    keys = _sorted(keys, index_bits, 3 * axis_bits)
    order = np.empty(count, dtype=np.int32)
    corners = np.empty((count, 9), dtype=np.float32)
    _gather(points_mm, faces, keys, np.uint64((1 << index_bits) - 1), order, corners)
    return boxed_tree(corners, order)


def kept_triangles(tree: TriangleTree, keep: NDArray[np.bool_]) -> TriangleTree:
    """The tree over some of its triangles, shape (n,), at least one; they stay in curve order."""
    return boxed_tree(np.ascontiguousarray(tree.corners[keep]), tree.order[keep])


def triangles_near(tree: TriangleTree, place_mm: NDArray[np.float64], reach_mm: float) -> NDArray[np.int64]:
    """Numbers of the triangles whose leaf comes as near to a place, shape (3,), as the reach along every axis.

    Returns:
        In order, shape (k,).
    """
    boxes = tree.boxes[tree.leaves :]
    near = ((boxes[:, :3] <= place_mm + reach_mm) & (boxes[:, 3:] >= place_mm - reach_mm)).all(axis=1)
    count, leaves = len(tree.corners), tree.leaves
    spans = [
        np.arange(leaf * count // leaves, (leaf + 1) * count // leaves, dtype=np.int64)
        for leaf in np.flatnonzero(near)
    ]
    return np.concatenate(spans) if spans else np.empty(0, dtype=np.int64)


def boxed_tree(corners: NDArray[np.float32], order: NDArray[np.int32]) -> TriangleTree:
    """The tree over triangles that are in curve order, shape (n, 9), at least one."""
    leaves = 1
    while len(corners) > leaves * TRIANGLES_PER_LEAF:
        leaves *= 2
    boxes = np.empty((2 * leaves, 6), dtype=np.float32)
    boxes[0] = 0.0
    _leaf_boxes(corners, leaves, boxes)
    level = leaves // 2
    while level >= 1:
        _level_boxes(boxes, level)
        level //= 2
    return TriangleTree(corners=corners, order=order, boxes=boxes)


def _sorted(keys: NDArray[np.uint64], first_bit: int, bits: int) -> NDArray[np.uint64]:
    """Keys by the bits from `first_bit` on; the lower bits are in order already (radix sort, lowest digit first)."""
    if len(keys) < _RADIX_ABOVE:
        return np.sort(keys)
    spare = np.empty_like(keys)
    for shift in range(first_bit, first_bit + bits, _DIGIT_BITS):
        _one_digit(keys, spare, np.uint64(shift))
        keys, spare = spare, keys
    return keys


@njit(cache=True, nogil=True, parallel=True)
def _one_digit(keys, result, shift):  # type: ignore[no-untyped-def]
    """Keys in the order of one digit, those of the same digit in the order in which they stood."""
    mask = np.uint64((1 << _DIGIT_BITS) - 1)
    bounds = np.linspace(0, len(keys), _PARTS + 1).astype(np.int64)
    at = np.zeros((_PARTS, 1 << _DIGIT_BITS), dtype=np.int64)
    for part in prange(_PARTS):
        for i in range(bounds[part], bounds[part + 1]):
            at[part, (keys[i] >> shift) & mask] += 1
    total = 0
    for digit in range(1 << _DIGIT_BITS):
        for part in range(_PARTS):
            count = at[part, digit]
            at[part, digit] = total
            total += count
    for part in prange(_PARTS):
        for i in range(bounds[part], bounds[part + 1]):
            digit = (keys[i] >> shift) & mask
            result[at[part, digit]] = keys[i]
            at[part, digit] += 1


@njit(inline="always")
def _spread(value):  # type: ignore[no-untyped-def]
    """The low 21 bits, each with two empty bits after it."""
    v = np.uint64(value)
    v = (v | (v << np.uint64(32))) & np.uint64(0x1F00000000FFFF)
    v = (v | (v << np.uint64(16))) & np.uint64(0x1F0000FF0000FF)
    v = (v | (v << np.uint64(8))) & np.uint64(0x100F00F00F00F00F)
    v = (v | (v << np.uint64(4))) & np.uint64(0x10C30C30C30C30C3)
    return (v | (v << np.uint64(2))) & np.uint64(0x1249249249249249)


@njit(cache=True, nogil=True, parallel=True)
def _bounds(points, low, high):  # type: ignore[no-untyped-def]
    """Lowest and highest coordinate along each axis; an axis to a core."""
    for axis in prange(3):
        least, most = points[0, axis], points[0, axis]
        for i in range(len(points)):
            value = points[i, axis]
            least, most = min(least, value), max(most, value)
        low[axis], high[axis] = least, most


@njit(cache=True, nogil=True, parallel=True)
def _curve_keys(points, faces, low, extent, axis_bits, index_bits, keys):  # type: ignore[no-untyped-def]
    top = (1 << axis_bits) - 1
    scale = top / (3.0 * extent) if extent > 0.0 else 0.0
    for t in prange(len(faces)):
        a, b, c = faces[t, 0], faces[t, 1], faces[t, 2]
        key = np.uint64(0)
        for axis in range(3):
            middle = points[a, axis] + points[b, axis] + points[c, axis] - 3.0 * low[axis]
            cell = min(top, max(0, int(middle * scale)))
            key |= _spread(cell) << np.uint64(axis)
        keys[t] = (key << np.uint64(index_bits)) | np.uint64(t)


@njit(cache=True, nogil=True, parallel=True)
def _gather(points, faces, keys, mask, order, corners):  # type: ignore[no-untyped-def]
    for place in prange(len(keys)):
        t = np.int64(keys[place] & mask)
        order[place] = t
        for corner in range(3):
            for axis in range(3):
                corners[place, 3 * corner + axis] = points[faces[t, corner], axis]


@njit(inline="always")
def leaf_start(leaf, count, leaves):  # type: ignore[no-untyped-def]
    """First triangle of a leaf."""
    return leaf * count // leaves


@njit(cache=True, nogil=True, parallel=True)
def _leaf_boxes(corners, leaves, boxes):  # type: ignore[no-untyped-def]
    count = len(corners)
    for leaf in prange(leaves):
        node = leaves + leaf
        for axis in range(3):
            low, high = np.float32(np.inf), np.float32(-np.inf)
            for t in range(leaf_start(leaf, count, leaves), leaf_start(leaf + 1, count, leaves)):
                for corner in range(3):
                    value = corners[t, 3 * corner + axis]
                    low, high = min(low, value), max(high, value)
            boxes[node, axis], boxes[node, 3 + axis] = low, high


@njit(cache=True, nogil=True, parallel=True)
def _level_boxes(boxes, level):  # type: ignore[no-untyped-def]
    for node in prange(level, 2 * level):
        for axis in range(3):
            boxes[node, axis] = min(boxes[2 * node, axis], boxes[2 * node + 1, axis])
            boxes[node, 3 + axis] = max(boxes[2 * node, 3 + axis], boxes[2 * node + 1, 3 + axis])

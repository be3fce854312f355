"""Merging of the corners that triangle soups repeat."""

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

_PARTS = 4
_EMPTY = -1


def weld_corners(corners: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """Merge corners with the same coordinates, bit for bit (-0 counts as 0).

    Args:
        corners: Triangle corners, shape (m, 3, 3), finite.

    Returns:
        Points (n, 3) and triangles (m, 3) into them. The order of the points follows the file within each
        of a fixed number of hash classes, so it is the same on every machine.
    """
    flat = np.ascontiguousarray(corners, dtype=np.float32).reshape(-1, 3)
    keys = flat.view(np.uint32)
    index = np.empty(len(flat), dtype=np.int32)
    firsts, counts = _find_firsts(keys, index, _table_bits(len(flat)))
    starts = np.concatenate([[0], np.cumsum(counts)])
    points = np.empty((int(starts[-1]), 3), dtype=np.float32)
    for part, first in enumerate(firsts):
        points[starts[part] : starts[part + 1]] = flat[first[: counts[part]]]
    _shift(keys, index, starts)
    return points, index.reshape(-1, 3)


def _table_bits(corner_count: int) -> int:
    """Size of each class's first table for a closed mesh, which has half as many points as triangles."""
    expected = max(64, corner_count // 6 // _PARTS)
    return int(np.ceil(np.log2(expected * 2)))


@njit(inline="always")
def _hash(x, y, z):  # type: ignore[no-untyped-def]
    # -0.0 and 0.0 are one place
    a = np.uint64(0) if x == np.uint32(0x80000000) else np.uint64(x)
    b = np.uint64(0) if y == np.uint32(0x80000000) else np.uint64(y)
    c = np.uint64(0) if z == np.uint32(0x80000000) else np.uint64(z)
    h = (
        a * np.uint64(0x9E3779B97F4A7C15)
        ^ b * np.uint64(0xC2B2AE3D27D4EB4F)
        ^ c * np.uint64(0x165667B19E3779F9)
    )
    h ^= h >> np.uint64(29)
    h *= np.uint64(0xBF58476D1CE4E5B9)
    return h ^ (h >> np.uint64(32))


@njit(inline="always")
def _same(keys, i, j):  # type: ignore[no-untyped-def]
    for axis in range(3):
        a, b = keys[i, axis], keys[j, axis]
        if a != b and ((a | b) & np.uint32(0x7FFFFFFF)) != 0:
            return False
    return True


@njit(cache=True, nogil=True)
def _one_part(keys, index, part, bits):  # type: ignore[no-untyped-def]
    """Number the corners of one hash class by first appearance; the table grows when half full."""
    size = 1 << bits
    table = np.full(size, _EMPTY, dtype=np.int32)
    firsts = np.empty(size // 2 + 1, dtype=np.int32)
    count = 0
    for corner in range(len(keys)):
        h = _hash(keys[corner, 0], keys[corner, 1], keys[corner, 2])
        if (h >> np.uint64(56)) % np.uint64(_PARTS) != part:
            continue
        slot = np.int64(h & np.uint64(size - 1))
        while table[slot] != _EMPTY and not _same(keys, firsts[table[slot]], corner):
            slot = (slot + 1) & (size - 1)
        if table[slot] == _EMPTY:
            table[slot] = count
            firsts[count] = corner
            count += 1
            if 2 * count > size:
                size *= 2
                table = np.full(size, _EMPTY, dtype=np.int32)
                grown = np.empty(size // 2 + 1, dtype=np.int32)
                grown[:count] = firsts[:count]
                firsts = grown
                for number in range(count):
                    first = firsts[number]
                    h = _hash(keys[first, 0], keys[first, 1], keys[first, 2])
                    slot = np.int64(h & np.uint64(size - 1))
                    while table[slot] != _EMPTY:
                        slot = (slot + 1) & (size - 1)
                    table[slot] = number
            index[corner] = count - 1
        else:
            index[corner] = table[slot]
    return firsts[:count]


@njit(cache=True, nogil=True, parallel=True)
def _find_firsts(keys, index, bits):  # type: ignore[no-untyped-def]
    firsts = [np.empty(0, dtype=np.int32) for _ in range(_PARTS)]
    counts = np.zeros(_PARTS, dtype=np.int64)
    for part in prange(_PARTS):
        firsts[part] = _one_part(keys, index, part, bits)
        counts[part] = len(firsts[part])
    return firsts, counts


@njit(cache=True, nogil=True, parallel=True)
def _shift(keys, index, starts):  # type: ignore[no-untyped-def]
    for corner in prange(len(keys)):
        h = _hash(keys[corner, 0], keys[corner, 1], keys[corner, 2])
        index[corner] += starts[(h >> np.uint64(56)) % np.uint64(_PARTS)]

"""Merging of the corners that triangle soups repeat.

Neighbouring triangles stand near each other in a file, so each run of the file is merged on its own first, with a
table that stays in the processor's cache; then the runs are merged with each other.
"""

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

_RUNS = 64
_EMPTY = -1
_RECENT = 8
_CLASSES = 16


def weld_corners(corners: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """Merge corners with the same coordinates, bit for bit (-0 counts as 0).

    Args:
        corners: Triangle corners, shape (m, 3, 3), finite.

    Returns:
        Points (n, 3), in the order in which the file first names them, and triangles (m, 3) into them.
    """
    flat = np.ascontiguousarray(corners, dtype=np.float32).reshape(-1, 3)
    keys = flat.view(np.uint32)
    index = np.empty(len(flat), dtype=np.int32)
    bounds = np.linspace(0, len(flat), _RUNS + 1).astype(np.int64)
    firsts = _merge_runs(keys, index, bounds)
    starts = np.cumsum([0, *(len(first) for first in firsts)])
    together = np.concatenate(firsts)
    places = flat[together]
    number, is_first = _merge_places(places.view(np.uint32))
    _renumber(index, bounds, starts, number)
    return places[is_first], index.reshape(-1, 3)


@njit(inline="always")
def _hash(keys, i):  # type: ignore[no-untyped-def]
    # -0.0 and 0.0 are one place
    x, y, z = keys[i, 0], keys[i, 1], keys[i, 2]
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
def _same(keys, i, others, j):  # type: ignore[no-untyped-def]
    for axis in range(3):
        a, b = keys[i, axis], others[j, axis]
        if a != b and ((a | b) & np.uint32(0x7FFFFFFF)) != 0:
            return False
    return True


@njit(inline="always")
def _slot_of(keys, places, table, corner):  # type: ignore[no-untyped-def]
    """Slot that holds this corner's place, or the empty one where it belongs.

    The places lie side by side, so that a look at one stays in the processor's cache.
    """
    mask = len(table) - 1
    slot = np.int64(_hash(keys, corner) & np.uint64(mask))
    while table[slot] != _EMPTY and not _same(places, table[slot], keys, corner):
        slot = (slot + 1) & mask
    return slot


@njit
def _grown(places, count, size):  # type: ignore[no-untyped-def]
    """A table of the given size with everything numbered so far."""
    table = np.full(size, _EMPTY, dtype=np.int32)
    for number in range(count):
        table[_slot_of(places, places, table, number)] = number
    return table


@njit
def _longer(rows, count):  # type: ignore[no-untyped-def]
    """The same rows with room for as many again."""
    longer = np.empty((2 * len(rows), 3), dtype=np.uint32)
    longer[:count] = rows[:count]
    return longer


@njit(cache=True, nogil=True)
def _one_run(keys, index, start, stop):  # type: ignore[no-untyped-def]
    """Number the corners of one run by first appearance; the table grows when half full."""
    size = 64
    while size < (stop - start) // 3:
        size *= 2
    table = np.full(size, _EMPTY, dtype=np.int32)
    places = np.empty((size // 2 + 1, 3), dtype=np.uint32)
    firsts = np.empty(stop - start, dtype=np.int32)
    count = 0
    for corner in range(start, stop):
        found = _EMPTY
        for back in range(1, min(_RECENT, corner - start) + 1):
            if _same(keys, corner, keys, corner - back):
                found = index[corner - back]
                break
        if found == _EMPTY:
            slot = _slot_of(keys, places, table, corner)
            found = table[slot]
            if found == _EMPTY:
                table[slot], firsts[count] = count, corner
                places[count] = keys[corner]
                found = count
                count += 1
                if 2 * count > size:
                    size *= 2
                    table, places = _grown(places, count, size), _longer(places, count)
        index[corner] = found
    return firsts[:count]


@njit(cache=True, nogil=True, parallel=True)
def _merge_runs(keys, index, bounds):  # type: ignore[no-untyped-def]
    """The first corner of every place of each run, run by run."""
    firsts = [np.empty(0, dtype=np.int32) for _ in range(len(bounds) - 1)]
    for run in prange(len(bounds) - 1):
        firsts[run] = _one_run(keys, index, bounds[run], bounds[run + 1])
    return firsts


def _merge_places(places: NDArray[np.uint32]) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
    """Number of each of these places over the whole file, and which of them is the first of its number."""
    hashes = np.empty(len(places), dtype=np.uint64)
    _hash_all(places, hashes)
    counts = np.bincount((hashes >> np.uint64(60)).astype(np.uint8), minlength=_CLASSES)
    earliest = np.empty(len(places), dtype=np.int32)
    _find_earliest(places, hashes, counts, earliest)
    is_first = earliest == np.arange(len(places), dtype=np.int32)
    number = np.cumsum(is_first, dtype=np.int32) - np.int32(1)
    return number[earliest], is_first


@njit(cache=True, nogil=True, parallel=True)
def _hash_all(places, hashes):  # type: ignore[no-untyped-def]
    for i in prange(len(places)):
        hashes[i] = _hash(places, i)


@njit(cache=True, nogil=True, parallel=True)
def _find_earliest(places, hashes, counts, earliest):  # type: ignore[no-untyped-def]
    """Earliest of the same place, hash class by hash class, so that each table stays in the cache."""
    for part in prange(len(counts)):
        size = 64
        while size < 2 * counts[part]:
            size *= 2
        table = np.full(size, _EMPTY, dtype=np.int32)
        for i in range(len(places)):
            if hashes[i] >> np.uint64(60) != np.uint64(part):
                continue
            slot = np.int64(hashes[i] & np.uint64(size - 1))
            while table[slot] != _EMPTY and not _same(places, table[slot], places, i):
                slot = (slot + 1) & (size - 1)
            if table[slot] == _EMPTY:
                table[slot] = i
            earliest[i] = table[slot]


@njit(cache=True, nogil=True, parallel=True)
def _renumber(index, bounds, starts, number):  # type: ignore[no-untyped-def]
    """From the number within a run to the number within the file."""
    for run in prange(len(bounds) - 1):
        for corner in range(bounds[run], bounds[run + 1]):
            index[corner] = number[starts[run] + index[corner]]

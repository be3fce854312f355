"""The stick worth most: which pieces to cut from one stick when each sort has a worth."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]


def best_filling(
    sizes: Sequence[int], worths: Sequence[int], most: Sequence[int], capacity: int, *, above: int = 0
) -> tuple[int, tuple[int, ...]] | None:
    """The pieces worth most that fit in one stick, exactly.

    Sorts are taken up one after the other, those with most worth for their size first. Of states that weigh no less and
    are worth no more than another only the other stays, and of those that even a fractional rest cannot lift none.

    Args:
        sizes: Size of each sort, over 0.
        worths: Worth of each sort; those of 0 or less are left out.
        most: How many of each sort there may be.
        capacity: Room.
        above: Only what is worth more than this counts.

    Returns:
        Worth, and how many of each sort; None where nothing is worth more than `above`.
    """
    chunks = list(_chunks(sizes, worths, most, capacity))
    weight: Whole = np.zeros(1, dtype=np.int64)
    worth: Whole = np.zeros(1, dtype=np.int64)
    trail: list[tuple[Whole, NDArray[np.bool_]]] = []
    for number, (_, size, value) in enumerate(chunks):
        fits = np.flatnonzero(weight <= capacity - size)
        parent = np.concatenate([np.arange(len(weight)), fits])
        took = np.concatenate([np.zeros(len(weight), dtype=bool), np.ones(len(fits), dtype=bool)])
        weight = np.concatenate([weight, weight[fits] + size])
        worth = np.concatenate([worth, worth[fits] + value])
        kept = _kept(weight, worth)
        kept = kept[_can_still(weight[kept], worth[kept], chunks[number + 1 :][:1], capacity, above)]
        if not len(kept):
            return None
        weight, worth = weight[kept], worth[kept]
        trail.append((parent[kept], took[kept]))
    if not chunks or int(worth.max()) <= above:
        return None
    return int(worth.max()), _walked_back(int(worth.argmax()), chunks, trail, len(sizes))


def _chunks(
    sizes: Sequence[int], worths: Sequence[int], most: Sequence[int], capacity: int
) -> Iterator[tuple[tuple[int, int], int, int]]:
    """Bundles of 1, 2, 4 ... pieces of a sort, any number being a choice of them: ((sort, pieces), size, worth)."""
    useful = [k for k in range(len(sizes)) if worths[k] > 0 and most[k] > 0 and sizes[k] <= capacity]
    for k in sorted(useful, key=lambda k: (-worths[k] / sizes[k], k)):
        left, bundle = min(most[k], capacity // sizes[k]), 1
        while left > 0:
            pieces = min(bundle, left)
            yield (k, pieces), pieces * sizes[k], pieces * worths[k]
            left -= pieces
            bundle *= 2


def _kept(weight: Whole, worth: Whole) -> Whole:
    """Places of states that no other beats, by weight."""
    order = np.lexsort((-worth, weight))
    sorted_worth = worth[order]
    best_before = np.concatenate([[-1], np.maximum.accumulate(sorted_worth)[:-1]])
    kept: Whole = order[sorted_worth > best_before]
    return kept


def _can_still(
    weight: Whole,
    worth: Whole,
    following: Sequence[tuple[tuple[int, int], int, int]],
    capacity: int,
    above: int,
) -> NDArray[np.bool_]:
    """Which states can still become better than `above` and no worse than the best one so far."""
    reach = worth.astype(float)
    for _, size, value in following:
        reach = reach + (capacity - weight) * (value / size) * (1.0 + 1e-12) + 1.0
    can: NDArray[np.bool_] = (reach > above) & (reach >= worth.max())
    return can


def _walked_back(
    at: int,
    chunks: Sequence[tuple[tuple[int, int], int, int]],
    trail: Sequence[tuple[Whole, NDArray[np.bool_]]],
    sorts: int,
) -> tuple[int, ...]:
    counts = [0] * sorts
    for ((sort, pieces), _, _), (parent, took) in zip(reversed(chunks), reversed(trail), strict=True):
        if took[at]:
            counts[sort] += pieces
        at = int(parent[at])
    return tuple(counts)

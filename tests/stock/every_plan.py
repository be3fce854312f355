"""The best plan by trying every one: slow, plain, and of other making than the search."""

from functools import cache
from itertools import product


def least_cost(sizes, groups, kinds, kerf):
    """Least cost, or None where the sticks do not suffice.

    Args:
        sizes: Whole-number length of each single piece.
        groups: Group of each piece, None for none.
        kinds: (length, cost, count or None, batch) of each kind.
        kerf: Whole number.
    """
    names = sorted({group for group in groups if group is not None})
    batches = sorted({batch for *_, batch in kinds})
    costs = [
        _least(sizes, groups, kinds, kerf, dict(zip(names, choice, strict=True)))
        for choice in product(batches, repeat=len(names))
    ]
    return min((cost for cost in costs if cost is not None), default=None)


def _least(sizes, groups, kinds, kerf, batch_of):
    every = (1 << len(sizes)) - 1
    fits = [
        [mask for mask in range(1, every + 1) if _holds(mask, sizes, groups, length, batch, kerf, batch_of)]
        for length, _, _, batch in kinds
    ]

    @cache
    def rest(left, counts):
        if not left:
            return 0
        first = left & -left
        best = None
        for number, (_, cost, _, _) in enumerate(kinds):
            if counts[number] == 0:
                continue
            fewer = tuple(
                count if k != number or count is None else count - 1 for k, count in enumerate(counts)
            )
            for mask in fits[number]:
                if mask & first and not mask & ~left:
                    more = rest(left & ~mask, fewer)
                    if more is not None and (best is None or cost + more < best):
                        best = cost + more
        return best

    return rest(every, tuple(count for _, _, count, _ in kinds))


def _holds(mask, sizes, groups, length, batch, kerf, batch_of):
    inside = [k for k in range(len(sizes)) if mask >> k & 1]
    if any(groups[k] is not None and batch_of[groups[k]] != batch for k in inside):
        return False
    return sum(sizes[k] for k in inside) + kerf * (len(inside) - 1) <= length

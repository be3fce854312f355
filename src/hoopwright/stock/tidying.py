"""The same sticks, with what is left gathered in few long offcuts instead of many short ends."""

from collections.abc import Iterator, Sequence

from hoopwright.stock.model import Filled, Model, load

_MOST_STICKS = 80
_MOST_PASSES = 200
Move = tuple[int, int, int, int]
"""From stick, its sort, to stick, the sort that comes back or -1."""


def gather_rests(model: Model, sticks: Sequence[Filled]) -> list[Filled]:
    """Move and swap pieces between sticks while the sum of the squares of what is left grows.

    Nothing that a plan counts gets worse: no stick is added, and one that becomes empty is left out.

    Args:
        model: The task.
        sticks: A whole plan.
    """
    counts = [list(stick.counts) for stick in sticks]
    kinds = [stick.kind for stick in sticks]
    rests = [model.kinds[stick.kind].capacity - load(model, stick.counts) for stick in sticks]
    passes = _MOST_PASSES if len(sticks) <= _MOST_STICKS else 0
    for _ in range(passes):
        best = max(_moves(model, kinds, counts, rests), default=None)
        if best is None:
            break
        _gain, (one, sort, other, back) = best
        moved = model.sorts[sort].size - (model.sorts[back].size if back >= 0 else 0)
        counts[one][sort] -= 1
        counts[other][sort] += 1
        if back >= 0:
            counts[other][back] -= 1
            counts[one][back] += 1
        rests[one] += moved
        rests[other] -= moved
    return [
        Filled(kind=kind, counts=tuple(count))
        for kind, count in zip(kinds, counts, strict=True)
        if any(count)
    ]


def _moves(
    model: Model, kinds: Sequence[int], counts: Sequence[Sequence[int]], rests: Sequence[int]
) -> Iterator[tuple[int, Move]]:
    """Moves into a stick that is fuller, with what they gain."""
    for one, own in enumerate(counts):
        for other, others in enumerate(counts):
            if one == other or rests[other] > rests[one] or rests[other] == 0:
                continue
            for sort, back in _pairs(model, kinds, own, others, one, other):
                moved = model.sorts[sort].size - (model.sorts[back].size if back >= 0 else 0)
                # (a + m)^2 + (b - m)^2 - a^2 - b^2, halved
                gain = moved * (rests[one] - rests[other] + moved)
                if 0 < moved <= rests[other] and gain > 0:
                    yield gain, (one, sort, other, back)


def _pairs(
    model: Model,
    kinds: Sequence[int],
    own: Sequence[int],
    others: Sequence[int],
    one: int,
    other: int,
) -> Iterator[tuple[int, int]]:
    """Sorts that may change places; those of a group only between sticks of one batch."""
    same = model.kinds[kinds[one]].batch == model.kinds[kinds[other]].batch
    free = [same or sort.group < 0 for sort in model.sorts]
    mine = [k for k, count in enumerate(own) if count and free[k]]
    yours = [k for k, count in enumerate(others) if count and free[k]]
    for sort in mine:
        yield sort, -1
        yield from ((sort, back) for back in yours if back > sort)

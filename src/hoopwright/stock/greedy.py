"""First plans by the old rules of the saw bench: the longest piece first, into the first or the fullest stick."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

from hoopwright.stock.model import Filled, Model, Packing, is_whole, packing

Rule = Literal["first", "fullest"]
_MOST_CHOICES = 64


@dataclass(kw_only=True)
class _Open:
    """A stick that is being filled."""

    kind: int
    room: int
    counts: list[int]


def greedy_packings(model: Model) -> Iterator[Packing]:
    """First-fit and best-fit decreasing, for every way to give groups their batches while there are few."""
    for batches in _choices(model):
        for rule in ("first", "fullest"):
            for by_length in (True, False)[: len(model.kinds)]:
                found = _pack(model, rule, batches, by_length)
                if found is not None:
                    yield found


def _choices(model: Model) -> Iterator[tuple[int, ...]]:
    every = product(range(model.batches), repeat=model.groups)
    yield from (choice for choice, _ in zip(every, range(_MOST_CHOICES), strict=False))


def _pack(model: Model, rule: Rule, batches: Sequence[int], by_length: bool) -> Packing | None:
    """One plan; None where a piece finds no stick."""
    opened: list[_Open] = []
    left = [kind.count for kind in model.kinds]
    for k, sort in enumerate(model.sorts):
        batch = batches[sort.group] if sort.group >= 0 else None
        for _ in range(sort.demand):
            stick = _open_stick(model, opened, sort.size, batch, rule)
            if stick is None:
                stick = _new_stick(model, left, sort.size, batch, by_length)
                if stick is None:
                    return None
                opened.append(stick)
            stick.room -= sort.size
            stick.counts[k] += 1
    found = packing(model, [Filled(kind=stick.kind, counts=tuple(stick.counts)) for stick in opened])
    return found if is_whole(model, found) else None


def _open_stick(
    model: Model, opened: Sequence[_Open], size: int, batch: int | None, rule: Rule
) -> _Open | None:
    fits = (s for s in opened if s.room >= size and batch in (None, model.kinds[s.kind].batch))
    if rule == "first":
        return next(fits, None)
    return min(fits, key=lambda stick: stick.room, default=None)


def _new_stick(
    model: Model, left: list[int | None], size: int, batch: int | None, by_length: bool
) -> _Open | None:
    """The stick that costs least, or that costs least for its length."""
    can = [
        n
        for n, kind in enumerate(model.kinds)
        if kind.capacity >= size and left[n] != 0 and batch in (None, kind.batch)
    ]
    if not can:
        return None
    kinds = model.kinds
    number = min(
        can,
        key=lambda n: (
            kinds[n].cost / kinds[n].capacity if by_length else kinds[n].cost,
            -kinds[n].capacity,
            n,
        ),
    )
    count = left[number]
    left[number] = None if count is None else count - 1
    return _Open(kind=number, room=kinds[number].capacity, counts=[0] * len(model.sorts))

"""Plans stick by stick, learning from each: pieces that ended in badly filled sticks are worth more the next time.

Source: the method of sequential value correction (E. A. Mukhacheva and others, Pesquisa Operacional 20 (2000) 153-168;
cited from memory). Its plans are starts, and its fillings are what a whole plan needs beside those of the linear
programme.
"""

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from hoopwright.stock.knapsack import best_filling
from hoopwright.stock.model import Filled, Model, Packing, is_whole, load, packing

_STEPS = 10**9
_LONGER_IS_HARDER = 1.03
_SORTS_AT_ONCE = 120
"""More sorts than this to choose from make a stick no fuller, only slower."""


@dataclass(kw_only=True)
class Corrector:
    """Draws plans one after the other; the same seed draws the same plans.

    Args:
        model: The task.
        seed: Of the random numbers.
    """

    model: Model
    seed: int
    _worths: list[float] = field(init=False)
    _draw: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        self._draw = np.random.default_rng(self.seed)
        self._worths = [self._plain(sort.size) for sort in self.model.sorts]

    def _plain(self, size: int) -> float:
        return float((size / self.model.sorts[0].size) ** _LONGER_IS_HARDER)

    def draw(
        self, start: Sequence[float] | None = None, *, deadline_s: float = math.inf
    ) -> tuple[list[Filled], Packing | None]:
        """Sticks filled one after the other; with the plan that they make, where every piece found a stick.

        Args:
            start: Worth of each sort for this plan alone; those learnt without.
            deadline_s: When to stop, on the monotonic clock.
        """
        worths = list(start) if start is not None else self._worths
        filled, left = self._fill([worth * self._draw.uniform(0.97, 1.03) for worth in worths], deadline_s)
        if start is None:
            self._learn(filled)
        if any(left):
            return filled, None
        made = packing(self.model, filled)
        return filled, made if is_whole(self.model, made) else None

    def _fill(self, worths: Sequence[float], deadline_s: float) -> tuple[list[Filled], list[int]]:
        model = self.model
        top = max(worths) or 1.0
        whole = [int(worth / top * _STEPS) + 1 for worth in worths]
        batches = [int(self._draw.integers(model.batches)) for _ in range(model.groups)]
        left = [sort.demand for sort in model.sorts]
        free = [math.inf if kind.count is None else float(kind.count) for kind in model.kinds]
        filled: list[Filled] = []
        while any(left) and time.monotonic() < deadline_s:
            found = self._next(whole, left, free, batches)
            if found is None:
                break
            most = min(have // n for have, n in zip(left, found.counts, strict=True) if n)
            times = int(min(max(1, most), free[found.kind]))
            filled += [found] * times
            free[found.kind] -= times
            left = [have - times * n for have, n in zip(left, found.counts, strict=True)]
        return filled, left

    def _next(
        self, whole: Sequence[int], left: Sequence[int], free: Sequence[float], batches: Sequence[int]
    ) -> Filled | None:
        """The stick that brings most for what it counts; of those that count nothing the fullest."""
        offers = list(self._offers(whole, left, free, batches))
        return max(offers, key=lambda offer: offer[0])[1] if offers else None

    def _offers(
        self, whole: Sequence[int], left: Sequence[int], free: Sequence[float], batches: Sequence[int]
    ) -> Iterator[tuple[tuple[float, float], Filled]]:
        sizes = [sort.size for sort in self.model.sorts]
        most = self._some_of(left)
        for number, kind in enumerate(self.model.kinds):
            if free[number] < 1:
                continue
            own = [
                worth if sort.group < 0 or batches[sort.group] == kind.batch else 0
                for worth, sort in zip(whole, self.model.sorts, strict=True)
            ]
            found = best_filling(sizes, own, most, kind.capacity)
            if found is not None:
                filled = Filled(kind=number, counts=found[1])
                share = load(self.model, filled.counts) / kind.capacity
                yield (found[0] / kind.cost if kind.cost else math.inf, share), filled

    def _some_of(self, left: Sequence[int]) -> list[int]:
        """What is left of the largest sort and of some others drawn at random; of all where there are few."""
        there = [k for k, count in enumerate(left) if count]
        if len(there) <= _SORTS_AT_ONCE:
            return list(left)
        drawn = self._draw.choice(len(there) - 1, size=_SORTS_AT_ONCE - 1, replace=False)
        kept = {there[0], *(there[1 + int(at)] for at in drawn)}
        return [count if k in kept else 0 for k, count in enumerate(left)]

    def _learn(self, filled: Sequence[Filled]) -> None:
        for stick in filled:
            share = load(self.model, stick.counts) / self.model.kinds[stick.kind].capacity
            for k, count in enumerate(stick.counts):
                if count:
                    part = min(1.0, 0.5 * count / self.model.sorts[k].demand)
                    new = self._plain(self.model.sorts[k].size) / max(share, 0.05)
                    self._worths[k] += part * (new - self._worths[k])

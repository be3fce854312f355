"""Column generation: fillings of single sticks, the linear programme over them, and the bound that it proves.

Source: P. C. Gilmore and R. E. Gomory, A linear programming approach to the cutting-stock problem, Operations
Research 9 (1961) 849-859; the bound from any worths: A. A. Farley, Operations Research 38 (1990) 922-923.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csr_matrix, hstack, vstack

from hoopwright.stock.knapsack import best_filling
from hoopwright.stock.model import Filled, Model
from hoopwright.stock.programme import (
    Numbers,
    Rows,
    batch_rows,
    chosen_of,
    costs_of,
    demands_of,
    limit_counts,
    limited_kinds,
    matrix_of,
    rows_of,
    scale_of,
    uses_of,
)

WORTH_STEPS = 10**9
_UNCUT_COST = 100.0
"""What a piece counts that is not cut, the dearest stick being 1."""
_IMPROVES = 1e-7
_MOST_ROUNDS = 2_000
_FILLINGS_AT_ONCE = 6


@dataclass(kw_only=True)
class Pool:
    """Fillings found so far, each once, in the order of finding."""

    fillings: list[Filled] = field(default_factory=list)
    seen: set[Filled] = field(default_factory=set)

    def add(self, filling: Filled) -> bool:
        """Take a filling in; whether it was new."""
        if filling in self.seen or not any(filling.counts):
            return False
        self.seen.add(filling)
        self.fillings.append(filling)
        return True


@dataclass(frozen=True, kw_only=True)
class Relaxed:
    """The linear programme solved over every filling there is, or as far as time went.

    Args:
        worths: Worth of each row's piece, in the model's costs.
        bound: Cost below which no plan is, proven with exact numbers.
    """

    worths: Numbers
    bound: int


def relax(model: Model, pool: Pool, deadline_s: float) -> Relaxed:
    """Solve the linear programme; fillings that it needs are added to the pool.

    Args:
        model: The task.
        pool: Fillings to begin with; grows.
        deadline_s: When to stop, on the monotonic clock.
    """
    rows, bound = rows_of(model), 0
    worths: Numbers = np.zeros(len(rows.sort))
    for _ in range(_MOST_ROUNDS):
        worths, limits = _solve(model, rows, pool.fillings)
        found, proven = _price(model, rows, worths, limits)
        bound = max(bound, proven)
        new = [pool.add(filling) for filling in found]
        if not any(new):
            return Relaxed(worths=worths, bound=bound)
        if time.monotonic() > deadline_s:
            break
    return Relaxed(worths=worths, bound=bound)


def _solve(model: Model, rows: Rows, fillings: Sequence[Filled]) -> tuple[Numbers, Numbers]:
    """Worth of each row, and what one more stick of each kind would save; both in the solver's costs.

    Columns are the fillings, pieces left uncut at a price that no plan pays while it can cut them, and the batches of
    groups.
    """
    wanted, limits = len(rows.sort), limited_kinds(model)
    choices = model.groups * model.batches
    uncut = csr_matrix(np.eye(wanted))
    cover = hstack([matrix_of(model, rows, fillings), uncut, csr_matrix(chosen_of(model, rows))])
    used = hstack([uses_of(model, fillings), csr_matrix((len(limits), wanted + choices))])
    # scipy takes sparse rows here, its type stubs do not know it
    upper: Any = vstack([-cover, used]).tocsr()
    once: Any = batch_rows(model, len(fillings) + wanted) if model.groups else None
    solved = linprog(
        np.array([*costs_of(model, fillings), *([_UNCUT_COST] * wanted), *([0.0] * choices)]),
        A_ub=upper,
        b_ub=np.array([*(-demand for demand in demands_of(model, rows)), *limit_counts(model)]),
        A_eq=once,
        b_eq=np.ones(model.groups) if model.groups else None,
        method="highs",
    )
    marginals = -np.asarray(solved.ineqlin.marginals, dtype=float)
    saved = np.zeros(len(model.kinds))
    saved[list(limits)] = marginals[wanted:]
    return np.maximum(marginals[:wanted], 0.0), saved


def first_bound(model: Model) -> int:
    """Cost below which no plan is, from lengths alone: as if pieces could be cut at will."""
    endless = [Fraction(kind.cost, kind.capacity) for kind in model.kinds if kind.count is None]
    share = min(endless, default=max(Fraction(kind.cost, kind.capacity) for kind in model.kinds))
    total = share * sum(sort.size * sort.demand for sort in model.sorts)
    for kind in model.kinds:
        if kind.count is not None:
            total -= kind.count * max(Fraction(0), share * kind.capacity - kind.cost)
    step = model.cost_step
    return max(0, -(-total // step) * step)


def _price(model: Model, rows: Rows, worths: Numbers, limits: Numbers) -> tuple[list[Filled], int]:
    """Fillings of each kind that lower the cost, the best first, and the bound that these worths prove."""
    scale = scale_of(model)
    whole = np.floor(worths * WORTH_STEPS).astype(np.int64)
    found, best = [], []
    for number, kind in enumerate(model.kinds):
        own = _worths_for(model, rows, whole, kind.batch)
        above = kind.cost / scale * WORTH_STEPS + (limits[number] + _IMPROVES) * WORTH_STEPS
        filled = _filled(model, own, [sort.demand for sort in model.sorts], kind.capacity)
        best.append(filled[0])
        # beside the best one, fillings of what it leaves: together they come nearer to a plan
        left = [sort.demand for sort in model.sorts]
        for _ in range(_FILLINGS_AT_ONCE):
            if filled[0] <= above:
                break
            found.append(Filled(kind=number, counts=filled[1]))
            left = [have - count for have, count in zip(left, filled[1], strict=True)]
            filled = _filled(model, own, left, kind.capacity)
    return found, _proven(model, rows, whole, best)


def _filled(
    model: Model, worths: Sequence[int], most: Sequence[int], capacity: int
) -> tuple[int, tuple[int, ...]]:
    found = best_filling([sort.size for sort in model.sorts], worths, most, capacity)
    return found or (0, (0,) * len(model.sorts))


def _worths_for(model: Model, rows: Rows, whole: NDArray[np.int64], batch: int) -> list[int]:
    worths = [0] * len(model.sorts)
    for n, (k, own) in enumerate(zip(rows.sort, rows.batch, strict=True)):
        if own in (-1, batch):
            worths[k] = int(whole[n])
    return worths


def _proven(model: Model, rows: Rows, whole: NDArray[np.int64], best: Sequence[int]) -> int:
    """Cost that no plan is below, from any worths: they are lowered until no endless kind is worth more than it costs.

    A limited kind that is worth more than it costs can save the difference as often as there is one of it.
    """
    share = Fraction(1)
    for kind, worth in zip(model.kinds, best, strict=True):
        if kind.count is None and worth:
            share = min(share, Fraction(kind.cost, worth) * _per_cost(model))
    free = sum(
        model.sorts[k].demand * int(whole[n])
        for n, (k, batch) in enumerate(zip(rows.sort, rows.batch, strict=True))
        if batch == -1
    )
    grouped = sum(_least_of_group(model, rows, whole, group) for group in range(model.groups))
    total = share * (free + grouped) / _per_cost(model)
    for kind, worth in zip(model.kinds, best, strict=True):
        if kind.count is not None:
            total -= kind.count * max(Fraction(0), share * worth / _per_cost(model) - kind.cost)
    step = model.cost_step
    return max(0, -(-total // step) * step)


def _per_cost(model: Model) -> Fraction:
    """Steps of worth for one of cost."""
    return Fraction(WORTH_STEPS) / Fraction(scale_of(model))


def _least_of_group(model: Model, rows: Rows, whole: NDArray[np.int64], group: int) -> int:
    sums = [0] * model.batches
    for n, (k, batch) in enumerate(zip(rows.sort, rows.batch, strict=True)):
        if model.sorts[k].group == group:
            sums[batch] += model.sorts[k].demand * int(whole[n])
    return min(sums)

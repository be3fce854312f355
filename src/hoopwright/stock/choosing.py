"""The cheapest plan from fillings at hand, as a mixed-integer programme."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix, hstack

from hoopwright.stock.model import Filled, Model, Packing, is_whole, packing
from hoopwright.stock.programme import (
    Numbers,
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

COST_SLACK = 1e-9


@dataclass(frozen=True, kw_only=True)
class Searched:
    """What a search for a plan below a cost came to.

    Args:
        found: A plan, or None.
        none_there: Whether it is proven that there is none.
    """

    found: Packing | None
    none_there: bool = False


def choose_fillings(
    model: Model, fillings: Sequence[Filled], *, least: int, below: int, time_limit_s: float
) -> Searched:
    """The cheapest plan from fillings at hand.

    Args:
        model: The task.
        fillings: What may be used; one that holds more than is still to be cut is used with less in it.
        least: Cost that no plan is below; a plan that costs this ends the search.
        below: Only a plan that costs less is wanted.
        time_limit_s: How long to look.
    """
    rows, scale = rows_of(model), scale_of(model)
    choices = model.groups * model.batches
    costs = np.array([*costs_of(model, fillings), *([0.0] * choices)])
    cover = hstack([matrix_of(model, rows, fillings), csr_matrix(chosen_of(model, rows))]).tocsr()
    used = hstack([uses_of(model, fillings), csr_matrix((len(limited_kinds(model)), choices))]).tocsr()
    solved = milp(
        costs,
        constraints=[
            LinearConstraint(cover, lb=demands_of(model, rows), ub=np.inf),
            within_cost(costs, least / scale, (below - model.cost_step) / scale),
            *rows_unless_none(used, most=limit_counts(model)),
            *one_batch_each(model, len(fillings)),
        ],
        integrality=np.ones(len(costs), dtype=np.int64),
        bounds=Bounds(0.0, np.array([*(_most(model, f) for f in fillings), *([1.0] * choices)])),
        options={"time_limit": max(time_limit_s, 0.05), "mip_rel_gap": 0.0},
    )
    if solved.x is None:
        return Searched(found=None)
    times = np.round(solved.x[: len(fillings)]).astype(int)
    sticks = [f for f, count in zip(fillings, times, strict=True) for _ in range(count)]
    found = packing(model, _without_surplus(model, sticks))
    return Searched(found=found if is_whole(model, found) else None)


def within_cost(costs: Numbers, least_share: float, most_share: float) -> LinearConstraint:
    """Nothing dearer is wanted and nothing cheaper is there; as shares of the dearest stick."""
    return LinearConstraint(
        csr_matrix(costs[None, :]), lb=least_share - COST_SLACK, ub=most_share + COST_SLACK
    )


def one_batch_each(model: Model, first: int) -> list[LinearConstraint]:
    """Each group takes one batch; its choices are the last columns, from `first` on."""
    return rows_unless_none(batch_rows(model, first), least=1.0, most=1.0)


def rows_unless_none(
    matrix: csr_matrix, *, most: float | list[float], least: float = -np.inf
) -> list[LinearConstraint]:
    """Rows as a constraint; scipy takes no matrix without rows."""
    return [LinearConstraint(matrix, lb=least, ub=most)] if matrix.shape[0] else []


def _most(model: Model, filling: Filled) -> float:
    """How often a filling can be of use."""
    wanted = [-(-sort.demand // n) for n, sort in zip(filling.counts, model.sorts, strict=True) if n]
    count = model.kinds[filling.kind].count
    return float(max(wanted) if count is None else min(max(wanted), count))


def _without_surplus(model: Model, sticks: Sequence[Filled]) -> list[Filled]:
    """The same sticks with no piece cut more often than wanted; empty ones are left out.

    A group's surplus is taken from the batch that does not hold all of it.
    """
    left = [sort.demand for sort in model.sorts]
    whole = {group: _whole_batch(model, sticks, group) for group in range(model.groups)}
    kept = []
    for stick in sticks:
        batch = model.kinds[stick.kind].batch
        counts = []
        for k, (sort, count) in enumerate(zip(model.sorts, stick.counts, strict=True)):
            other = sort.group >= 0 and whole[sort.group] != batch
            taken = 0 if other else min(count, left[k])
            left[k] -= taken
            counts.append(taken)
        if any(counts):
            kept.append(Filled(kind=stick.kind, counts=tuple(counts)))
    return kept


def _whole_batch(model: Model, sticks: Sequence[Filled], group: int) -> int:
    """The first batch whose sticks hold every piece of a group."""
    for batch in range(model.batches):
        own = [stick for stick in sticks if model.kinds[stick.kind].batch == batch]
        cut = [sum(stick.counts[k] for stick in own) for k in range(len(model.sorts))]
        if all(n >= s.demand for n, s in zip(cut, model.sorts, strict=True) if s.group == group):
            return batch
    return -1

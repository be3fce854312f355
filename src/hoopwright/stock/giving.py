"""The best plan of all, by giving each piece to a stick: it proves, too, that there is none below a cost."""

from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

from hoopwright.stock.choosing import Searched, one_batch_each, rows_unless_none, within_cost
from hoopwright.stock.model import Filled, Model, is_whole, packing
from hoopwright.stock.programme import scale_of

MOST_CHOICES = 6_000
"""Sorts times sticks over which the programme is too large to be worth its time."""
_INFEASIBLE = 2
Entries = list[tuple[int, int, float]]


def can_give(model: Model, below: int) -> bool:
    """Whether the programme is small enough."""
    return 0 < len(model.sorts) * len(_sticks(model, below - model.cost_step)) <= MOST_CHOICES


def give_pieces(model: Model, *, least: int, below: int, time_limit_s: float) -> Searched:
    """Look for a plan that costs less.

    Columns are pieces of each sort from each stick, then whether each stick is cut, then the batches of groups.

    Args:
        model: The task.
        least: Cost that no plan is below.
        below: Only a plan that costs less is wanted.
        time_limit_s: How long to look.
    """
    top, scale = below - model.cost_step, scale_of(model)
    sticks = _sticks(model, top)
    pieces, choices = len(model.sorts) * len(sticks), model.groups * model.batches
    wide = pieces + len(sticks) + choices
    costs = np.zeros(wide)
    costs[pieces : pieces + len(sticks)] = [model.kinds[n].cost / scale for n in sticks]
    demands = [float(sort.demand) for sort in model.sorts]
    solved = milp(
        costs,
        constraints=[
            LinearConstraint(_sparse(_room(model, sticks), len(sticks), wide), ub=0.0),
            LinearConstraint(
                _sparse(_every_piece(model, sticks), len(demands), wide), lb=demands, ub=demands
            ),
            within_cost(costs, least / scale, top / scale),
            *_upper(_in_order(model, sticks), wide),
            *_upper(_in_batch(model, sticks), wide),
            *one_batch_each(model, pieces + len(sticks)),
        ],
        integrality=np.ones(wide, dtype=np.int64),
        bounds=Bounds(0.0, np.array([*np.repeat(demands, len(sticks)), *([1.0] * (len(sticks) + choices))])),
        options={"time_limit": max(time_limit_s, 0.05), "mip_rel_gap": 0.0},
    )
    if solved.x is None:
        return Searched(found=None, none_there=solved.status == _INFEASIBLE)
    counts = np.round(solved.x[:pieces]).astype(int).reshape(len(demands), len(sticks))
    filled = [
        Filled(kind=kind, counts=tuple(int(count) for count in counts[:, at]))
        for at, kind in enumerate(sticks)
        if counts[:, at].any()
    ]
    found = packing(model, filled)
    # the solver lets a stick be too full by its tolerance; such a plan is none
    return Searched(found=found if is_whole(model, found) else None)


def _sticks(model: Model, top: int) -> list[int]:
    """Kind of each stick that a plan of that cost could cut."""
    total = sum(sort.demand for sort in model.sorts)
    sticks: list[int] = []
    for number, kind in enumerate(model.kinds):
        most = min(total, MOST_CHOICES + 1, top // kind.cost if kind.cost else total)
        sticks += [number] * (most if kind.count is None else min(most, kind.count))
    return sticks


def _room(model: Model, sticks: Sequence[int]) -> Entries:
    """Pieces with their kerfs in the stick and one kerf, as shares of it."""
    entries: Entries = []
    pieces = len(model.sorts) * len(sticks)
    for at, kind in enumerate(sticks):
        entries += [
            (at, k * len(sticks) + at, sort.size / model.kinds[kind].capacity)
            for k, sort in enumerate(model.sorts)
        ]
        entries.append((at, pieces + at, -1.0))
    return entries


def _every_piece(model: Model, sticks: Sequence[int]) -> Entries:
    return [(k, k * len(sticks) + at, 1.0) for k in range(len(model.sorts)) for at in range(len(sticks))]


def _in_order(model: Model, sticks: Sequence[int]) -> Entries:
    """Of two sticks alike the first is cut first and holds more: the same plan in another order is none."""
    entries: Entries = []
    row, pieces = 0, len(model.sorts) * len(sticks)
    for at in range(len(sticks) - 1):
        if sticks[at] != sticks[at + 1]:
            continue
        entries += [(row, pieces + at + 1, 1.0), (row, pieces + at, -1.0)]
        for k, sort in enumerate(model.sorts):
            share = sort.size / model.kinds[sticks[at]].capacity
            entries += [(row + 1, k * len(sticks) + at + 1, share), (row + 1, k * len(sticks) + at, -share)]
        row += 2
    return entries


def _in_batch(model: Model, sticks: Sequence[int]) -> Entries:
    """A group's pieces come only from sticks of the batch that it takes."""
    entries: Entries = []
    row, first = 0, (len(model.sorts) + 1) * len(sticks)
    for k, sort in enumerate(model.sorts):
        if sort.group < 0:
            continue
        for at, kind in enumerate(sticks):
            chosen = first + sort.group * model.batches + model.kinds[kind].batch
            entries += [(row, k * len(sticks) + at, 1.0), (row, chosen, -float(sort.demand))]
            row += 1
    return entries


def _upper(entries: Entries, wide: int) -> list[LinearConstraint]:
    """Rows that must not be over 0."""
    rows = 1 + max((row for row, _, _ in entries), default=-1)
    return rows_unless_none(_sparse(entries, rows, wide), most=0.0)


def _sparse(entries: Entries, rows: int, wide: int) -> csr_matrix:
    where = np.array(entries, dtype=float).reshape(-1, 3)
    places = (where[:, 0].astype(np.int64), where[:, 1].astype(np.int64))
    return csr_matrix((where[:, 2], places), shape=(rows, wide))

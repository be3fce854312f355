"""Rows and columns that the linear and the whole programme share."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from hoopwright.stock.model import Filled, Model

Numbers = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Rows:
    """Rows of the programme: a sort, or a sort of a group in one batch.

    Args:
        sort: Sort of each row.
        batch: Batch of each row; -1 for any.
    """

    sort: tuple[int, ...]
    batch: tuple[int, ...]


def rows_of(model: Model) -> Rows:
    """One row for a free sort, one for each batch for a sort of a group."""
    pairs = [
        (k, batch)
        for k, sort in enumerate(model.sorts)
        for batch in (range(model.batches) if sort.group >= 0 else (-1,))
    ]
    return Rows(sort=tuple(k for k, _ in pairs), batch=tuple(batch for _, batch in pairs))


def scale_of(model: Model) -> float:
    """What costs are divided by before the solver sees them."""
    return float(max((kind.cost for kind in model.kinds), default=0) or 1)


def costs_of(model: Model, fillings: Sequence[Filled]) -> list[float]:
    """Cost of each filling, the dearest stick being 1."""
    scale = scale_of(model)
    return [model.kinds[filling.kind].cost / scale for filling in fillings]


def demands_of(model: Model, rows: Rows) -> list[float]:
    """Pieces that each row wants by itself; those of a group are wanted by its choice of a batch."""
    return [
        float(model.sorts[k].demand) if batch < 0 else 0.0
        for k, batch in zip(rows.sort, rows.batch, strict=True)
    ]


def matrix_of(model: Model, rows: Rows, fillings: Sequence[Filled]) -> csr_matrix:
    """How many pieces of each row each filling cuts, shape (rows, fillings)."""
    at = {pair: row for row, pair in enumerate(zip(rows.sort, rows.batch, strict=True))}
    entries = [
        (at.get((k, -1), at.get((k, model.kinds[filling.kind].batch), -1)), column, count)
        for column, filling in enumerate(fillings)
        for k, count in enumerate(filling.counts)
        if count
    ]
    where = np.array(entries, dtype=float).reshape(-1, 3)
    places = (where[:, 0].astype(int), where[:, 1].astype(int))
    return csr_matrix((where[:, 2], places), shape=(len(rows.sort), len(fillings)))


def chosen_of(model: Model, rows: Rows) -> Numbers:
    """What a group that takes a batch wants of it, shape (rows, groups times batches)."""
    chosen = np.zeros((len(rows.sort), model.groups * model.batches))
    for row, (k, batch) in enumerate(zip(rows.sort, rows.batch, strict=True)):
        if batch >= 0:
            sort = model.sorts[k]
            chosen[row, sort.group * model.batches + batch] = -sort.demand
    return chosen


def batch_rows(model: Model, first: int) -> csr_matrix:
    """Each group takes one batch; its choices are the last columns, from `first` on, group by group."""
    once = np.zeros((model.groups, first + model.groups * model.batches))
    for group in range(model.groups):
        at = first + group * model.batches
        once[group, at : at + model.batches] = 1.0
    return csr_matrix(once)


def limited_kinds(model: Model) -> tuple[int, ...]:
    """Kinds of which there are only so many sticks."""
    return tuple(number for number, kind in enumerate(model.kinds) if kind.count is not None)


def limit_counts(model: Model) -> list[float]:
    """How many there are of each limited kind."""
    return [float(kind.count) for kind in model.kinds if kind.count is not None]


def uses_of(model: Model, fillings: Sequence[Filled]) -> csr_matrix:
    """Which filling takes a stick of which limited kind, shape (limited kinds, fillings)."""
    limited = {number: row for row, number in enumerate(limited_kinds(model))}
    entries = [
        (limited[filling.kind], column) for column, filling in enumerate(fillings) if filling.kind in limited
    ]
    places = ([row for row, _ in entries], [column for _, column in entries])
    return csr_matrix((np.ones(len(entries)), places), shape=(len(limited), len(fillings)))

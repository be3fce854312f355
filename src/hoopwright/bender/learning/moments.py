"""Bends as equations, and the sums of them that are all a linear fit needs."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.learning.steels import FULL_DEG

Vector = NDArray[np.float64]
Numbers = NDArray[np.intp]
Flags = NDArray[np.bool_]

ONSETS_DEG, ONSET_SHARE = (3.0, 10.0), 0.25
"""Of slack and end zones a quarter comes in over the first 3 degrees of command and a quarter over 10; half is there
from the start. A guess between a straight line down to zero and one that bends away from 20 degrees; no source."""
CONSTANT, GROWTH, QUICK, SLOW, DRIFT = range(5)
UNKNOWNS = 5


def design_rows(command_deg: Vector, bend_count: Vector) -> Vector:
    """Coefficients of constant, growth to 90 degrees, quick and slow onset, drift in 100 bends; shape (..., 5).

    A batch differs by its strength and so in proportion to the command, as the theory's share does: its
    coefficient is the one of the growth.

    Args:
        command_deg: What the gauge read under load.
        bend_count: Bends logged before this one.
    """
    command, count = np.broadcast_arrays(
        np.asarray(command_deg, dtype=float), np.asarray(bend_count, dtype=float)
    )
    quick, slow = (np.exp(-command / over) for over in ONSETS_DEG)
    rows: Vector = np.stack(
        [1.0 - ONSET_SHARE * (quick + slow), command / FULL_DEG, -quick, -slow, count / 100.0], axis=-1
    )
    return rows


@dataclass(frozen=True, kw_only=True, eq=False)
class Moments:
    """Sums over the readings of each batch; they add up, so a bend at a time gives what all at once give.

    Args:
        rows_rows: Sum of row times row, shape (..., B, 5, 5).
        rows_values: Sum of row times value, shape (..., B, 5).
        values_values: Sum of squared values, shape (..., B).
        count: Readings of each batch, shape (B,).
    """

    rows_rows: Vector
    rows_values: Vector
    values_values: Vector
    count: Vector

    def __add__(self, other: "Moments") -> "Moments":
        return Moments(
            rows_rows=self.rows_rows + other.rows_rows,
            rows_values=self.rows_values + other.rows_values,
            values_values=self.values_values + other.values_values,
            count=self.count + other.count,
        )


def sum_up(rows: Vector, values: Vector, batch: Numbers, batches: int) -> Moments:
    """The moments of readings.

    Args:
        rows: Shape (..., n, 5).
        values: Springback less what the prior expects, shape (..., n).
        batch: Number of each reading's batch, shape (n,).
        batches: How many batches.
    """
    outer = rows[..., :, None] * rows[..., None, :]
    along = rows * values[..., None]
    return Moments(
        rows_rows=_by_batch(outer, batch, batches, trailing=2),
        rows_values=_by_batch(along, batch, batches, trailing=1),
        values_values=_by_batch(values**2, batch, batches, trailing=0),
        count=np.bincount(batch, minlength=batches).astype(float),
    )


def _by_batch(terms: Vector, batch: Numbers, batches: int, *, trailing: int) -> Vector:
    axis = terms.ndim - 1 - trailing
    moved = np.moveaxis(terms, axis, 0)
    sums = np.zeros((batches, *moved.shape[1:]))
    np.add.at(sums, batch, moved)
    summed: Vector = np.moveaxis(sums, 0, axis)
    return summed


def sums_before(terms: Vector, batch: Numbers, *, trailing: int) -> Vector:
    """For each reading the sum over the readings of its batch that come before it, shape of `terms`.

    Args:
        terms: Shape (..., n) and `trailing` axes more.
        batch: Shape (n,).
        trailing: Axes after the one of readings.
    """
    axis = terms.ndim - 1 - trailing
    order = np.argsort(batch, kind="stable")
    sorted_terms = np.moveaxis(terms, axis, 0)[order]
    summed = np.cumsum(sorted_terms, axis=0) - sorted_terms
    first = np.searchsorted(batch[order], batch[order], side="left")
    before = np.empty_like(summed)
    before[order] = summed - summed[first]
    result: Vector = np.moveaxis(before, 0, axis)
    return result

"""Roots and lowest values of many functions of one number at once.

For some hundred cheap functions scipy's elementwise solvers spend five times as long on their own bookkeeping as on
the functions (measured), and a sheet of twenty bars has forty copes.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Rows = NDArray[np.intp]
_ROOT_MM = 1e-11
_NEAR_MM = 1e-7
_ROUNDS = 12
_HALVINGS = 60
_GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0
_GOLDEN_ROUNDS = 30


def roots(function: Callable[[Numbers, Rows], Numbers], rows: Rows, low: Numbers, high: Numbers) -> Numbers:
    """A root of each function between two places where its sign differs, to 1e-11.

    Regula falsi with the Illinois rule, and halving for what has not settled by then.

    Args:
        function: Values at places, for rows.
        rows: Which function each is, shape (n,).
        low: One side of each root, shape (n,).
        high: The other side, shape (n,).

    Source: M. Dowell and P. Jarratt, BIT 11 (1971) 168.
    """
    left, right = low.copy(), high.copy()
    at_left, at_right = function(left, rows), function(right, rows)
    found = right.copy()
    open_ = np.arange(len(rows))
    for _ in range(_ROUNDS):
        if len(open_) == 0:
            return found
        span = at_right - at_left
        with np.errstate(divide="ignore", invalid="ignore"):
            guess = right - at_right * (right - left) / span
        guess = np.where(np.isfinite(guess), guess, right)
        # from a steep side the guesses creep before they have come anywhere: only near 0 a short step means the root
        going = (np.abs(guess - found[open_]) >= _ROOT_MM) | (np.abs(at_right) >= _NEAR_MM)
        found[open_] = guess
        if not going.all():
            open_, guess = open_[going], guess[going]
            left, right, at_left, at_right = left[going], right[going], at_left[going], at_right[going]
        value = function(guess, rows[open_])
        crossed = np.signbit(value) != np.signbit(at_right)
        left = np.where(crossed, right, left)
        at_left = np.where(crossed, at_right, 0.5 * at_left)
        right, at_right = guess, value
    if len(open_):
        found[open_] = _halved(function, rows[open_], low[open_], high[open_])
    return found


def _halved(function: Callable[[Numbers, Rows], Numbers], rows: Rows, low: Numbers, high: Numbers) -> Numbers:
    below = np.signbit(function(low, rows))
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        same = np.signbit(function(middle, rows)) == below
        low, high = np.where(same, middle, low), np.where(same, high, middle)
        if np.abs(high - low).max(initial=0.0) < _ROOT_MM:
            break
    return 0.5 * (low + high)


def lowest(
    function: Callable[[Numbers, Rows], Numbers], rows: Rows, low: Numbers, high: Numbers
) -> tuple[Numbers, Numbers]:
    """Where each function with one low between two places is lowest, and its value there, by the golden section.

    Args:
        function: Values at places, for rows.
        rows: Which function each is, shape (n,).
        low: One end, shape (n,).
        high: The other end, shape (n,).

    Returns:
        Places to two millionths of the distance between the ends, and values, shape (n,) each.
    """
    first = high - _GOLDEN * (high - low)
    second = low + _GOLDEN * (high - low)
    at_first, at_second = function(first, rows), function(second, rows)
    for _ in range(_GOLDEN_ROUNDS):
        left = at_first < at_second
        low, high = np.where(left, low, first), np.where(left, second, high)
        kept, at_kept = np.where(left, first, second), np.where(left, at_first, at_second)
        fresh = np.where(left, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        at_fresh = function(fresh, rows)
        first, at_first = np.where(left, fresh, kept), np.where(left, at_fresh, at_kept)
        second, at_second = np.where(left, kept, fresh), np.where(left, at_kept, at_fresh)
    better = at_first < at_second
    return np.where(better, first, second), np.where(better, at_first, at_second)

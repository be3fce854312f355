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
_ROUNDS = 24
_HALVINGS = 60
_GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0
_GOLDEN_ROUNDS = 30
_PARABOLAS = 14
_PLACE_SHARE = 3e-7
_PROBE_SHARE = 1e-3


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
    """Where each function with one low between two places is lowest, and its value there.

    By parabolas through the three best places, and by the golden section for what has not settled by then.

    Args:
        function: Values at places, for rows.
        rows: Which function each is, shape (n,).
        low: One end, shape (n,).
        high: The other end, shape (n,).

    Returns:
        Places to two millionths of the distance between the ends, and values, shape (n,) each.
    """
    middle = 0.5 * (low + high)
    places = np.array((low, middle, high))
    values = np.array([function(place, rows) for place in places])
    best, at_best = middle.copy(), values[1].copy()
    span = np.abs(high - low)
    open_ = np.arange(len(rows))
    for _ in range(_PARABOLAS):
        fresh, is_low = _vertex(places, values)
        is_low &= values[1] <= np.minimum(values[0], values[2])
        close = is_low & (np.abs(fresh - places[1]) <= _PLACE_SHARE * span)
        toward = places[2] + places[0] - 2.0 * places[1]
        wide = np.abs(places[2] - places[0]) > 4.0 * _PROBE_SHARE * span
        done = close & ~wide
        best[open_[done]], at_best[open_[done]] = places[1, done], values[1, done]
        # parabolas may creep up to a wrong place from one side: a probe toward the far end tells
        fresh = np.where(close, places[1] + np.copysign(_PROBE_SHARE * span, toward), fresh)
        lower_end = np.where(values[0] < values[2], places[0], places[2])
        fresh = np.where(is_low, fresh, 0.5 * (places[1] + lower_end))
        if done.any():
            going = ~done
            open_, fresh, span = open_[going], fresh[going], span[going]
            places, values = places[:, going], values[:, going]
        if len(open_) == 0:
            return best, at_best
        places, values = _narrowed(places, values, fresh, function(fresh, rows[open_]))
    best[open_], at_best[open_] = _golden(function, rows[open_], low[open_], high[open_])
    return best, at_best


def _vertex(places: Numbers, values: Numbers) -> tuple[Numbers, NDArray[np.bool_]]:
    """The vertex of the parabola through three places, shape (3, n), and whether it is a low between the outer two."""
    (a, b, c), (at_a, at_b, at_c) = places, values
    with np.errstate(divide="ignore", invalid="ignore"):
        left, right = (at_b - at_a) / (b - a), (at_c - at_b) / (c - b)
        bend = (right - left) / (c - a)
        vertex = 0.5 * (a + b) - 0.5 * left / bend
    return vertex, (bend > 0.0) & (vertex > np.minimum(a, c)) & (vertex < np.maximum(a, c))


def _narrowed(places: Numbers, values: Numbers, fresh: Numbers, at_fresh: Numbers) -> tuple[Numbers, Numbers]:
    """The three places about the lowest, of three in order and a fresh one between the outer two."""
    (a, b, c), (at_a, at_b, at_c) = places, values
    left = fresh < b
    lower = at_fresh < at_b
    first = np.where(left, np.where(lower, a, fresh), np.where(lower, b, a))
    at_first = np.where(left, np.where(lower, at_a, at_fresh), np.where(lower, at_b, at_a))
    last = np.where(left, np.where(lower, b, c), np.where(lower, c, fresh))
    at_last = np.where(left, np.where(lower, at_b, at_c), np.where(lower, at_c, at_fresh))
    return (
        np.array((first, np.where(lower, fresh, b), last)),
        np.array((at_first, np.where(lower, at_fresh, at_b), at_last)),
    )


def _golden(
    function: Callable[[Numbers, Rows], Numbers], rows: Rows, low: Numbers, high: Numbers
) -> tuple[Numbers, Numbers]:
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

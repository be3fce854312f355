"""Solving the open numbers: least squares of the goal, within limits that hold."""

import numpy as np
from scipy.optimize import LinearConstraint, minimize

from hoopwright.bars.many import Many
from hoopwright.bender.rescue.goal import Target, goal_score, residuals_and_slopes
from hoopwright.bender.rescue.unknowns import Open, limits, places_at
from hoopwright.geometry import Vector

_STEP = 1e-4
_ROUNDS = 4
_SOFTEST = 1e-3
_STAY_PER_DEG = 0.02
_STAY_PER_MM = 0.005
_HOLDS_WITHIN = 1e-6
_ENOUGH = 1e-7


def solve_open(found: Open, target: Target) -> Vector:
    """The unknowns with the least goal, started from where the search begins.

    Sequential quadratic programming over unknowns that are scaled so that the goal is round where each round
    begins. A little is added for every degree and millimetre that a bend leaves its plan, so that what does
    not matter stays as it was. The start is kept when it holds the limits and nothing better is found.
    """
    rows, bounds = limits(found)
    at, stay = found.start, _stay(found)
    value = _value(found, target, at, stay)
    holds = _hold(rows, bounds, at)
    for _ in range(_ROUNDS):
        tried = _round(found, target, at, stay, rows, bounds)
        if not _hold(rows, bounds, tried):
            tried = _back_within(at, tried, rows, bounds)
        tried_value = _value(found, target, tried, stay)
        if holds and not tried_value < value:
            break
        gained = value - tried_value
        at, value, holds, had = tried, tried_value, _hold(rows, bounds, tried), holds
        if had and gained <= _ENOUGH * max(value, _ENOUGH):
            break
    return at


def _round(found: Open, target: Target, at: Vector, stay: Vector, rows: Many, bounds: Vector) -> Vector:
    scale = _round_scale(_slopes(found, target, at, stay)[1])

    def value(y: Vector) -> float:
        return _value(found, target, at + scale @ y, stay)

    def slope(y: Vector) -> Vector:
        values, slopes = _slopes(found, target, at + scale @ y, stay)
        rise: Vector = scale.T @ (slopes.T @ values)
        return rise

    within = LinearConstraint(rows @ scale, lb=bounds - rows @ at)
    done = minimize(
        value,
        np.zeros(len(at)),
        jac=slope,
        method="SLSQP",
        constraints=within,
        options={"maxiter": 40, "ftol": 1e-9},
    )
    tried: Vector = at + scale @ done.x
    return tried if np.isfinite(tried).all() else at


def _round_scale(slopes: Many) -> Many:
    """A matrix that makes slopes.T @ slopes the unit matrix, but for what hardly matters."""
    _, sizes, axes = np.linalg.svd(slopes, full_matrices=False)
    held = np.maximum(sizes, _SOFTEST * sizes[0])
    scale: Many = axes.T / held
    return scale


def _slopes(found: Open, target: Target, at: Vector, stay: Vector) -> tuple[Vector, Many]:
    steps = _STEP * np.eye(len(at))
    both = places_at(found, np.concatenate([at[None], at + steps, at - steps]))
    count = len(at)
    moves = (both[1 : count + 1] - both[count + 1 :]) / (2.0 * _STEP)
    values, slopes = residuals_and_slopes(target, both[0], moves)
    kept = stay * (at - found.start)
    return np.concatenate([values, kept]), np.vstack([slopes, np.diag(stay)])


def _value(found: Open, target: Target, at: Vector, stay: Vector) -> float:
    moved = stay * (at - found.start)
    return goal_score(target, places_at(found, at[None])[0]) + 0.5 * float(moved @ moved)


def _stay(found: Open) -> Vector:
    size = len(found.bends)
    weights = [_STAY_PER_DEG] * (size * (2 if found.turns else 1)) + [_STAY_PER_MM] * size
    return np.array([*weights, *[0.0] * (len(found.start) - len(weights))])


def _hold(rows: Many, bounds: Vector, at: Vector) -> bool:
    return bool((rows @ at >= bounds - _HOLDS_WITHIN).all())


def _back_within(at: Vector, tried: Vector, rows: Many, bounds: Vector) -> Vector:
    """As far from `at` towards `tried` as every limit that `at` holds still holds."""
    room, taken = rows @ at - bounds, rows @ (at - tried)
    going = (taken > 0.0) & (room >= 0.0)
    share = min(1.0, float((room[going] / taken[going]).min(initial=1.0)))
    kept: Vector = at + share * (tried - at)
    return kept

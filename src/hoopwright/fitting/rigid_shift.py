"""Shifting a bar as it is, so that it sits on its side as another sits on the other side."""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, minimize

from hoopwright.bars import Bar, centreline
from hoopwright.fitting.measuring import judged_stretch
from hoopwright.geometry import Points, Vector
from hoopwright.shell.shell import Shell

_SPACING_MM = 4.0
_FAR_MM = 60.0
_NEAR_MM = 20.0
_ROUNDS = 20
_STILL = 1e-3
"""Weight of the way itself, so that the bar does not wander where nothing holds it, such as along a wall."""
_SHORT = 1e3


def rigid_shift(
    shell: Shell,
    bar: Bar,
    like_mm: Points,
    *,
    gap_mm: float,
    landings_mm: tuple[float, float],
    most_mm: float = 40.0,
) -> Vector:
    """The shift that brings a bar's gaps nearest to those of its twin, and to the gap asked where it can.

    Each round takes the nearest metal as planes and solves for the shift and one shortfall of the gap.

    Args:
        shell: The scan in the vehicle frame.
        bar: A bar that can be.
        like_mm: Mirror that takes the bar onto its twin: +1 or -1 for each axis, shape (3,).
        gap_mm: Gap to keep.
        landings_mm: Lengths at A and B that are not judged.
        most_mm: Farthest that it goes along each axis.

    Returns:
        The shift, shape (3,), vehicle frame, mm.
    """
    points = _judged(bar, landings_mm)
    half = bar.tube.od_mm / 2.0
    wanted = shell.nearest(points * like_mm).distance_mm - half
    shift, trust = np.zeros(3), 20.0
    gaps, away = _gaps(shell, points, half)
    cost = _cost(gaps, wanted, shift, gap_mm)
    for _ in range(_ROUNDS):
        low, high = np.maximum(shift - trust, -most_mm), np.minimum(shift + trust, most_mm)
        tried = _solved(gaps, away, wanted, shift, gap_mm, low, high)
        new_gaps, new_away = _gaps(shell, points + tried, half)
        new_cost = _cost(new_gaps, wanted, tried, gap_mm)
        if new_cost < cost - 1e-9:
            shift, gaps, away, cost = tried, new_gaps, new_away, new_cost
        else:
            trust *= 0.4
        if trust < 0.02:
            break
    return shift


def _judged(bar: Bar, landings_mm: tuple[float, float]) -> Points:
    path = centreline(bar)
    low, high = judged_stretch(path, landings_mm)
    return path.at(np.linspace(low, high, max(2, int(np.ceil((high - low) / _SPACING_MM)))))


def _gaps(shell: Shell, points: Points, half_mm: float) -> tuple[Vector, Points]:
    near = shell.nearest(points)
    away = (points - near.place_mm) / np.maximum(near.distance_mm, 1e-9)[:, None]
    return near.distance_mm - half_mm, away


def _weights(gaps: Vector, wanted: Vector) -> Vector:
    """Metal that is far from both says little of where the bar belongs."""
    farther = np.maximum(gaps, wanted)
    weights: Vector = np.where(farther < _FAR_MM, 1.0 / (1.0 + np.maximum(farther, 0.0) / _NEAR_MM), 0.0)
    return weights


def _cost(gaps: Vector, wanted: Vector, shift: Vector, gap_mm: float) -> float:
    rest = _weights(gaps, wanted) * (gaps - wanted)
    return float(
        rest @ rest / len(rest) + _STILL * shift @ shift + _SHORT * max(0.0, gap_mm - float(gaps.min()))
    )


def _solved(
    gaps: Vector,
    away: Points,
    wanted: Vector,
    shift: Vector,
    gap_mm: float,
    low: Vector,
    high: Vector,
) -> Vector:
    """The best shift for the metal as planes. Numbers: three of the shift, and the shortfall."""
    weights = _weights(gaps, wanted)
    slopes = weights[:, None] * away
    base = weights * (gaps - wanted) - slopes @ shift
    spare = gaps - away @ shift - gap_mm
    count = len(gaps)

    def cost(numbers: Vector) -> float:
        rest = base + slopes @ numbers[:3]
        return float(rest @ rest / count + _STILL * numbers[:3] @ numbers[:3] + _SHORT * numbers[3])

    def slope(numbers: Vector) -> Vector:
        rest = base + slopes @ numbers[:3]
        return np.append(2.0 * slopes.T @ rest / count + 2.0 * _STILL * numbers[:3], _SHORT)

    rows = np.column_stack([away, np.ones(count)])
    short = max(0.0, -float((spare + away @ shift).min()))
    found = minimize(
        cost,
        np.append(np.clip(shift, low, high), short),
        jac=slope,
        method="SLSQP",
        bounds=Bounds(np.append(low, 0.0), np.append(high, np.inf)),
        constraints=[LinearConstraint(rows, lb=-spare)],
        options={"maxiter": 100, "ftol": 1e-10},
    )
    solved: Vector = np.clip(np.asarray(found.x, dtype=np.float64)[:3], low, high)
    return solved if np.isfinite(solved).all() else shift

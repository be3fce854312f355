"""Shifting a bar as it is, so that it sits on its side as another sits on the other side."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, minimize

from hoopwright.bars import Bar, Node, centreline
from hoopwright.geometry import Points, Vector
from hoopwright.geometry.capsules import Capsule, away_from_capsules
from hoopwright.shell.clearance import judged_stretch
from hoopwright.shell.shell import Shell

_SPACING_MM = 4.0
_FAR_MM = 60.0
_NEAR_MM = 20.0
_ROUNDS = 20
_STILL = 1e-3
"""Weight of the way itself, so that the bar does not wander where nothing holds it, such as along a wall."""
_SHORT = 1e3


@dataclass(frozen=True, kw_only=True)
class Held:
    """A direction in which a bar may hardly be shifted.

    Args:
        direction: Unit direction, vehicle frame.
        low_mm: Farthest against it.
        high_mm: Farthest along it.
    """

    direction: Node
    low_mm: float
    high_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class _Gaps:
    """Gap to metal and the way from it at samples; and the room to metal or driver, and the way from that."""

    metal: Vector
    away: Points
    room: Vector
    clear: Points


def rigid_shift(
    shell: Shell,
    bar: Bar,
    like_mm: Points,
    *,
    gap_mm: float,
    landings_mm: tuple[float, float],
    most_mm: float = 40.0,
    held: Sequence[Held] = (),
    keep_clear: Sequence[Capsule] = (),
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
        held: Directions in which it may hardly go, since an end would leave what it lands on.
        keep_clear: Room of the driver that the bar's skin stays out of.

    Returns:
        The shift, shape (3,), vehicle frame, mm.
    """
    points = _judged(bar, landings_mm)
    half = bar.tube.od_mm / 2.0
    wanted = shell.nearest(points * like_mm).distance_mm - half
    shift, trust = np.zeros(3), 20.0
    now = _gaps(shell, points, half, gap_mm, keep_clear)
    cost = _cost(now, wanted, shift, gap_mm)
    for _ in range(_ROUNDS):
        low, high = np.maximum(shift - trust, -most_mm), np.minimum(shift + trust, most_mm)
        tried = _solved(now, wanted, shift, gap_mm, low, high, held)
        there = _gaps(shell, points + tried, half, gap_mm, keep_clear)
        new_cost = _cost(there, wanted, tried, gap_mm)
        if new_cost < cost - 1e-9:
            shift, now, cost = tried, there, new_cost
        else:
            trust *= 0.4
        if trust < 0.02:
            break
    return shift


def _judged(bar: Bar, landings_mm: tuple[float, float]) -> Points:
    path = centreline(bar)
    low, high = judged_stretch(path, landings_mm)
    return path.at(np.linspace(low, high, max(2, int(np.ceil((high - low) / _SPACING_MM)))))


def _gaps(
    shell: Shell, points: Points, half_mm: float, gap_mm: float, keep_clear: Sequence[Capsule]
) -> _Gaps:
    near = shell.nearest(points)
    away = (points - near.place_mm) / np.maximum(near.distance_mm, 1e-9)[:, None]
    metal = near.distance_mm - half_mm
    to_driver, from_driver = away_from_capsules(points, keep_clear)
    kept = to_driver - half_mm + gap_mm
    nearer = kept < metal
    return _Gaps(
        metal=metal,
        away=away,
        room=np.where(nearer, kept, metal),
        clear=np.where(nearer[:, None], from_driver, away),
    )


def _weights(gaps: Vector, wanted: Vector) -> Vector:
    """Metal that is far from both says little of where the bar belongs."""
    farther = np.maximum(gaps, wanted)
    weights: Vector = np.where(farther < _FAR_MM, 1.0 / (1.0 + np.maximum(farther, 0.0) / _NEAR_MM), 0.0)
    return weights


def _cost(now: _Gaps, wanted: Vector, shift: Vector, gap_mm: float) -> float:
    rest = _weights(now.metal, wanted) * (now.metal - wanted)
    short = max(0.0, gap_mm - float(now.room.min()))
    return float(rest @ rest / len(rest) + _STILL * shift @ shift + _SHORT * short)


def _solved(
    now: _Gaps,
    wanted: Vector,
    shift: Vector,
    gap_mm: float,
    low: Vector,
    high: Vector,
    held: Sequence[Held],
) -> Vector:
    """The best shift for the metal as planes. Numbers: three of the shift, and the shortfall."""
    weights = _weights(now.metal, wanted)
    slopes = weights[:, None] * now.away
    base = weights * (now.metal - wanted) - slopes @ shift
    spare = now.room - now.clear @ shift - gap_mm
    count = len(wanted)

    def cost(numbers: Vector) -> float:
        rest = base + slopes @ numbers[:3]
        return float(rest @ rest / count + _STILL * numbers[:3] @ numbers[:3] + _SHORT * numbers[3])

    def slope(numbers: Vector) -> Vector:
        rest = base + slopes @ numbers[:3]
        return np.append(2.0 * slopes.T @ rest / count + 2.0 * _STILL * numbers[:3], _SHORT)

    rows = np.column_stack([now.clear, np.ones(count)])
    short = max(0.0, -float((spare + now.clear @ shift).min()))
    limits = [LinearConstraint(rows, lb=-spare)]
    if held:
        across = np.array([[*one.direction, 0.0] for one in held])
        limits.append(
            LinearConstraint(across, lb=[one.low_mm for one in held], ub=[one.high_mm for one in held])
        )
    found = minimize(
        cost,
        np.append(np.clip(shift, low, high), short),
        jac=slope,
        method="SLSQP",
        bounds=Bounds(np.append(low, 0.0), np.append(high, np.inf)),
        constraints=limits,
        options={"maxiter": 100, "ftol": 1e-10},
    )
    solved: Vector = np.clip(np.asarray(found.x, dtype=np.float64)[:3], low, high)
    return solved if np.isfinite(solved).all() else shift

"""The straights of a bar along its axis, and the nodes where they cross: the start of the fit."""

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.as_bent.scanned.axis_path import AxisPath
from hoopwright.geometry import Points, Vector, angle_between_deg, unit_vector

ONE_STRAIGHT_DEG = 1.2
_SAMPLE_RATIO = 0.1
WINDOW_RATIO, SMALL_WINDOW_RATIO = 1.1, 0.6
_LEAST_RATIO = 0.45
_STRAIGHT_TURN = 0.045
"""Greatest turn over one diameter on a straight, as a share of a radian: a bend of ten diameters' radius turns 0.1."""


@dataclass(frozen=True, eq=False, kw_only=True)
class StraightRun:
    """One straight.

    Args:
        middle_mm: A place on it.
        direction: Unit, along the travel.
        from_mm: Where it starts along the path.
        to_mm: Where it ends along the path.
    """

    middle_mm: Vector
    direction: Vector
    from_mm: float
    to_mm: float


def straight_runs(
    path: AxisPath, od_mm: float, *, window_ratio: float = WINDOW_RATIO
) -> tuple[StraightRun, ...]:
    """The straights along a path, in order.

    Args:
        path: The axis.
        od_mm: Outside diameter; windows are in terms of it.
        window_ratio: Length over which a direction is taken, in diameters: smaller for short straights, less sure.
    """
    along, places = _even(path.places_mm, _SAMPLE_RATIO * od_mm)
    step = along[1] - along[0] if len(along) > 1 else 1.0
    half = max(2, round(window_ratio * od_mm / 2.0 / step))
    directions = _directions(places, half)
    turned = _turn_per_od(directions, max(1, half // 2), step, od_mm)
    straight = turned < _STRAIGHT_TURN
    runs = [
        _run(places[first:last], along[first], along[last - 1])
        for first, last in _spans(straight)
        if along[last - 1] - along[first] >= _LEAST_RATIO * window_ratio * od_mm
    ]
    return tuple(_merged(runs))


def nodes_of(runs: tuple[StraightRun, ...], path: AxisPath) -> Points:
    """Ends, and where neighbouring straights come nearest to each other, shape (straights + 1, 3)."""
    first, last = runs[0], runs[-1]
    start = first.middle_mm + first.direction * float((path.places_mm[0] - first.middle_mm) @ first.direction)
    end = last.middle_mm + last.direction * float((path.places_mm[-1] - last.middle_mm) @ last.direction)
    inner = [_crossing(a, b) for a, b in itertools.pairwise(runs)]
    return np.array([start, *inner, end])


def _even(places: Points, step_mm: float) -> tuple[Vector, Points]:
    """The path smoothed lightly and walked in even steps."""
    smooth = places.copy()
    smooth[1:-1] = (places[:-2] + 2.0 * places[1:-1] + places[2:]) / 4.0
    lengths = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(smooth, axis=0), axis=1))])
    along = np.linspace(0.0, lengths[-1], max(2, int(lengths[-1] / step_mm)))
    return along, np.column_stack([np.interp(along, lengths, smooth[:, k]) for k in range(3)])


def _directions(places: Points, half: int) -> Points:
    """Direction of the regression line through each window."""
    made = np.empty_like(places)
    for index in range(len(places)):
        low, high = max(0, index - half), min(len(places), index + half + 1)
        window = places[low:high]
        steps = np.arange(len(window)) - (len(window) - 1) / 2.0
        slope = steps @ (window - window.mean(axis=0))
        made[index] = slope / max(float(np.linalg.norm(slope)), 1e-12)
    return made


def _turn_per_od(directions: Points, reach: int, step_mm: float, od_mm: float) -> Vector:
    count = len(directions)
    low = np.maximum(np.arange(count) - reach, 0)
    high = np.minimum(np.arange(count) + reach, count - 1)
    apart = np.linalg.norm(directions[high] - directions[low], axis=1)
    turn: Vector = apart / np.maximum((high - low) * step_mm, 1e-9) * od_mm
    return turn


def _spans(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _run(places: Points, from_mm: float, to_mm: float) -> StraightRun:
    middle = places.mean(axis=0)
    way = np.linalg.svd(places - middle, full_matrices=False)[2][0]
    if float(way @ (places[-1] - places[0])) < 0.0:
        way = -way
    return StraightRun(
        middle_mm=middle, direction=unit_vector(way), from_mm=float(from_mm), to_mm=float(to_mm)
    )


def _merged(runs: list[StraightRun]) -> list[StraightRun]:
    """Runs that go on in one line are one straight."""
    made: list[StraightRun] = []
    for run in runs:
        if made and _one_line(made[-1], run):
            before = made.pop()
            long = before if before.to_mm - before.from_mm >= run.to_mm - run.from_mm else run
            made.append(
                StraightRun(
                    middle_mm=long.middle_mm,
                    direction=unit_vector(run.middle_mm - before.middle_mm),
                    from_mm=before.from_mm,
                    to_mm=run.to_mm,
                )
            )
        else:
            made.append(run)
    return made


def _one_line(first: StraightRun, second: StraightRun) -> bool:
    between = second.middle_mm - first.middle_mm
    return (
        angle_between_deg(first.direction, second.direction) < ONE_STRAIGHT_DEG
        and angle_between_deg(first.direction, between) < ONE_STRAIGHT_DEG
    )


def _crossing(first: StraightRun, second: StraightRun) -> Vector:
    between = second.middle_mm - first.middle_mm
    a, b = first.direction, second.direction
    cosine = float(a @ b)
    spread = max(1.0 - cosine * cosine, 1e-12)
    on_first = (float(between @ a) - cosine * float(between @ b)) / spread
    on_second = (cosine * float(between @ a) - float(between @ b)) / spread
    crossing: Vector = (first.middle_mm + on_first * a + second.middle_mm + on_second * b) / 2.0
    return crossing

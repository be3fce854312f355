"""Places of a cut between its even generators that a line through them alone would clip."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Vector
from hoopwright.joints.cope.extremes import Place, crossing

_SHOWN_MM = 1e-4
_WINDOW = 5
_HALVINGS = 26
_BESIDE_SHARES = (0.0, 0.02, 0.1, 0.3)
"""Beside a gap a line falls as a square root, so places are closer together there."""
_SAME_DEG = 1e-6


def corners_of(
    along_at: Callable[[ArrayLike], Vector], grid_deg: Vector, along_mm: Vector, known: Sequence[Place]
) -> tuple[tuple[float, float], ...]:
    """Where round a branch its cut has a corner, ends beside a gap, or is longest and deepest; with the length there.

    Every place but those of `known` is on the cut itself, so a wrong guess at a corner adds a point and harms nothing.

    Args:
        along_at: Lengths at generators.
        grid_deg: Even generators all round, shape (n,).
        along_mm: Their lengths, NaN where nothing cuts, shape (n,).
        known: Lengths and where they are: the smallest and the greatest.

    Returns:
        Degrees in [0, 360), rising, and lengths in mm; none on a generator.
    """
    step = 360.0 / len(grid_deg)
    angles = np.array([*_crossings(grid_deg, along_mm, step), *_beside_gaps(along_at, grid_deg, along_mm)])
    lengths = along_at(angles) if len(angles) else angles
    found = [(at_deg % 360.0, length_mm) for length_mm, at_deg in known]
    found += zip((angles % 360.0).tolist(), lengths.tolist(), strict=True)
    kept: list[tuple[float, float]] = []
    for at_deg, length_mm in found:
        on_grid = abs(at_deg / step - round(at_deg / step)) * step < _SAME_DEG
        if np.isfinite(length_mm) and not on_grid and all(abs(at_deg - one) > _SAME_DEG for one, _ in kept):
            kept.append((at_deg, length_mm))
    return tuple(sorted(kept))


def _crossings(grid_deg: Vector, along: Vector, step_deg: float) -> list[float]:
    """Where two smooth lines cross, the farther of which counts: both go on below the other beyond it."""
    count = len(along)
    rows = np.arange(count)[:, None]
    ending = along[(rows + np.arange(1 - _WINDOW, 1)) % count]
    starting = along[(rows + np.arange(_WINDOW, 0, -1)) % count]
    falls_short = starting[:, -1] - _one_beyond(ending) > _SHOWN_MM
    comes_short = ending[:, -1] - _one_beyond(starting) > _SHOWN_MM
    found = []
    for row in np.flatnonzero(falls_short & comes_short).tolist():
        met = crossing(ending[row].tolist(), starting[row].tolist())
        if met is not None:
            found.append(float(grid_deg[row]) + met[1] * step_deg)
    return found


def _one_beyond(fives: NDArray[np.float64]) -> NDArray[np.float64]:
    """The quartic through five even places, one step beyond the last; shape (n,) for (n, 5)."""
    a, b, c, d, e = fives.T
    beyond: NDArray[np.float64] = 5.0 * e - 10.0 * d + 10.0 * c - 5.0 * b + a
    return beyond


def _beside_gaps(along_at: Callable[[ArrayLike], Vector], grid_deg: Vector, along: Vector) -> list[float]:
    """The edges of what is cut, by halving between the last generator that is and the first that is not."""
    step = 360.0 / len(grid_deg)
    is_cut = np.isfinite(along)
    up = np.flatnonzero(is_cut & ~np.roll(is_cut, -1))
    down = np.flatnonzero(is_cut & ~np.roll(is_cut, 1))
    firm = np.concatenate([grid_deg[up], grid_deg[down]])
    if len(firm) == 0:
        return []
    way = np.concatenate([np.ones(len(up)), -np.ones(len(down))])
    low, high = np.zeros(len(firm)), np.full(len(firm), step)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        cut_there = np.isfinite(along_at(firm + way * middle))
        low, high = np.where(cut_there, middle, low), np.where(cut_there, high, middle)
    shares = np.array(_BESIDE_SHARES)
    places: list[float] = ((firm + way * low)[:, None] - (way * low)[:, None] * shares).ravel().tolist()
    return places

"""Where lines run inside a skin that has no formula: searched in small steps, for the few that only graze it."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from hoopwright.joints.cope.rays import GRAZE_MM, Stretches
from hoopwright.joints.cope.solving import Rows, lowest, roots

Numbers = NDArray[np.float64]
Beyond = Callable[[Numbers, Rows], Numbers]
STEP_SHARE = 0.25
"""Of the radius: no two ways into a tube lie closer along a line, but for a depth of no account."""
_MOST_STRETCHES = 2


def sampled_stretches(beyond: Beyond, rows: Rows, low: Numbers, high: Numbers, od_mm: float) -> Stretches:
    """Where rays run inside a skin.

    Args:
        beyond: How far places on rays lie outside it; along a ray it falls at most twice as fast as the ray goes.
        rows: The rays, shape (n,).
        low: Where each is looked at from, shape (n,); it is outside before.
        high: And to; it is outside beyond.
        od_mm: Outside diameter of the tube, which sets the steps.

    Returns:
        Stretches of shape (n, 2). Their ends are exact, their starts up to a quarter of the tube's radius early.
    """
    step = STEP_SHARE * od_mm / 2.0
    # a little beyond both ends, since a ray may dip below the skin just beside an end
    low, high = low - 2.0 * step, high + 2.0 * step
    count = max(9, int(np.ceil(float((high - low).max()) / step)) + 1)
    places = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, count)
    values = beyond(places, rows[:, None])
    places, values = _with_lowest(beyond, rows, places, values)
    inside = values <= GRAZE_MM
    entering, leaving = inside.copy(), inside.copy()
    entering[:, 1:] &= ~inside[:, :-1]
    leaving[:, :-1] &= ~inside[:, 1:]
    return (
        _ends(beyond, rows, places, values, entering, -1),
        _ends(beyond, rows, places, values, leaving, 1),
    )


def _with_lowest(beyond: Beyond, rows: Rows, places: Numbers, values: Numbers) -> tuple[Numbers, Numbers]:
    """Samples with the lowest place put in wherever a ray may dip below the skin between two of them."""
    steps = places[:, 1] - places[:, 0]
    middle = values[:, 1:-1]
    # the lowest place is half a step from a sample at most
    dips = (middle > 0.0) & (middle <= steps[:, None])
    dips &= (middle <= values[:, :-2]) & (middle <= values[:, 2:])
    row, column = np.nonzero(dips)
    if len(row) == 0:
        return places, values
    place, value = lowest(beyond, rows[row], places[row, column], places[row, column + 2])
    places, values = places.copy(), values.copy()
    places[row, column + 1], values[row, column + 1] = place, value
    return places, values


def _ends(
    beyond: Beyond, rows: Rows, places: Numbers, values: Numbers, marked: NDArray[np.bool_], step: int
) -> Numbers:
    """Where stretches start (step -1) or end (step 1): between a marked sample and the next one, which is outside.

    Only ends are solved for. A start is needed to see which stretches hang together, and is the sample outside.
    """
    ends = np.full((len(rows), _MOST_STRETCHES), np.nan)
    row, column = np.nonzero(marked)
    rank = np.cumsum(marked, axis=1)[row, column] - 1
    kept = rank < _MOST_STRETCHES
    row, column, rank = row[kept], column[kept], rank[kept]
    outside = column + step
    at_the_end = (outside < 0) | (outside >= places.shape[1])
    touching = values[row, column] >= 0.0
    ends[row, rank] = places[row, column]
    solve = ~at_the_end & ~touching
    if solve.any():
        r, c, o = row[solve], column[solve], outside[solve]
        ends[r, rank[solve]] = (
            roots(beyond, rows[r], places[r, c], places[r, o]) if step > 0 else places[r, o]
        )
    return ends

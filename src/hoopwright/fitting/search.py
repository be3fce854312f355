"""A global search for the bar with a given number of bends, on a grid of distances.

Differential evolution (Storn and Price, 1997; scipy's) over the free numbers of the nodes, strewn along a rough way.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, differential_evolution

from hoopwright.fitting.bar_task import BarTask, Freedom
from hoopwright.fitting.search_kernel import price_bars
from hoopwright.geometry import Points, Vector
from hoopwright.shell.grid import DistanceGrid

_SAMPLES = 48


def search_bars(
    task: BarTask,
    freedom: Freedom,
    starts: NDArray[np.float64],
    grid: DistanceGrid,
    *,
    seed: int,
    generations: int,
) -> tuple[Vector, float]:
    """The best numbers found from a population of starts, and their price on the grid.

    Args:
        task: What is asked.
        freedom: How the nodes may lie.
        starts: The first population, shape (members, numbers).
        grid: Distances, negative where a bar may not lie.
        seed: Of the random numbers.
        generations: How long to search.
    """
    pricing = Pricing(task, freedom, grid)
    found = differential_evolution(
        pricing.of_columns,
        Bounds(freedom.low_mm, freedom.high_mm),
        init=np.clip(starts, freedom.low_mm, freedom.high_mm),
        maxiter=generations,
        strategy="best1bin",
        mutation=(0.35, 0.9),
        recombination=0.85,
        tol=1e-3,
        atol=0.02,
        polish=False,
        vectorized=True,
        updating="deferred",
        rng=np.random.default_rng(seed),
    )
    return np.asarray(found.x, dtype=np.float64), float(found.fun)


class Pricing:
    """Prices of bars on a grid, many at once."""

    def __init__(self, task: BarTask, freedom: Freedom, grid: DistanceGrid) -> None:
        self.freedom, self.grid, self.clr_mm = freedom, grid, task.clr_mm
        self.landings = np.array(task.landings_mm)
        self.shares = np.linspace(0.0, 1.0, _SAMPLES)
        self.limits = np.array(
            [
                task.tube.od_mm / 2.0,
                task.gap_mm,
                task.clamp_mm,
                np.radians(task.least_bend_deg),
                np.radians(task.greatest_bend_deg),
                0.0 if task.may_reverse else 1.0,
            ]
        )
        self.capsules = capsule_rows(task)

    def of_columns(self, numbers: NDArray[np.float64], /) -> Any:
        """Price of each column of numbers, as scipy gives them; shape (m,)."""
        return self(np.ascontiguousarray(numbers.T))

    def __call__(self, numbers: NDArray[np.float64]) -> Vector:
        """Price of each row of numbers, shape (m,)."""
        prices = np.empty(len(numbers))
        price_bars(
            numbers, self.freedom.base_mm, self.freedom.moves, self.clr_mm, self.shares, self.landings,
            self.limits, self.grid.values, self.grid.low_mm, self.grid.cell_mm, self.capsules, prices,
        )  # fmt: skip
        return prices


def capsule_rows(task: BarTask) -> NDArray[np.float64]:
    """Room to keep clear as rows of start, end, radius; shape (n, 7)."""
    rows = [(*one.start_mm, *one.end_mm, one.radius_mm) for one in task.keep_clear]
    return np.array(rows, dtype=np.float64).reshape(-1, 7)


def starts_along(
    freedom: Freedom, way_mm: Points, members: int, spread_mm: float, rng: np.random.Generator
) -> NDArray[np.float64]:
    """A first population with inner nodes strewn along a way, shape (members, numbers)."""
    count = len(freedom.base_mm)
    steps = np.linalg.norm(np.diff(way_mm, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    starts = np.empty((members, len(freedom.moves)))
    flat = freedom.moves.reshape(len(freedom.moves), -1)
    size2 = (flat**2).sum(axis=1)
    for member in range(members):
        shares = np.sort(rng.uniform(0.08, 0.92, count - 2)) * along[-1]
        nodes = freedom.base_mm.copy()
        for axis in range(3):
            nodes[1:-1, axis] = np.interp(shares, along, way_mm[:, axis])
        nodes[1:-1] += rng.normal(0.0, spread_mm, (count - 2, 3))
        starts[member] = flat @ (nodes - freedom.base_mm).reshape(-1) / size2
    ends = (freedom.moves[:, [0, -1]] != 0.0).any(axis=(1, 2))
    strewn = rng.uniform(freedom.low_mm, freedom.high_mm, starts.shape)
    starts[:, ends] = strewn[:, ends]
    return starts

"""The trade-off of one bar: for each number of bends the best bar found, with its gaps, angles and length."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.bar_task import BarTask, Freedom, freedom_of
from hoopwright.fitting.ground import Ground, dense, survey
from hoopwright.fitting.offers import Offer, TradeOff, finished, judge_offer
from hoopwright.fitting.polish import polish
from hoopwright.fitting.search import search_bars, starts_along
from hoopwright.geometry import Points
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell

_STARTS = 20
_STARTS_OF_MANY = 8
_TRIED = 8
_TRIED_OF_MANY = 5
_SAME_MM = 25.0
_MANY = 3
_SPREADS_MM = (40.0, 90.0, 60.0, 140.0)
_POLISHED = 3
_POLISHED_OF_MANY = 2
_GENERATIONS = 100


def fit_bar(
    shell: Shell,
    task: BarTask,
    bends: Sequence[int] = (0, 1, 2, 3, 4),
    *,
    seed: int = 1,
    progress: Progress = silent,
) -> TradeOff:
    """Find the bar that follows the shell best, for each number of bends.

    Args:
        shell: The scan in the vehicle frame.
        task: What is asked.
        bends: Numbers of bends to try.
        seed: Of the random numbers.
        progress: Told how far it is; what it raises stops the fit.

    Raises:
        UserError: `FIT-030` when the task cannot be read, `FIT-031`, `FIT-038`, `FIT-039` or
            `FIT-049` when there is no way through.
    """
    check_task(task)
    progress("measuring the room", 0.0)
    ground = survey(shell, task)
    offers = []
    for number, count in enumerate(bends):
        progress(f"fitting {task.name} with {count} bends", (number + 1) / (len(bends) + 1))
        if task.symmetric and count % 2:
            continue
        freedom = freedom_of(task, _first_nodes(task, ground.way_mm, count), 600.0)
        offer = _offer(shell, task, ground, freedom, seed)
        if offer is not None:
            offers.append(offer)
    progress("fitted", 1.0)
    return TradeOff(task=task, offers=tuple(offers), seed=seed)


def check_task(task: BarTask) -> None:
    """Raises UserError `FIT-030` for numbers that no bar can have."""
    numbers = {
        "gap": task.gap_mm,
        "clamp": task.clamp_mm,
        "radius": task.clr_mm,
        "least bend": task.least_bend_deg,
        "greatest bend": task.greatest_bend_deg,
    }
    places = np.array([task.end_a.place_mm, task.end_b.place_mm, *task.rough_mm])
    problem = next(
        (f"the {name} is {value:g}" for name, value in numbers.items() if not 0.0 <= value < 1e4), None
    )
    if not np.isfinite(places).all() or np.abs(places).max() > 1e5:
        problem = "a place is not finite or not in a car"
    elif np.linalg.norm(places[0] - places[1]) < 20.0:
        problem = "its ends are the same place"
    elif task.greatest_bend_deg <= task.least_bend_deg:
        problem = "the greatest bend is not over the least"
    if problem is not None:
        raise UserError(
            Finding(
                code="FIT-030",
                severity=Severity.STOP,
                sentence=f"Bar {task.name} cannot be fitted: {problem}.",
                todo="Correct it; lengths are in mm unless a unit is typed.",
                objects=(task.name,),
            )
        )


def fit_near(
    shell: Shell, task: BarTask, nodes_mm: Points, reach_mm: Sequence[float], *, seed: int = 1
) -> TradeOff:
    """Find the bar that follows the shell best, with its nodes near places that are given.

    Args:
        shell: The scan in the vehicle frame.
        task: What is asked.
        nodes_mm: Where its nodes start from, ends included, shape (n, 3).
        reach_mm: How far each inner node may go from there along each axis.
        seed: Of the random numbers.

    Raises:
        UserError: `FIT-030` when the task cannot be read, `FIT-031` when there is no way through.
    """
    check_task(task)
    offer = _offer(shell, task, survey(shell, task), freedom_of(task, nodes_mm, reach_mm), seed)
    return TradeOff(task=task, offers=() if offer is None else (offer,), seed=seed)


def _offer(shell: Shell, task: BarTask, ground: Ground, freedom: Freedom, seed: int) -> Offer | None:
    bends = len(freedom.base_mm) - 2
    found = [
        polish(shell, task, freedom, start, extra=np.empty(0), rounds=14)
        for start in _starts(task, ground, freedom, seed)
    ]
    found.sort(key=lambda one: one.merit)
    best = min(
        (
            finished(shell, task, freedom, one)
            for one in found[: _POLISHED if bends < _MANY else _POLISHED_OF_MANY]
        ),
        key=lambda one: one.merit,
    )
    return judge_offer(shell, task, task.bar(freedom.nodes(best.numbers)), bends)


def _first_nodes(task: BarTask, way_mm: Points, bends: int) -> NDArray[np.float64]:
    places = dense(way_mm)
    nodes: NDArray[np.float64] = places[np.linspace(0, len(places) - 1, bends + 2).astype(int)]
    return task.on_plane(nodes)


def _starts(task: BarTask, ground: Ground, freedom: Freedom, seed: int) -> list[NDArray[np.float64]]:
    if not len(freedom.moves):
        return [np.zeros(0)]
    members = max(24, 6 * len(freedom.moves))
    found = []
    bends = len(freedom.base_mm) - 2
    for number in range(_STARTS if bends < _MANY else _STARTS_OF_MANY):
        rng = np.random.default_rng([seed, number, len(freedom.base_mm)])
        starts = starts_along(freedom, ground.way_mm, members, _SPREADS_MM[number % 4], rng)
        best, price = search_bars(
            task, freedom, starts, ground.grid, seed=seed * 1000 + number, generations=_GENERATIONS
        )
        found.append((price, best))
    found.sort(key=lambda one: one[0])
    unlike: list[NDArray[np.float64]] = []
    for _, best in found:
        if all(np.abs(best - other).max() > _SAME_MM for other in unlike):
            unlike.append(best)
    return unlike[: _TRIED if bends < _MANY else _TRIED_OF_MANY]

"""The trade-off of one bar: for each number of bends the best bar found, with its gaps, angles and length."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, bend_table, centreline, check_bendable, check_shape
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.fitting.bar_task import BarTask, Freedom, freedom_of
from hoopwright.fitting.free_space import free_space, room_on_the_way, rooms_of, shortest_way
from hoopwright.fitting.held import least_gap
from hoopwright.fitting.measuring import widest_near
from hoopwright.fitting.no_room import check_ends_reach_room, check_way_stays_inside, no_way
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.fitting.polish import SAMPLES, Polished, polish
from hoopwright.fitting.search import search_bars, starts_along
from hoopwright.geometry import Points
from hoopwright.progress import Progress, silent
from hoopwright.shell.grid import DistanceGrid, make_grid
from hoopwright.shell.shell import Shell

_MARGIN_MM = 260.0
_CELLS = 220_000
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
_HOLD_ROUNDS = 6
_NEAR_MM = 0.3
_EXTRA = 60
_HOPELESS_MM = 2.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Offer:
    """The best bar found with some number of bends.

    Args:
        bends: How many.
        bar: The bar.
        mean_gap_mm: Mean gap at 220 even places between the landings.
        p90_gap_mm: Nine tenths of them are at or below it.
        largest_gap_mm: The greatest.
        smallest_gap_mm: The least gap anywhere between the landings, between the places too.
        angles_deg: Bend angles.
        length_mm: Developed length.
        findings: What does not hold.
    """

    bends: int
    bar: Bar
    mean_gap_mm: float
    p90_gap_mm: float
    largest_gap_mm: float
    smallest_gap_mm: float
    angles_deg: tuple[float, ...]
    length_mm: float
    findings: tuple[Finding, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether all that was asked holds."""
        return not self.findings


@dataclass(frozen=True, eq=False, kw_only=True)
class TradeOff:
    """All that was found for one bar.

    Args:
        task: What was asked.
        offers: One for each number of bends, fewest first.
        seed: Of the random numbers: the same seed gives the same bars.
    """

    task: BarTask
    offers: tuple[Offer, ...]
    seed: int


@dataclass(frozen=True, eq=False, kw_only=True)
class Ground:
    """What all searches for one bar share.

    Args:
        grid: Values to search on.
        way_mm: Rough way from A to B, shape (n, 3).
    """

    grid: DistanceGrid
    way_mm: Points


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


def survey(shell: Shell, task: BarTask) -> Ground:
    """Measure the room round a bar and find its rough way.

    Raises:
        UserError: `FIT-031` when there is no room along the way, `FIT-038` when the gap is wider than the car,
            `FIT-039` when the picked way leaves the car, `FIT-049` for an end too deep in metal.
    """
    check_way_stays_inside(shell, task)
    reach = task.gap_mm + task.tube.od_mm / 2.0
    ends = np.array([task.end_a.place_mm, task.end_b.place_mm])
    given = np.array([ends[0], *task.rough_mm, ends[1]])
    grid = make_grid(shell, *_box(shell, task, given), most_cells=_CELLS)
    vote = _dense(given if task.rough_mm else np.linspace(ends[0], ends[1], 15))[2:-2]
    found = _room_at(shell, grid, vote, reach)
    if found is None:
        raise no_way(shell, task, grid, lambda near: _room_at(shell, grid, vote, near) is not None)
    rooms, room = found
    check_ends_reach_room(shell, task, grid, rooms == room)
    way = given
    if not task.rough_mm:
        # a room hangs together, so that there is a way between any two of its places
        through = shortest_way(grid, rooms == room, ends[0], ends[1], hug_mm=reach)
        if through is None:
            raise no_way(shell, task, grid, lambda _: False)
        way = np.array([ends[0], *through, ends[1]])
    return Ground(grid=free_space(grid, rooms, room, reach), way_mm=way)


def _box(shell: Shell, task: BarTask, given_mm: Points) -> tuple[Points, Points]:
    """Low and high corner of the room that is measured."""
    low, high = given_mm.min(axis=0), given_mm.max(axis=0)
    margin = _MARGIN_MM if task.rough_mm else 420.0
    body_low, body_high = shell.body_box()
    low, high = np.maximum(low - margin, body_low - 30.0), np.minimum(high + margin, body_high + 30.0)
    return np.minimum(low, given_mm.min(axis=0) - 30.0), np.maximum(high, given_mm.max(axis=0) + 30.0)


def _room_at(
    shell: Shell, grid: DistanceGrid, vote_mm: Points, reach_mm: float
) -> tuple[NDArray[np.int32], int] | None:
    """The rooms at a distance from metal and the one that the way lies in; None when it lies in none."""
    rooms = rooms_of(shell, grid, reach_mm)
    room = room_on_the_way(grid, rooms, vote_mm)
    return (rooms, room) if room else None


def _dense(way_mm: Points) -> Points:
    steps = np.linalg.norm(np.diff(way_mm, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, along[-1], 60)
    return np.column_stack([np.interp(at, along, way_mm[:, axis]) for axis in range(3)])


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
    dense = _dense(way_mm)
    nodes: NDArray[np.float64] = dense[np.linspace(0, len(dense) - 1, bends + 2).astype(int)]
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


def finished(shell: Shell, task: BarTask, freedom: Freedom, start: Polished) -> Polished:
    """Polish to the end, holding the gap at the places between the samples where it was least too.

    What it falls short of is that of the proven least gap.
    """
    extra = np.empty(0)
    best = start
    for number in range(_HOLD_ROUNDS):
        asked = task if number < _HOLD_ROUNDS // 2 else replace(task, gap_mm=task.gap_mm + HELD_WITHIN_MM)
        best = polish(
            shell, asked, freedom, best.numbers, extra=extra, rounds=30, trust_mm=12.0 if number == 0 else 2.0
        )
        bar = task.bar(freedom.nodes(best.numbers))
        if stopping(check_shape(bar)):
            return replace(best, short_mm=np.inf)
        lows = least_gap(shell, bar, task.landings_mm)
        best = replace(best, short_mm=max(best.short_mm, task.gap_mm - lows.gap_mm))
        if lows.gap_mm >= task.gap_mm - HELD_WITHIN_MM / 2.0 or best.short_mm > _HOPELESS_MM:
            return best
        near = np.flatnonzero(lows.gaps_mm < task.gap_mm + _NEAR_MM)
        lowest = near[np.argsort(lows.gaps_mm[near])[:_EXTRA]]
        extra = np.concatenate([extra, lows.shares[lowest]])
    return best


def judge_offer(shell: Shell, task: BarTask, bar: Bar, bends: int) -> Offer | None:
    """Gaps, angles and what does not hold of a bar; None for one that cannot be."""
    if stopping(check_shape(bar)):
        return None
    path = centreline(bar)
    low, high = task.end_a.landing_mm, path.length_mm - task.end_b.landing_mm
    if high <= low:
        return None
    along, half_od = np.linspace(low, high, SAMPLES), bar.tube.od_mm / 2.0
    gaps = shell.nearest(path.at(along)).distance_mm - half_od
    widest = min(max(widest_near(shell, path, along[gaps.argmax()], along[1] - along[0]), low), high)
    least = least_gap(shell, bar, task.landings_mm)
    offer = Offer(
        bends=bends,
        bar=bar,
        mean_gap_mm=float(gaps.mean()),
        p90_gap_mm=float(np.quantile(gaps, 0.9)),
        largest_gap_mm=max(
            float(gaps.max()), float(shell.nearest(path.at([widest])).distance_mm[0]) - half_od
        ),
        smallest_gap_mm=least.gap_mm,
        angles_deg=tuple(bend_table(bar).angles_deg),
        length_mm=path.length_mm,
    )
    return replace(offer, findings=tuple(_what_fails(task, offer, least.place_mm)))


def _what_fails(task: BarTask, offer: Offer, place_mm: tuple[float, float, float]) -> list[Finding]:
    findings = list(
        stopping(
            check_bendable(
                offer.bar,
                clamp_mm=task.clamp_mm - HELD_WITHIN_MM,
                largest_bend_deg=task.greatest_bend_deg + 0.02,
            )
        )
    )
    if offer.smallest_gap_mm < task.gap_mm - HELD_WITHIN_MM:
        findings.append(
            Finding(
                code="FIT-032",
                sentence=f"Bar {task.name} with {offer.bends} bends: the best found keeps "
                f"{offer.smallest_gap_mm:.1f} mm, "
                f"{task.gap_mm - offer.smallest_gap_mm:.1f} mm short of the {task.gap_mm:g} mm asked.",
                todo="Allow one more bend, a smaller gap or clamp, or move its ends.",
                objects=(task.name,),
                point_mm=place_mm,
                measured=offer.smallest_gap_mm,
                limit=task.gap_mm,
                unit="mm",
            )
        )
    return findings

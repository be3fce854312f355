"""The search for the best plan: greedy starts, column generation, choosing fillings, giving pieces to sticks.

Each step stops at the bound. What is proven holds exactly; when time runs out the bound says how far it is.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.progress import Progress, silent
from hoopwright.stock.choosing import choose_fillings
from hoopwright.stock.correcting import Corrector
from hoopwright.stock.giving import can_give, give_pieces
from hoopwright.stock.greedy import greedy_packings
from hoopwright.stock.master import Pool, Relaxed, first_bound, relax
from hoopwright.stock.model import Filled, Model, Packing
from hoopwright.stock.programme import rows_of

_FIRST_DRAWS, _DRAWS = 8, 10
MOST_SORTS = 300
"""Sorts over which only the first bound is worked out: the programmes would not end in any time that a person has."""


@dataclass(kw_only=True)
class _Standing:
    """Best plan and best bound so far."""

    model: Model
    best: Packing | None
    bound: int
    deadline_s: float

    @property
    def left_s(self) -> float:
        return self.deadline_s - time.monotonic()

    @property
    def below(self) -> int:
        """Cost that a better plan must be below."""
        if self.best is not None:
            return self.best.cost
        pieces = sum(sort.demand for sort in self.model.sorts)
        return pieces * max(kind.cost for kind in self.model.kinds) + self.model.cost_step

    @property
    def is_over(self) -> bool:
        return (self.best is not None and self.best.cost <= self.bound) or self.left_s <= 0.0

    def take(self, found: Packing | None) -> None:
        if found is not None and (self.best is None or found.cost < self.best.cost):
            self.best = found


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What the search came to.

    Args:
        best: The best plan; None where none was found.
        bound: Cost that no plan is below.
        none_there: Whether it is proven that the sticks do not suffice.
    """

    best: Packing | None
    bound: int
    none_there: bool = False


def search(model: Model, time_limit_s: float, *, progress: Progress = silent) -> Outcome:
    """Look for the plan that costs least.

    Args:
        model: The task.
        time_limit_s: How long to look; the first plans and a first bound are made in any case.
        progress: Told how far it is.
    """
    progress("filling sticks", 0.05)
    deadline_s = time.monotonic() + time_limit_s
    standing = _Standing(model=model, best=None, bound=first_bound(model), deadline_s=deadline_s)
    for found in greedy_packings(model):
        standing.take(found)
    can_programme = len(model.sorts) <= MOST_SORTS
    pool = _first_fillings(model, standing.best) if can_programme else Pool()
    corrector = Corrector(model=model, seed=0)
    _draw(standing, pool, corrector, rounds=_FIRST_DRAWS)
    none_there = False
    if not standing.is_over and can_programme:
        progress("working out the bound", 0.15)
        relaxed = relax(model, pool, standing.deadline_s)
        standing.bound = max(standing.bound, relaxed.bound)
        none_there = standing.best is None and relaxed.bound >= standing.below
        if not none_there:
            none_there = _choose_and_give(standing, pool, relaxed, corrector, progress)
    progress("cutting plan made", 1.0)
    return Outcome(best=standing.best, bound=standing.bound, none_there=none_there)


def _first_fillings(model: Model, best: Packing | None) -> Pool:
    """Those of the best plan so far, and each sort alone in each kind."""
    pool = Pool()
    for stick in best.sticks if best is not None else ():
        pool.add(stick)
    for number, kind in enumerate(model.kinds):
        for k, sort in enumerate(model.sorts):
            alone = [0] * len(model.sorts)
            alone[k] = min(sort.demand, kind.capacity // sort.size)
            pool.add(Filled(kind=number, counts=tuple(alone)))
    return pool


def _draw(
    standing: _Standing,
    pool: Pool,
    corrector: Corrector,
    *,
    rounds: int,
    worths: Sequence[float] | None = None,
) -> None:
    """Draw plans, by turns from what was learnt and from the worths of the linear programme."""
    for number in range(rounds):
        if standing.is_over:
            return
        filled, made = corrector.draw(worths if number % 2 else None, deadline_s=standing.deadline_s)
        standing.take(made)
        for filling in filled:
            pool.add(filling)


def _choose_and_give(
    standing: _Standing, pool: Pool, relaxed: Relaxed, corrector: Corrector, progress: Progress
) -> bool:
    """By turns draw plans, choose among fillings, and give pieces to sticks; whether no plan can be."""
    model, turn = standing.model, 0
    worths = _sort_worths(model, relaxed)
    while not standing.is_over:
        progress(f"choosing among {len(pool.fillings)} fillings", min(0.9, 0.3 + 0.1 * turn))
        _choose(standing, pool, min(standing.left_s, 1.0 + 2.0 * turn))
        if not standing.is_over and can_give(model, standing.below):
            time_limit_s = min(standing.left_s, 3.0**turn)
            given = give_pieces(model, least=standing.bound, below=standing.below, time_limit_s=time_limit_s)
            standing.take(given.found)
            if given.none_there and standing.best is None:
                return True
            if given.none_there and standing.best is not None:
                standing.bound = standing.best.cost
        _draw(standing, pool, corrector, rounds=_DRAWS * 2 ** min(turn, 4), worths=worths)
        turn += 1
    return False


def _choose(standing: _Standing, pool: Pool, time_limit_s: float) -> None:
    if not standing.is_over:
        searched = choose_fillings(
            standing.model,
            pool.fillings,
            least=standing.bound,
            below=standing.below,
            time_limit_s=time_limit_s,
        )
        standing.take(searched.found)


def _sort_worths(model: Model, relaxed: Relaxed) -> list[float]:
    """Worth of each sort in the linear programme; of a group's the largest of its batches."""
    worths = [0.0] * len(model.sorts)
    for k, worth in zip(rows_of(model).sort, relaxed.worths, strict=True):
        worths[k] = max(worths[k], float(worth))
    return worths

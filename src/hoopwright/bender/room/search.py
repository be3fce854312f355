"""Which order of bends goes through the room."""

import heapq
import itertools
from collections.abc import Callable, Iterable, Sequence

from hoopwright.bender.order import Feed, Order, a_to_b, b_to_a, middle_outward
from hoopwright.bender.poses import bends_in_tail
from hoopwright.bender.room.found import FoundOrder, OrderSearch
from hoopwright.bender.room.handling import planned, turn_between_deg
from hoopwright.bender.room.obstacles import Surroundings, surroundings
from hoopwright.bender.room.solids import BENDERS_OWN
from hoopwright.bender.room.standing import SetUp, StandingBender, own_solids
from hoopwright.bender.room.step_check import BendingTask, StepCheck
from hoopwright.bender.room.steps import check_step
from hoopwright.findings import Finding, Severity, UserError

MOST_BENDS = 40
MOST_BENDS_MIXED = 6
"""Up to here every order is searched; with more bends each next one is beside those that are made."""

Cost = tuple[int, int, int, int, float, float]


def find_order(task: BendingTask, bender: StandingBender, *, mixed: bool = True) -> OrderSearch:
    """Check the usual orders and search for the one with least handling.

    Args:
        task: The bar.
        bender: The bender in its room.
        mixed: Whether orders besides the usual ones are searched.

    Raises:
        UserError: `ROOM-005` for a bar without bends, `ROOM-006` for one with too many.
    """
    _refuse_counts(task)
    shop = _Shop(task, bender)
    usual = _usual_orders(task.bend_count)
    orders = [shop.best_of(name, _listed(feeds)) or shop.nearest_of(name, feeds) for name, feeds in usual]
    if mixed:
        least = min((shop.cost_of(order) for order in orders if order.works), default=None)
        found = shop.best_of("mixed", _any_next(task.bend_count), below=least)
        if found is not None:
            orders.append(found)
    working = [order for order in orders if order.works]
    return OrderSearch(
        orders=tuple(orders),
        chosen=min(working, key=shop.cost_of, default=None),
        nearest=None if working else min(orders, key=_missing_mm),
        all_orders=mixed and task.bend_count <= MOST_BENDS_MIXED,
        head_assumed=shop.head_assumed,
    )


def _usual_orders(bends: int) -> list[tuple[str, Order]]:
    usual = [("A to B", a_to_b(bends)), ("B to A", b_to_a(bends))]
    outward = middle_outward(bends)
    return usual if outward in (a_to_b(bends), b_to_a(bends)) else [*usual, ("middle outward", outward)]


class _Shop:
    """A bar at a bender: each bend is checked once for each way to come to it."""

    def __init__(self, task: BendingTask, bender: StandingBender) -> None:
        self.head_assumed = not any(solid.stands in BENDERS_OWN for solid in bender.solids)
        self._task, self._bender = task, bender
        self._totals_deg = task.table.rotations_total_deg
        self._around: dict[float, Surroundings] = {}
        self._known: dict[tuple[frozenset[int], Feed, SetUp], StepCheck] = {}

    def check(self, made: frozenset[int], feed: Feed, set_up: SetUp) -> StepCheck:
        key = (made, feed, set_up)
        if key not in self._known:
            tilt = set_up.tilt_deg
            if tilt not in self._around:
                self._around[tilt] = surroundings(
                    self._bender, own_solids(self._bender, self._task.table.clr_mm, tilt), tilt
                )
            self._known[key] = check_step(self._task, self._around[tilt], set_up, feed, made)
        return self._known[key]

    def best_of(
        self,
        name: str,
        next_feeds: Callable[[frozenset[int]], Iterable[Feed]],
        *,
        below: Cost | None = None,
    ) -> FoundOrder | None:
        """The order with the least cost among those that work (E. W. Dijkstra, 1959), if it costs less than `below`."""
        count, tie = self._task.bend_count, itertools.count()
        queue: list[tuple[Cost, int, tuple[StepCheck, ...]]] = [((0, 0, 0, 0, 0.0, 0.0), next(tie), ())]
        done: set[tuple[frozenset[int], Feed, SetUp]] = set()
        while queue:
            cost, _, checks = heapq.heappop(queue)
            made = frozenset(check.feed.bend for check in checks)
            if len(made) == count:
                return self._found(name, checks)
            if checks:
                here = (made, checks[-1].feed, checks[-1].set_up)
                if here in done:
                    continue
                done.add(here)
            for feed, set_up in itertools.product(next_feeds(made), self._bender.set_ups):
                if below is not None and self._least_cost(cost, checks, feed, set_up) >= below:
                    continue
                check = self.check(made, feed, set_up)
                following = self._next_cost(cost, checks[-1] if checks else None, check)
                if check.works and (below is None or following < below):
                    heapq.heappush(queue, (following, next(tie), (*checks, check)))
        return None

    def nearest_of(self, name: str, feeds: Order) -> FoundOrder:
        """An order that does not work, with each bend set up so that it misses by least."""
        checks: list[StepCheck] = []
        for place, feed in enumerate(feeds):
            made = frozenset(earlier.bend for earlier in feeds[:place])
            ways = [self.check(made, feed, set_up) for set_up in self._bender.set_ups]
            checks.append(min(ways, key=lambda way: way.short_mm))
        return self._found(name, checks)

    def cost_of(self, order: FoundOrder) -> Cost:
        cost: Cost = (0, 0, 0, 0, 0.0, 0.0)
        before = None
        for step in order.steps:
            cost = self._next_cost(cost, before, step.check)
            before = step.check
        return cost

    def _next_cost(self, cost: Cost, before: StepCheck | None, check: StepCheck) -> Cost:
        """Turns end for end, other set-ups, bent tails, operator's place crossed, degrees of turn, mass swung."""
        ends, set_ups, tails, crossed, turned, mass = cost
        tails += bool(bends_in_tail(check.feed, check.made))
        mass += self._mass_kg(check)
        crossed += bool(check.operator_hits)
        if before is not None:
            set_ups += before.set_up != check.set_up
            if before.feed.fed_from != check.feed.fed_from:
                ends += 1
            else:
                turn = turn_between_deg(
                    (before.feed, before.set_up), (check.feed, check.set_up), self._totals_deg
                )
                turned += round(abs(turn), 6)
        return ends, set_ups, tails, crossed, turned, mass

    def _least_cost(
        self, cost: Cost, checks: tuple[StepCheck, ...], feed: Feed, set_up: SetUp
    ) -> tuple[int, int, int]:
        """What an order costs at least with this bend next, known before it is swept."""
        ends, set_ups, tails = cost[:3]
        if checks:
            ends += checks[-1].feed.fed_from != feed.fed_from
            set_ups += checks[-1].set_up != set_up
        return ends, set_ups, tails + bool(bends_in_tail(feed, [check.feed.bend for check in checks]))

    def _mass_kg(self, check: StepCheck) -> float:
        return check.swung_tube_mm / 1000.0 * self._task.kg_per_m

    def _found(self, name: str, checks: Sequence[StepCheck]) -> FoundOrder:
        return FoundOrder(
            name=name,
            steps=planned(checks, self._totals_deg),
            swung_kg=sum(self._mass_kg(check) for check in checks),
        )


def _listed(feeds: Order) -> Callable[[frozenset[int]], Iterable[Feed]]:
    return lambda made: feeds[len(made) : len(made) + 1]


def _any_next(bends: int) -> Callable[[frozenset[int]], Iterable[Feed]]:
    """Every bend that is left, from either end; with many bends only those beside the ones that are made."""

    def beside(bend: int, made: frozenset[int]) -> bool:
        return not made or bends <= MOST_BENDS_MIXED or bend - 1 in made or bend + 1 in made

    def following(made: frozenset[int]) -> list[Feed]:
        left = [bend for bend in range(1, bends + 1) if bend not in made and beside(bend, made)]
        return [Feed(bend=bend, fed_from=end) for bend in left for end in ("A", "B")]

    return following


def _missing_mm(order: FoundOrder) -> float:
    return max(step.check.short_mm for step in order.steps)


def _refuse_counts(task: BendingTask) -> None:
    if task.bend_count == 0:
        raise UserError(
            Finding(
                code="ROOM-005",
                severity=Severity.STOP,
                sentence=f"Bar {task.name} has no bends: there is no order to find.",
                todo="Cut it to length.",
                objects=(task.name,),
            )
        )
    if task.bend_count > MOST_BENDS:
        raise UserError(
            Finding(
                code="ROOM-006",
                severity=Severity.STOP,
                sentence=f"Bar {task.name} has {task.bend_count} bends; orders are searched for up to {MOST_BENDS}.",
                todo="Check the file: a bar of a cage has a few bends.",
                objects=(task.name,),
                measured=float(task.bend_count),
                limit=float(MOST_BENDS),
            )
        )

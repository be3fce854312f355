"""Solving the bends to come again from what was really bent, and what that saves."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bender.bend_job import BendJob, BendSettings
from hoopwright.bender.rescue.goal import Gap, Goal, Target, make_target
from hoopwright.bender.rescue.outcome import LeastGap, Outcome, drawn_least_gap, outcome_of
from hoopwright.bender.rescue.solve import solve_open
from hoopwright.bender.rescue.unknowns import Open, limits, open_numbers
from hoopwright.findings import Verdict

ENOUGH_TUBE_MM = 0.5
"""An end that is short by less is long enough: under what a saw holds (common practice, no source)."""


JUST_SHORT_MM = 0.05
"""A gap that is short by less meets its limit: gaps are shown to 0.1 mm."""


HEAVIER = 5.0
"""How much more the gap is weighed when the best bar for the goal misses a limit."""


@dataclass(frozen=True, kw_only=True)
class Made:
    """A bend as it came out.

    Args:
        bend: Number from end A, from 1.
        released_deg: Angle after release.
        total_deg: Turn of its plane against that of bend 1, as read, or as planned where nothing was read.
        mark_mm: Mark that sat at the die face, from the end of the tube at A.
    """

    bend: int
    released_deg: float
    total_deg: float
    mark_mm: float


@dataclass(frozen=True, kw_only=True)
class Check:
    """One number against its limit.

    Args:
        name: What is held against the limit, in words.
        value_mm: The number; None where it is not known.
        limit_mm: The limit.
        at_most: Whether the limit is the greatest value, else the least.
    """

    name: str
    value_mm: float | None
    limit_mm: float
    at_most: bool = True

    @property
    def verdict(self) -> Verdict:
        """Pass, fail, or not checked where the number is not known."""
        if self.value_mm is None:
            return Verdict.NOT_CHECKED
        over = self.value_mm - self.limit_mm
        within = over <= 0.0 if self.at_most else over > -JUST_SHORT_MM
        return Verdict.PASS if within else Verdict.FAIL


@dataclass(frozen=True, kw_only=True)
class Rescue:
    """What became of the bends made, and what the open ones can still save.

    Args:
        made: The bends made.
        open_bends: Bends still to be made, from 1, in their order.
        carried_on: The bar when the open bends are made as planned.
        solved: The bar when they are made as solved again.
        drawn_least: The least gap as drawn; None without a shell.
        checks: Ends, tube and gap of the solved bar against the limits.
    """

    made: tuple[Made, ...]
    open_bends: tuple[int, ...]
    carried_on: Outcome
    solved: Outcome
    drawn_least: LeastGap | None
    checks: tuple[Check, ...]

    @property
    def within_limits(self) -> bool:
        """Whether nothing that was checked fails."""
        return _all_met(self.checks)


def solve_again(
    job: BendJob,
    plan: BendSettings,
    made: Sequence[Made],
    *,
    goal: Goal | None = None,
    gap: Gap | None = None,
    end_limit_mm: float = 5.0,
) -> Rescue:
    """Keep what was bent, and solve the open bends, the trims and the place in the car for the goal.

    Args:
        job: The job.
        plan: The settings in force, of all bends.
        made: Bends as they came out.
        goal: What counts how much.
        gap: Gap of places on the axis, in the vehicle frame; None where there is no shell.
        end_limit_mm: How far an end may be off its place.

    Where the best bar for the goal misses a limit, it is tried again with a heavier gap, and a bar that meets every
    limit is taken. The solved bar is never worse in the goal than the one carried on, unless that one breaks a limit of
    the bender.
    """
    wanted = goal or Goal()
    target = make_target(job, wanted, gap)
    settings = with_made(plan, made)
    done = {one.bend for one in made}
    open_bends = tuple(feed.bend for feed in job.feeds if feed.bend not in done)
    drawn = drawn_least_gap(job, target)

    def checked(outcome: Outcome) -> tuple[Check, ...]:
        return checks_of(outcome, wanted, end_limit_mm, drawn)

    laid = open_numbers(job, target, settings, ())
    blind = _best(laid, target)
    carried_on = solved = _meeting(laid, target, blind, checked) or blind
    if open_bends:
        first = replace(job, trim_a_mm=blind.trim_a_mm, trim_b_mm=blind.trim_b_mm)
        free = open_numbers(first, target, settings, tuple(bend - 1 for bend in open_bends))
        solved = _rescued(free, target, blind, carried_on, checked)
    return Rescue(
        made=tuple(made),
        open_bends=open_bends,
        carried_on=carried_on,
        solved=solved,
        drawn_least=drawn,
        checks=checked(solved),
    )


_Checked = Callable[[Outcome], tuple[Check, ...]]


def _rescued(free: Open, target: Target, blind: Outcome, carried_on: Outcome, checked: _Checked) -> Outcome:
    """The best bar for the goal; where it misses a limit, one that meets them all, if a heavier gap finds it."""
    blind_can_be = not _breaks_limits(free)
    found = _best(free, target)
    meeting = _meeting(free, target, found, checked)
    if meeting is not None and (_better(meeting, carried_on) or not blind_can_be):
        return meeting
    return found if _better(found, blind) or not blind_can_be else carried_on


def _meeting(found: Open, target: Target, best: Outcome, checked: _Checked) -> Outcome | None:
    """A bar that meets every limit where the best one for the goal does not; None where there is no need or none."""
    if target.gap is None or _all_met(checked(best)):
        return None
    heavier = replace(target, goal=replace(target.goal, short_mm=target.goal.short_mm / HEAVIER))
    other = outcome_of(found, target, solve_open(found, heavier))
    return other if _all_met(checked(other)) else None


def _all_met(checks: Iterable[Check]) -> bool:
    return all(check.verdict is not Verdict.FAIL for check in checks)


def with_made(plan: BendSettings, made: Sequence[Made]) -> BendSettings:
    """The plan with what was done in place of what was wanted."""
    angles, totals, marks = list(plan.angles_deg), list(plan.totals_deg), list(plan.marks_mm)
    for one in made:
        angles[one.bend - 1] = one.released_deg
        totals[one.bend - 1] = one.total_deg
        marks[one.bend - 1] = one.mark_mm
    return BendSettings(angles_deg=tuple(angles), totals_deg=tuple(totals), marks_mm=tuple(marks))


def checks_of(outcome: Outcome, goal: Goal, end_limit_mm: float, drawn: LeastGap | None) -> tuple[Check, ...]:
    """Ends, tube and gap against their limits; a bar that is drawn with less gap is held against the drawn gap."""
    least = None if outcome.least is None else outcome.least.gap_mm
    name, gap = "least gap", goal.gap_mm
    if drawn is not None and drawn.gap_mm < goal.gap_mm:
        name, gap = f"least gap (drawn under the limit of {goal.gap_mm:g} mm)", drawn.gap_mm
    return (
        Check(name="end A off its place", value_mm=outcome.miss_a_mm, limit_mm=end_limit_mm),
        Check(name="end B off its place", value_mm=outcome.miss_b_mm, limit_mm=end_limit_mm),
        Check(name="tube missing at end A", value_mm=outcome.short_a_mm, limit_mm=ENOUGH_TUBE_MM),
        Check(name="tube missing at end B", value_mm=outcome.short_b_mm, limit_mm=ENOUGH_TUBE_MM),
        Check(name=name, value_mm=least, limit_mm=gap, at_most=False),
    )


def _best(found: Open, target: Target) -> Outcome:
    return outcome_of(found, target, solve_open(found, target))


def _better(one: Outcome, other: Outcome) -> bool:
    return math.isfinite(one.goal_score) and one.goal_score <= other.goal_score


def _breaks_limits(found: Open) -> bool:
    """Whether carrying on breaks a limit of the bender."""
    rows, bounds = limits(found)
    return bool((rows @ found.start < np.asarray(bounds) - 1e-6).any())

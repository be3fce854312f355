"""A shop that bends as it is told, with its own springback, scatter, reading errors and slips."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from hoopwright.bender.calibration import Springback
from hoopwright.bender.poses import reference_bend
from hoopwright.bender.rescue.goal import Gap, Goal
from hoopwright.bender.rescue.outcome import Outcome
from hoopwright.bender.rescue.records import Decision, Reading, Record, Started
from hoopwright.bender.rescue.session import standing, with_reading
from hoopwright.bender.rescue.solve_again import Made, solve_again
from hoopwright.bender.rescue.standing import Asked, Standing, asked
from hoopwright.geometry import wrap_deg

Habit = Literal["sheet", "add", "rescue"]
"""Follow the sheet and read nothing; read and add where a bend is under; or bend with the rescue."""

_MOST_PULLS = 6


@dataclass(frozen=True, kw_only=True)
class Shop:
    """What a shop's machine and hands really do; standard deviations, common practice, no source.

    Args:
        line: The true springback line.
        angle_sd_deg: How far the springback of one bend lies off the line.
        pull_sd_deg: How far a pull lies off what was asked.
        turn_sd_deg: The same of a turn of the tube.
        mark_sd_mm: The same of a mark.
        gauge_sd_deg: Error of reading a released angle.
        level_sd_deg: Error of reading a turn.
        tape_sd_mm: Error of reading a mark.
        slip_share: Share of bends with a slip: pulled 1 to 4 degrees too far, turned 3 to 8 degrees wrongly, or
            marked 5 to 15 mm wrongly.
    """

    line: Springback
    angle_sd_deg: float = 0.25
    pull_sd_deg: float = 0.1
    turn_sd_deg: float = 0.5
    mark_sd_mm: float = 1.0
    gauge_sd_deg: float = 0.1
    level_sd_deg: float = 0.2
    tape_sd_mm: float = 0.3
    slip_share: float = 0.04


@dataclass(frozen=True, kw_only=True)
class ShopBar:
    """One bar as the shop bent it.

    Args:
        outcome: As it really is; None where it was scrapped at the bender.
        scrapped: Whether it was scrapped, at the bender or in the car: a limit is not met.
        pulls: How many pulls it took.
        solved_again: How often the bends to come were solved again.
    """

    outcome: Outcome | None
    scrapped: bool
    pulls: int
    solved_again: int


def bend_in_shop(
    shop: Shop,
    started: Started,
    habit: Habit,
    random: np.random.Generator,
    *,
    goal: Goal,
    gap: Gap | None = None,
    end_limit_mm: float = 5.0,
) -> ShopBar:
    """One bar, from the blank to the car.

    Args:
        shop: The shop.
        started: What the sheet says.
        habit: How the shop works.
        random: Source of its errors.
        goal: For the rescue, and for laying the bar in the car.
        gap: Gap to the shell, or None.
        end_limit_mm: How far an end may be off.
    """
    records: list[Record] = [started]
    true: list[Made] = []
    pulls = solved = 0
    now = standing(records)
    while now.phase in ("bend", "add", "decide"):
        if now.phase == "decide":
            rescue = solve_again(
                started.job, now.plan, now.made, goal=goal, gap=gap, end_limit_mm=end_limit_mm
            )
            if not rescue.within_limits:
                return ShopBar(outcome=None, scrapped=True, pulls=pulls, solved_again=solved)
            records.append(_decision(len(records), rescue.solved))
            solved += 1
        else:
            made, reads, pulled = _bend(shop, now, habit, random, true)
            true.append(made)
            pulls += pulled
            records += _as_records(reads, len(records), now, habit)
        now = standing(records)
    bent = solve_again(started.job, started.plan, true, goal=goal, gap=gap, end_limit_mm=end_limit_mm)
    return ShopBar(outcome=bent.carried_on, scrapped=not bent.within_limits, pulls=pulls, solved_again=solved)


def _bend(
    shop: Shop, now: Standing, habit: Habit, random: np.random.Generator, true: Sequence[Made]
) -> tuple[Made, list[Reading], int]:
    """One bend: as it really comes out, what was read of it, and how many pulls it took."""
    wanted = asked(now)
    slip = random.choice(["pull", "turn", "mark"]) if random.random() < shop.slip_share else ""
    mark = wanted.mark_mm + random.normal(0.0, shop.mark_sd_mm)
    turn = (wanted.turn_deg or 0.0) + random.normal(0.0, shop.turn_sd_deg)
    mark += random.choice([-1.0, 1.0]) * random.uniform(5.0, 15.0) * (slip == "mark")
    turn += random.choice([-1.0, 1.0]) * random.uniform(3.0, 8.0) * (slip == "turn")
    too_far = random.uniform(1.0, 4.0) * (slip == "pull")
    own = random.normal(0.0, shop.angle_sd_deg)
    reads: list[Reading] = []
    seen, released = now, 0.0
    for pull in range(_MOST_PULLS):
        command = (
            (asked(seen).command_deg or 0.0) + random.normal(0.0, shop.pull_sd_deg) + too_far * (pull == 0)
        )
        left = command - shop.line.constant_deg - shop.line.per_command_deg * command + own
        released = max(released, left)
        reads.append(
            Reading(
                step=now.step,
                released_deg=released + random.normal(0.0, shop.gauge_sd_deg),
                turned_deg=None
                if wanted.turn_deg is None
                else wrap_deg(turn + random.normal(0.0, shop.level_sd_deg)),
                mark_mm=mark + random.normal(0.0, shop.tape_sd_mm),
                reason="gauge",
                at="",
                key="",
            )
        )
        seen = with_reading(seen, reads[-1])
        if habit == "sheet" or seen.phase != "add" or seen.step != now.step:
            break
    return _truly(now, wanted, released, turn, mark, true), reads, len(reads)


def _truly(
    now: Standing, wanted: Asked, released: float, turn: float, mark: float, true: Sequence[Made]
) -> Made:
    feed = wanted.feed
    reference, _ = reference_bend(feed, [made.bend for made in true])
    base = next((made.total_deg for made in true if made.bend == reference), 0.0)
    between = 0.0 if reference is None else turn * (1.0 if feed.fed_from == "A" else -1.0)
    total = now.started.plan.totals_deg[feed.bend - 1] if reference is None else wrap_deg(base + between)
    return Made(bend=feed.bend, released_deg=released, total_deg=total, mark_mm=mark)


def _as_records(reads: Sequence[Reading], count: int, now: Standing, habit: Habit) -> list[Record]:
    """What the session is told: everything, or that all is as the sheet has it."""
    if habit == "rescue":
        told: list[Record] = [replace(read, key=str(count + k)) for k, read in enumerate(reads)]
        if _still_under(now, reads):
            told.append(_decision(count + len(reads), None, now))
        return told
    as_planned = Reading(step=now.step, released_deg=asked(now).target_deg, at="", key=str(count))
    return [as_planned]


def _still_under(now: Standing, reads: Sequence[Reading]) -> bool:
    for read in reads:
        now = with_reading(now, read)
    return now.phase == "add"


def _decision(count: int, solved: Outcome | None, now: Standing | None = None) -> Decision:
    plan = solved.settings if solved is not None else (now.plan if now is not None else None)
    return Decision(
        choice="go on", plan=plan, worst_miss_mm=0.0, least_gap_mm=None, at="", key=f"decision {count}"
    )

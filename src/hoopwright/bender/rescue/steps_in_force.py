"""The bends of a stick as they are in force now, as a sheet would list them."""

from collections.abc import Mapping
from dataclasses import replace

from hoopwright.bars import BendTable
from hoopwright.bender.bend_job import bent_table
from hoopwright.bender.rescue.records import Started
from hoopwright.bender.rescue.standing import Standing, asked
from hoopwright.bender.sheet import BendStep, SlipCheck
from hoopwright.bender.step_checks import leg_readings, slip_of
from hoopwright.bender.step_poses import StepPose, poses_of
from hoopwright.geometry import wrap_deg


def tube_in_force(now: Standing) -> BendTable:
    """Bend table of the whole tube as the plan in force makes it, trims in its end straights."""
    return bent_table(now.started.job, now.plan, 0.0, 0.0)


def steps_in_force(now: Standing, as_issued: Mapping[int, BendStep] | None = None) -> tuple[BendStep, ...]:
    """Every bend in the order of bending, with the marks, turns and angles that are in force.

    Args:
        now: Where the bar stands.
        as_issued: Steps of the sheet that the stick was begun from, by bend, where that is still at hand: the
            scatter of the command and what says that the tube slipped come from there.
    """
    return tuple(_step(now, place, as_issued or {}) for place in range(1, len(now.started.job.feeds) + 1))


def poses_in_force(now: Standing, steps: tuple[BendStep, ...]) -> tuple[StepPose, ...]:
    """How the tube lies at each of these steps."""
    started = now.started
    return poses_of(steps, tube_in_force(now), started.swings, started.job.bar.tube.od_mm)


def _step(now: Standing, place: int, as_issued: Mapping[int, BendStep]) -> BendStep:
    started, job = now.started, now.started.job
    wanted = asked(replace(now, pending=None), place)
    feed, table = wanted.feed, tube_in_force(now)
    totals, issued = now.plan.totals_deg, as_issued.get(feed.bend)
    used_mm = job.numbers.used_per_deg_mm * wanted.target_deg
    offset = job.numbers.start_offset_mm
    start = wanted.mark_mm + offset if feed.fed_from == "A" else wanted.mark_mm - offset - used_mm
    made = [earlier.bend for earlier in job.feeds[: place - 1]]
    return BendStep(
        step=place,
        bend=feed.bend,
        fed_from=feed.fed_from,
        turn_end_for_end=wanted.turn_end_for_end,
        start_mm=start,
        mark_mm=wanted.mark_mm,
        mark_from_b_mm=wanted.mark_from_b_mm,
        target_deg=wanted.target_deg,
        command_deg=wanted.command_deg,
        command_sd_deg=None if issued is None else issued.command_sd_deg,
        rotation_step_deg=0.0 if feed.bend == 1 else wrap_deg(totals[feed.bend - 1] - totals[feed.bend - 2]),
        rotation_total_deg=totals[feed.bend - 1],
        turn_tube_deg=wanted.turn_deg,
        leg_clock=wanted.leg_hour,
        straight_after_mm=table.straights_mm[feed.bend],
        turn_from_bend=wanted.turn_from_bend,
        readings=leg_readings(table, feed, made, started.swings),
        slip=_slip(started, wanted.target_deg, issued),
    )


def _slip(started: Started, target_deg: float, issued: BendStep | None) -> SlipCheck:
    plain = slip_of(target_deg, started.job.numbers, None, None if issued is None else issued.command_sd_deg)
    if issued is None or issued.slip is None:
        return plain
    return replace(plain, limit_mm=issued.slip.limit_mm)

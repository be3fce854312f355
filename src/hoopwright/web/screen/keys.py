"""What a screen at the bender is told; `viewport/src-screen/contract.ts` reads it."""

from dataclasses import asdict
from typing import Any

from hoopwright.bender.rescue.outcome import Outcome
from hoopwright.bender.rescue.records import Decision
from hoopwright.bender.rescue.solve_again import Rescue
from hoopwright.bender.rescue.standing import Standing, Taken
from hoopwright.findings import as_dict
from hoopwright.jobs.bend_answers import Bending
from hoopwright.jobs.bend_screens import BendScreen, ScreenStep


def state_keys(bending: Bending) -> dict[str, Any]:
    """Where a bar stands, without what stays the same."""
    now = bending.standing
    asked = bending.asked
    return {
        "bar": now.started.bar_id,
        "stick": now.started.key,
        "number": now.records,
        "bend_record": now.bend_record,
        "phase": now.phase,
        "step": now.step,
        "taken": [_taken_keys(now, one) for one in now.taken],
        "pending": None
        if now.pending is None or asked is None
        else {
            "released_deg": now.pending.reading.released_deg,
            "load_deg": now.pending.load_deg,
            "add_deg": asked.add_deg,
            "command_deg": asked.command_deg,
        },
        "taped": [
            {"name": one.name, "measured_mm": one.measured_mm, "at": one.at, "key": one.key}
            for one in now.taped
        ],
        "strays": list(bending.strays),
        "can_take_back": _can_take_back(bending),
        "keys": [record.key for record in bending.stick.records],
        "plan": [list(now.plan.angles_deg), list(now.plan.totals_deg), list(now.plan.marks_mm)],
        "is_old": bending.is_old,
        "findings": [as_dict(finding) for finding in bending.findings],
    }


def screen_keys(screen: BendScreen) -> dict[str, Any]:
    """All of one bar."""
    started = screen.bending.standing.started
    job, line = started.job, started.line
    return {
        "state": state_keys(screen.bending),
        "project": screen.project,
        "title": screen.title,
        "side": screen.side,
        "od_mm": job.bar.tube.od_mm,
        "wall_mm": job.bar.tube.wall_mm,
        "blank_mm": job.blank_mm,
        "trim_a_mm": job.trim_a_mm,
        "trim_b_mm": job.trim_b_mm,
        "revision": started.revision,
        "identity": started.identity,
        "stick_number": started.stick,
        "batch": started.batch,
        "calibration": started.calibration,
        "die": started.die,
        "swings": started.swings,
        "die_reach_deg": started.die_reach_deg,
        "bands": asdict(started.bands),
        "line": None if line is None else [line.constant_deg, line.per_command_deg],
        "steps": [_step_keys(screen.bending.standing, step) for step in screen.steps],
        "checks": [
            {**asdict(one.check), "least_mm": one.least_mm, "most_mm": one.most_mm} for one in screen.checks
        ],
        "bar_svg": screen.bar_svg,
        "marks_svg": screen.marks_svg,
    }


def rescue_keys(bending: Bending) -> dict[str, Any] | None:
    """What the bends made cost; None while nothing is off."""
    rescue: Rescue | None = bending.rescue
    if rescue is None:
        return None
    plan = bending.standing.plan
    return {
        "number": bending.standing.bend_record,
        "stick": bending.standing.started.key,
        "carried_on": _outcome_keys(rescue.carried_on),
        "solved": _outcome_keys(rescue.solved),
        "drawn_gap_mm": None if rescue.drawn_least is None else rescue.drawn_least.gap_mm,
        "within_limits": rescue.within_limits,
        "checks": [
            {
                "name": check.name,
                "value_mm": check.value_mm,
                "limit_mm": check.limit_mm,
                "at_most": check.at_most,
                "verdict": check.verdict.value,
            }
            for check in rescue.checks
        ],
        "changes": [
            {
                "bend": bend,
                "was_deg": plan.angles_deg[bend - 1],
                "now_deg": rescue.solved.settings.angles_deg[bend - 1],
                "was_mm": plan.marks_mm[bend - 1],
                "now_mm": rescue.solved.settings.marks_mm[bend - 1],
            }
            for bend in rescue.open_bends
        ],
    }


def _can_take_back(bending: Bending) -> bool:
    """Whether the last reading counts and nothing was decided since."""
    taken = bending.standing.taken
    if not taken:
        return False
    return not any(isinstance(record, Decision) for record in bending.stick.records[taken[-1].record :])


def _outcome_keys(one: Outcome) -> dict[str, Any]:
    return {
        "gap_mm": None if one.least is None else one.least.gap_mm,
        "miss_a_mm": one.miss_a_mm,
        "miss_b_mm": one.miss_b_mm,
        "off_mm": one.off_mm,
        "trim_a_mm": one.trim_a_mm,
        "trim_b_mm": one.trim_b_mm,
    }


def _taken_keys(now: Standing, one: Taken) -> dict[str, Any]:
    reading = one.reading
    return {
        "record": one.record,
        "key": reading.key,
        "step": reading.step,
        "bend": now.started.job.feeds[reading.step - 1].bend,
        "released_deg": reading.released_deg,
        "target_deg": one.target_deg,
        "load_deg": one.load_deg,
        "turned_deg": reading.turned_deg,
        "mark_mm": reading.mark_mm,
        "at": reading.at,
        "counts": one in now.finished,
    }


def _step_keys(now: Standing, made: ScreenStep) -> dict[str, Any]:
    step = made.step
    sheet_mark = now.started.plan.marks_mm[step.bend - 1]
    return {
        "step": step.step,
        "bend": step.bend,
        "fed_from": step.fed_from,
        "turn_end_for_end": step.turn_end_for_end,
        "mark_mm": step.mark_mm,
        "mark_from_b_mm": step.mark_from_b_mm,
        "sheet_mark_mm": sheet_mark,
        "target_deg": step.target_deg,
        "command_deg": step.command_deg,
        "command_sd_deg": step.command_sd_deg,
        "turn_deg": step.turn_tube_deg,
        "turn_from_bend": step.turn_from_bend,
        "leg_hour": step.leg_clock,
        "slip": None if step.slip is None else asdict(step.slip),
        "words": list(made.words),
        "pictures": made.pictures,
    }

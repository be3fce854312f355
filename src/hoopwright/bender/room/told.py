"""What a person must know of an order search."""

from collections.abc import Iterator, Sequence

from hoopwright.bender.room.found import FoundOrder, OrderSearch
from hoopwright.bender.room.handling import PlannedStep
from hoopwright.bender.room.search import MOST_BENDS_MIXED
from hoopwright.bender.room.standing import StandingBender, doubts
from hoopwright.bender.room.step_check import BendingTask, Clearance, StepCheck
from hoopwright.bender.room.ways_out import WayOut
from hoopwright.findings import Finding, Severity

_SAME_RADIUS_SHARE = 0.02
_NO_TURN_DEG = 0.05


def room_findings(
    task: BendingTask, bender: StandingBender, search: OrderSearch, helpful: Sequence[WayOut]
) -> tuple[Finding, ...]:
    """Doubts about the room, why no order works, what is crossed and what was not checked."""
    return (
        *doubts(bender),
        *_other_die(task, bender),
        *(() if search.nearest is None else _no_order(task, search.nearest, helpful)),
        *(() if search.chosen is None else _operator_crossed(task, search.chosen)),
        *_not_checked(task, bender, search),
    )


def what_fails(check: StepCheck) -> str:
    """Why a bend cannot be made, in words; empty where it can."""
    why = []
    if check.clamp_mm < check.clamp_needed_mm - 1e-6:
        why.append(
            f"straight of {check.clamp_mm:.1f} mm is shorter than the clamp ({check.clamp_needed_mm:g} mm)"
        )
    if check.tail_mm < check.tail_needed_mm - 1e-6:
        why.append(
            f"straight of {check.tail_mm:.1f} mm behind the bend is shorter than the tail needs "
            f"({check.tail_needed_mm:g} mm)"
        )
    why += [what_is_near(one, check.keep_clear_mm) for one in check.hits[:2]]
    return " and ".join(why)


def what_is_near(one: Clearance, wanted_mm: float) -> str:
    """One clearance in words."""
    at = f"{one.part_name} ({'swinging' if one.side == 'lead' else 'tail'}) at {one.swung_deg:.0f}° of the swing"
    if one.clearance_mm >= 0.0:
        return f"{at} passes {one.to} at {one.clearance_mm:.1f} mm (wanted: {wanted_mm:g} mm)"
    depth = -one.clearance_mm
    if one.to == "floor":
        return f"{at} would be {depth:.1f} mm below the floor"
    if one.to == "ceiling":
        return f"{at} would be {depth:.1f} mm above the ceiling"
    return f"{at} cuts {depth:.1f} mm into {one.to}"


def _no_order(task: BendingTask, nearest: FoundOrder, helpful: Sequence[WayOut]) -> Iterator[Finding]:
    worst = nearest.worst
    check = worst.check if worst is not None else None
    if worst is None or check is None:
        return
    feed = check.feed
    todo = "; ".join(f"{way.what} (then {way.order})" for way in helpful)
    yield Finding(
        code="ROOM-007",
        sentence=f"Bar {task.name} goes through this room in no order that was searched. Nearest is {nearest.name}: "
        f"bend {feed.bend}, end {feed.fed_from} leading: {what_fails(check)}.",
        todo=f"What helps, tried: {todo}."
        if todo
        else "None of a lift, a move, another swing, an upright bender, shorter ends or two parts helps alone.",
        objects=(task.name, f"bend {feed.bend}"),
        measured=check.hits[0].clearance_mm if check.held and check.hits else check.clamp_mm,
        limit=check.keep_clear_mm if check.held else check.clamp_needed_mm,
        unit="mm",
    )


def _operator_crossed(task: BendingTask, chosen: FoundOrder) -> Iterator[Finding]:
    for step in chosen.steps:
        for one in step.check.operator_hits:
            yield Finding(
                code="ROOM-008",
                sentence=f"Bar {task.name}, bend {step.check.feed.bend}: {one.part_name} "
                f"({'swinging' if one.side == 'lead' else 'tail'}) comes over {one.to} at {one.swung_deg:.0f}°.",
                todo="Stand elsewhere for this bend.",
                objects=(task.name, f"bend {step.check.feed.bend}"),
                measured=one.clearance_mm,
                limit=step.check.keep_clear_mm,
                unit="mm",
            )


def _other_die(task: BendingTask, bender: StandingBender) -> Iterator[Finding]:
    die = bender.die_clr_mm
    if die is not None and abs(die - task.table.clr_mm) > _SAME_RADIUS_SHARE * die:
        yield Finding(
            code="ROOM-009",
            sentence=f"Bar {task.name} has radius {task.table.clr_mm:g} mm, but the die on bender {bender.name} "
            f"has {die:g} mm.",
            todo="Put the other die on, or draw the bar for this one; the bar's radius was taken.",
            objects=(task.name, bender.name),
            measured=task.table.clr_mm,
            limit=die,
            unit="mm",
        )


def _not_checked(task: BendingTask, bender: StandingBender, search: OrderSearch) -> Iterator[Finding]:
    unknown = [f"wall {side}" for side, distance in bender.walls.items() if distance is None]
    unknown += ["ceiling"] if bender.ceiling_mm is None else []
    if unknown:
        yield _note("ROOM-010", f"Not checked, since the room file does not say where: {', '.join(unknown)}.")
    if search.head_assumed:
        yield _note(
            "ROOM-011",
            "The bender's own solids are not in the room file; a plain die and a pedestal were taken.",
        )
    if task.swings_deg == task.table.angles_deg:
        yield _note(
            "ROOM-014", "Swung to the finished angles: without a calibration the overbend is not known."
        )
    if not search.all_orders:
        yield _note(
            "ROOM-012",
            f"With more than {MOST_BENDS_MIXED} bends, only orders in which each is beside a made one were searched.",
        )


def _note(code: str, sentence: str) -> Finding:
    return Finding(code=code, sentence=sentence, severity=Severity.NOTE)


def step_lines(step: PlannedStep, *, name_set_up: bool) -> tuple[str, ...]:
    """One step as the operator is told it: what to do, how the tube lies, what is near, why it does not go.

    Args:
        step: The step.
        name_set_up: Whether to say how the bender is set up.
    """
    check = step.check
    do = [f"bend {check.feed.bend}, end {check.feed.fed_from} leading, to {check.swing_deg:.1f}°"]
    if name_set_up:
        do.append(f"bender {check.set_up.name}")
    if step.turn_end_for_end:
        do.append("turn the tube end for end")
    lies = [] if step.turn_tube_deg is None else [_turn_words(step)]
    if step.leg_clock is not None:
        lies.append(f"leg to {clock_words(step.leg_clock)}")
    fails = what_fails(check)
    lines = [", ".join(do), ", ".join(lies), _room_words(check), f"DOES NOT GO: {fails}" if fails else ""]
    return tuple(one for one in lines if one)


def _room_words(check: StepCheck) -> str:
    """How far it swings, what is nearest, and what is left to floor and ceiling."""
    least = check.least
    near = [] if least is None else [(f"least {least.clearance_mm:.1f} mm to {least.to}", least.to)]
    near += [
        (f"{found.clearance_mm:.1f} mm to the {found.to}", found.to)
        for name in ("floor", "ceiling")
        if (found := check.to(name)) is not None and (least is None or least.to != name)
    ]
    return ", ".join(
        [f"skin swings {check.reach_skin_mm:.1f} mm from the die's axis", *(words for words, _ in near)]
    )


def clock_words(hour: float) -> str:
    """Where a leg points, as the hour on a clock seen from the tail."""
    plain = {12.0: "up", 3.0: "right", 6.0: "down", 9.0: "left"}.get(round(hour, 2))
    whole, minutes = divmod(round(hour * 60.0), 60)
    clock = f"{whole or 12}:{minutes:02d}" if minutes else f"{whole}"
    return f"{clock} o'clock" + (f" ({plain})" if plain else "")


def _turn_words(step: PlannedStep) -> str:
    turn, bend = step.turn_tube_deg or 0.0, step.turn_from_bend
    if abs(turn) < _NO_TURN_DEG:
        return f"no turn: bend {bend} lies as just bent"
    way = "clockwise" if turn > 0.0 else "anticlockwise"
    return f"turn the tube {abs(turn):.1f}° {way} (seen from the tail) from how bend {bend} lies as just bent"

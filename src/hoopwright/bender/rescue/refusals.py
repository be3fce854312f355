"""What is not taken into the records of a stick, and why."""

import math
from collections.abc import Iterable, Sequence

from hoopwright.bender.rescue.reading import is_angle
from hoopwright.bender.rescue.records import Correction, Decision, Reading, Record
from hoopwright.bender.rescue.standing import Standing, Taken, asked
from hoopwright.findings import Finding, Severity, UserError

_LESS_DEG = 0.05
"""A reading that is lower by less is the same reading."""
_FARTHEST_TURN_DEG = 360.0
UNLIKELY_DEG = 3.0
"""How much more than expected a bend springs back before pull or reading is doubted; common practice, no source."""
_SLACK_DEG = 0.5
FARTHEST_MARK_MM = 100.0


def refuse_stale(now: Standing, shown: int | None, stick: str | None = None) -> None:
    """Stop on an answer to what is not asked any more.

    Args:
        now: Where the bar stands.
        shown: The number of records that the device had seen; None where it does not say.
        stick: Key of the stick that the device had before it; None where it does not say.

    Raises:
        UserError: `BEND-003`.
    """
    if stick is not None and stick != now.started.key:
        raise _refused(
            "BEND-003",
            f"That answers stick {stick}, but bar {now.started.bar_id} is now bent from stick {now.started.key}. "
            "Nothing was written.",
            "Look at what is asked now, and answer that.",
            now,
        )
    if shown is not None and shown != now.records:
        raise _refused(
            "BEND-003",
            f"That answers number {shown}, but bar {now.started.bar_id} stands at number {now.records}: "
            f"{in_words(now)}. Nothing was written.",
            "Look at what is asked now, and answer that.",
            now,
        )


def refuse_reading(now: Standing, reading: Reading) -> None:
    """Stop on a reading that cannot be.

    Raises:
        UserError: `BEND-001` for a number that cannot be, `BEND-002` for one under the reading before and `BEND-009`
            for an unlikely springback, both without a reason, `BEND-004` when no reading is asked for.
    """
    if now.phase not in ("bend", "add"):
        raise _refused("BEND-004", f"No reading is asked for now: {in_words(now)}.", _what_then(now), now)
    refuse_numbers(now, reading)
    refuse_unlikely(now, reading, asked(now).command_deg)
    before = None if now.pending is None else now.pending.reading.released_deg
    if before is not None and reading.released_deg < before - _LESS_DEG and not reading.reason:
        raise _refused(
            "BEND-002",
            f"Step {now.step} read {before:g}° before and {reading.released_deg:g}° now: a bend does not open "
            "by itself.",
            "Read again. If the first reading was wrong, correct it; if not, give the reason.",
            now,
            measured=reading.released_deg,
            limit=before,
        )


def refuse_numbers(now: Standing, reading: Reading) -> None:
    """Stop on numbers that no gauge or tape can have read here.

    Raises:
        UserError: `BEND-001`, with every number that cannot be.
    """
    started, findings = now.started, []
    reach, blank = started.die_reach_deg, started.job.blank_mm
    steepest = min(reach, 175.0)
    for what, value, least, most, unit in (
        ("released angle", reading.released_deg, 0.0, steepest, "deg"),
        ("angle under load", reading.command_deg, 0.0, reach, "deg"),
        ("turn of the tube", reading.turned_deg, -_FARTHEST_TURN_DEG, _FARTHEST_TURN_DEG, "deg"),
        ("mark", reading.mark_mm, 0.0, blank, "mm"),
    ):
        if value is not None and not least <= value <= most:
            findings.append(_cannot_be(now, what, value, (least, most), unit))
    findings += [] if findings else _far_mark(now, reading)
    load = reading.command_deg
    if not findings and load is not None and is_angle(load, reach) and reading.released_deg > load:
        findings.append(_cannot_be(now, "released angle", reading.released_deg, (0.0, load), "deg"))
    if findings:
        raise UserError(*findings)


def _far_mark(now: Standing, reading: Reading) -> list[Finding]:
    """A mark so far from where it was asked that the number, or its unit, is another."""
    # a correction is of a bend that is made: its own mark counts, not that of the bend asked for now
    place = reading.step or now.step
    if reading.mark_mm is None or (not reading.step and now.phase not in ("bend", "add")):
        return []
    wanted = asked(now, place)
    off = min(abs(reading.mark_mm - wanted.mark_mm), abs(reading.mark_mm - wanted.sheet_mark_mm))
    if off <= FARTHEST_MARK_MM:
        return []
    return [
        Finding(
            code="BEND-001",
            severity=Severity.STOP,
            sentence=f"Bar {now.started.bar_id}, step {place}: a mark at {reading.mark_mm:g} mm from end A is "
            f"{off:.0f} mm from the {wanted.mark_mm:.1f} mm that is asked (limit "
            f"{FARTHEST_MARK_MM:g} mm).",
            todo="Measure from the end of the tube at A, and type the unit when it is not mm.",
            objects=(now.started.bar_id,),
            measured=off,
            limit=FARTHEST_MARK_MM,
            unit="mm",
        )
    ]


def refuse_unlikely(now: Standing, reading: Reading, asked_deg: float | None) -> None:
    """Stop on a reading that does not go with the pull, unless a reason is given.

    What is to be added is reckoned from the last pull: from a pull that was not made it would be far too much.

    Raises:
        UserError: `BEND-009`.
    """
    load, line = asked_deg if reading.command_deg is None else reading.command_deg, now.started.line
    if load is None or line is None or reading.reason:
        return
    seen, expected = load - reading.released_deg, line.constant_deg + line.per_command_deg * load
    if min(0.0, expected) - _SLACK_DEG <= seen <= expected + UNLIKELY_DEG:
        return
    raise _refused(
        "BEND-009",
        f"Bar {now.started.bar_id}, step {reading.step or now.step}: {reading.released_deg:g}° after release does not "
        f"go with {load:.2f}° under load: a springback of {seen:.2f}°, where about {expected:.2f}° is expected.",
        "Type what was really read under load (--pulled), read again, or give the reason (--reason).",
        now,
        measured=seen,
        limit=expected + UNLIKELY_DEG,
    )


def refuse_decision(now: Standing, *, go_on: bool) -> None:
    """Stop on a decision that nothing asks for.

    Raises:
        UserError: `BEND-004`.
    """
    is_open = now.phase in ("decide", "add") or (not go_on and now.phase == "bend")
    if not is_open:
        raise _refused("BEND-004", f"Nothing is to be decided now: {in_words(now)}.", _what_then(now), now)


def refuse_correction(now: Standing, correction: Correction) -> None:
    """Stop on a correction of what is no reading that counts, or by numbers that cannot be.

    Raises:
        UserError: `BEND-008`, `BEND-001`, `BEND-009`.
    """
    counted = tuple(counting(now))
    found = next((one for one in counted if one.record == correction.of), None)
    if found is None or found.reading.step != correction.reading.step:
        listed = ", ".join(f"{one.record} (step {one.reading.step})" for one in counted) or "none yet"
        raise _refused(
            "BEND-008",
            f"Record {correction.of} is no reading that counts; those that do are {listed}.",
            "Name the record whose reading was typed wrongly.",
            now,
        )
    refuse_numbers(now, correction.reading)
    refuse_unlikely(now, correction.reading, found.asked_deg)


def refuse_withdrawal(now: Standing, of: int, records: Sequence[Record]) -> None:
    """Stop on taking back what is not the last reading, or what was decided on since.

    Raises:
        UserError: `BEND-008`.
    """
    last = now.taken[-1].record if now.taken else None
    if of == last and not any(isinstance(one, Decision) for one in records[of:]):
        return
    may = "none" if last is None else f"record {last}, while nothing was decided since"
    raise _refused(
        "BEND-008",
        f"Record {of} cannot be taken back: only the last reading can, which is {may}.",
        "Put an earlier reading right (--correct), or begin another stick (--again).",
        now,
    )


def counting(now: Standing) -> Iterable[Taken]:
    """The readings that count: the last one of each step."""
    yield from now.finished
    if now.pending is not None:
        yield now.pending


def in_words(now: Standing) -> str:
    """What is asked now."""
    feed = now.started.job.feeds[now.step - 1] if now.started.job.feeds else None
    bend = f"step {now.step}, bend {feed.bend}" if feed is not None else "no bend"
    return {
        "bend": f"{bend} is to be made",
        "add": f"{bend} is under, and more is to be added",
        "decide": "go on or scrap is to be said",
        "done": "every bend is made",
        "scrapped": "the stick is scrapped",
    }[now.phase]


def _what_then(now: Standing) -> str:
    return {
        "bend": "Make the bend and type what it reads after release.",
        "add": "Add to the bend and read it again, or say 'go on' to leave it as it is.",
        "decide": "Say 'go on' or 'scrap' first.",
        "done": "Put a reading right (--correct), or begin another stick (--again).",
        "scrapped": "Begin another stick (--again); was it scrapped for a wrong reading, put that right (--correct).",
    }[now.phase]


def _cannot_be(now: Standing, what: str, value: float, between: tuple[float, float], unit: str) -> Finding:
    least, most = between
    sign = "°" if unit == "deg" else " mm"
    return Finding(
        code="BEND-001",
        severity=Severity.STOP,
        sentence=f"Bar {now.started.bar_id}, step {now.step}: a {what} of {value:g}{sign} cannot be; it lies between "
        f"{least:g} and {most:g}{sign}.",
        todo="Read again and type the bend angle in degrees: the change of direction, not the angle between the legs."
        if unit == "deg"
        else "Measure from the end of the tube at A, and type the unit when it is not mm.",
        objects=(now.started.bar_id,),
        measured=value if math.isfinite(value) else None,
        limit=most if not value < least else least,
        unit=unit,
    )


def _refused(
    code: str,
    sentence: str,
    todo: str,
    now: Standing,
    *,
    measured: float | None = None,
    limit: float | None = None,
) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=sentence,
            todo=todo,
            objects=(now.started.bar_id,),
            measured=measured,
            limit=limit,
            unit="" if measured is None else "deg",
        )
    )

"""The stick in hand: begun from the sheet in force, or as its records have it."""

import math
from dataclasses import dataclass, field, replace

from hoopwright.bender import BarSheet, Feed, Order, bend_numbers
from hoopwright.bender.bend_job import plan_job
from hoopwright.bender.rescue.records import Bands, Started
from hoopwright.bender.rescue.refusals import in_words
from hoopwright.bender.rescue.session import standing
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.calibrations import calibration_for, calibrations_at_hand
from hoopwright.jobs.opened_sheets import open_sheet, sheet_code
from hoopwright.jobs.shop_at_hand import machine_for, shop_at_hand
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.bending import Stick, add_record, last_stick, new_stick, read_stick, torn_file

_NOT_OF_THE_BAR = ("SHOP-", "STORE-")
END_LIMIT_MM = 5.0
"""How far an end may be off its place; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class BendWishes:
    """How a bar is bent.

    Args:
        at: Now, ISO 8601.
        bands: How far off is good enough; only asked when a stick is begun.
        end_limit_mm: How far an end may be off its place.
        again: Whether to begin another stick.
        shown: Number of records that the device had seen; None where it does not say.
        stick: Key of the stick that the device had before it; None where it does not say.
        solve: Whether what the bends cost is worked out with the answer; without, a device asks for it by itself.
    """

    at: str
    bands: Bands = field(default_factory=Bands)
    end_limit_mm: float = END_LIMIT_MM
    again: bool = False
    shown: int | None = None
    stick: str | None = None
    solve: bool = True


def refuse_wishes(wishes: BendWishes) -> None:
    """Stop on a band or a limit that cannot be.

    Raises:
        UserError: `BEND-014`.
    """
    for what, value, most, unit in (
        ("band of an angle", wishes.bands.angle_deg, 5.0, "deg"),
        ("limit of an end", wishes.end_limit_mm, 100.0, "mm"),
    ):
        if not 0.0 <= value <= most:
            raise UserError(
                Finding(
                    code="BEND-014",
                    severity=Severity.STOP,
                    sentence=f"The {what} of {value:g} {unit} is not between 0 and {most:g} {unit}.",
                    todo="Give how far off is still good enough.",
                    objects=(what,),
                    measured=value if math.isfinite(value) else None,
                    limit=most,
                    unit=unit,
                )
            )


def open_stick(
    folder: ProjectFolder, bar_or_code: str, wishes: BendWishes
) -> tuple[Stick, tuple[Finding, ...]]:
    """The stick in hand; one that is not begun yet has its first record in memory alone.

    Raises:
        UserError: `BEND-006` for another sheet's code, `BEND-010` to `BEND-013` when no stick can be begun,
            `STORE-009` for damaged records.
    """
    project = folder.open().project
    bar_id, code = sheet_code(bar_or_code, project.name)
    stick = last_stick(folder, bar_id)
    if stick is not None and wishes.again:
        _refuse_unfinished(stick, bar_id)
    if stick is None or wishes.again:
        return _next_stick(folder, project, bar_id, code, wishes), _torn(folder, bar_id)
    started = stick.records[0]
    assert isinstance(started, Started)  # noqa: S101
    if code is not None and code != started.identity:
        raise _another_sheet(started, code)
    return stick, (*stick.journal.findings, *_old(folder, started, wishes))


def _refuse_unfinished(stick: Stick, bar_id: str) -> None:
    now = standing(stick.records)
    if now.phase not in ("done", "scrapped"):
        raise _cannot_begin(
            "BEND-013",
            f"The stick of bar {bar_id} in {stick.file.name} is not finished: {in_words(now)}.",
            "Finish it, or scrap it (--decide scrap); then begin another.",
            bar_id,
        )


def begun(stick: Stick) -> Stick:
    """The stick with its first record on the disk.

    Raises:
        UserError: `STORE-002`.
    """
    if stick.journal.records:
        return stick
    return add_record(replace(stick, records=()), stick.records[0])


def _next_stick(
    folder: ProjectFolder, project: Project, bar_id: str, code: str | None, wishes: BendWishes
) -> Stick:
    if project.last_issued(bar_id) is None:
        project.cage.member(bar_id)
        raise _cannot_begin(
            "BEND-010",
            f"No sheet of bar {bar_id} was issued, so there is nothing to bend from.",
            "Issue it with 'hoopwright sheets'.",
            bar_id,
        )
    opened = open_sheet(folder, bar_id, wishes.at[:10])
    if not opened.in_force or (code is not None and code != opened.sheet.identity):
        raise _cannot_begin(
            "BEND-011",
            f"The sheet of bar {bar_id} is OLD: the bar or its calibration has changed since. No stick is begun.",
            "Issue the sheets again and mark the stick from the new one.",
            bar_id,
        )
    if not opened.sheet.steps:
        raise _cannot_begin("BEND-012", f"Bar {bar_id} is straight: there is no bend to make.", "", bar_id)
    file, number = new_stick(folder, bar_id, opened.sheet.revision)
    started = _started(folder, project, opened.sheet, number, wishes)
    return replace(read_stick(file), records=(started,))


def _started(
    folder: ProjectFolder, project: Project, sheet: BarSheet, number: int, wishes: BendWishes
) -> Started:
    member = project.cage.member(sheet.bar_id)
    calibration = calibration_for(calibrations_at_hand(folder, (member,)), member, placeholder=False)
    machine = machine_for(project, member, shop_at_hand()).machine
    line, reach = calibration.springback, machine.die_reach_deg
    released = reach if line is None else reach * (1.0 - line.per_command_deg) - line.constant_deg
    job, plan = plan_job(
        sheet.bar,
        bend_numbers(calibration),
        _feeds(sheet),
        trim_a_mm=sheet.trim_a_mm,
        trim_b_mm=sheet.trim_b_mm,
        clamp_mm=machine.clamp_mm,
        greatest_deg=min(175.0, released),
    )
    return Started(
        bar_id=sheet.bar_id,
        revision=sheet.revision,
        identity=sheet.identity,
        stick=number,
        job=job,
        plan=plan,
        line=line,
        die_reach_deg=reach,
        swings=sheet.swings or machine.swings,
        bands=wishes.bands,
        calibration=calibration.name,
        die=calibration.die,
        batch=calibration.batch,
        at=wishes.at,
        key=f"{sheet.bar_id}-r{sheet.revision}-{number}",
    )


def _feeds(sheet: BarSheet) -> Order:
    return tuple(Feed(bend=step.bend, fed_from=step.fed_from) for step in sheet.steps)


def _old(folder: ProjectFolder, started: Started, wishes: BendWishes) -> tuple[Finding, ...]:
    """That the sheet of a stick is old; what it said holds for the stick all the same."""
    try:
        identity = open_sheet(folder, started.bar_id, wishes.at[:10]).sheet.identity
    except UserError as error:
        first = error.findings[0]
        if first.code.startswith(_NOT_OF_THE_BAR):
            return (_not_looked_up(started, first.sentence),)
        why = first.sentence
    else:
        if identity == started.identity:
            return ()
        why = f"the bar, its order or its calibration has changed since; it is now {identity}"
    return (
        Finding(
            code="BEND-007",
            sentence=f"This stick was begun from sheet {started.identity} of bar {started.bar_id}, revision "
            f"{started.revision}, which is OLD: {why}",
            todo="Finish it as begun, or scrap it, issue the sheets again and begin another stick (--again).",
            objects=(started.bar_id,),
        ),
    )


def _not_looked_up(started: Started, why: str) -> Finding:
    return Finding(
        code="BEND-018",
        sentence=f"Whether sheet {started.identity} of bar {started.bar_id} is in force could not be looked up: {why}",
        todo="The stick goes on as it was begun. Mend what is named, then look again.",
        objects=(started.bar_id,),
    )


def _torn(folder: ProjectFolder, bar_id: str) -> tuple[Finding, ...]:
    """That a file of records is there that holds none."""
    file = torn_file(folder, bar_id)
    if file is None:
        return ()
    return (
        Finding(
            code="BEND-019",
            sentence=f"{file.name} is there and holds no whole record, so the stick begins anew.",
            todo="If bends of it were made already, stop here and bring that file back from a copy.",
            objects=(str(file),),
        ),
    )


def _another_sheet(started: Started, code: str) -> UserError:
    return _cannot_begin(
        "BEND-006",
        f"That is sheet {code}, but the stick in the machine was begun from sheet {started.identity} of bar "
        f"{started.bar_id}, revision {started.revision}. Nothing was written.",
        "Take the sheet that the stick was marked from, or begin another stick (--again).",
        started.bar_id,
    )


def _cannot_begin(code: str, sentence: str, todo: str, bar_id: str) -> UserError:
    return UserError(
        Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=(bar_id,))
    )

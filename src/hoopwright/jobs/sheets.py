"""Issuing bar sheets: numbers, revisions, and the papers."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bars import Bar
from hoopwright.bender import (
    BarSheet,
    Calibration,
    Feed,
    Order,
    Swing,
    a_to_b,
    b_to_a,
    make_bar_sheet,
    middle_outward,
    order_as_text,
    order_from_text,
    placeholder_calibration,
)
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.step_poses import step_poses
from hoopwright.cage import Cage, Member, bar_of, side_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.jobs.bent_notes import bent_notes
from hoopwright.jobs.calibrations import calibration_for, calibrations_at_hand
from hoopwright.jobs.drawings import car_lines
from hoopwright.jobs.hole_rows import hole_notes
from hoopwright.jobs.old_sheets import WHOLE_CAGE, gone_bars, is_new, retired, stale_papers, stamped_whole
from hoopwright.jobs.orders import order_through
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.jobs.shop_at_hand import MachineForBar, ShopAtHand, machine_for, shop_at_hand
from hoopwright.papers import (
    A4,
    LETTER,
    CarLines,
    OperatorEye,
    Page,
    PaperSize,
    bar_pages,
    bar_text,
    cut_list_pages,
    cut_pieces,
    overview_pages,
    pdf_bytes,
)
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.shell.tape import compare_tape
from hoopwright.store import IssuedSheet, Project, ProjectFolder
from hoopwright.store.together import all_or_nothing
from hoopwright.units import LengthUnit

EYE_HEIGHT_MM = 1600.0
"""Eyes of a person who stands, above the floor; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class SheetWishes:
    """How sheets are wanted.

    Args:
        date: Day of issue, ISO 8601.
        only: Bars; all without.
        order: `auto`, `A to B`, `B to A`, `middle outward`, or a list such as `2 from A, 1 from B`; None for that of
            the bar's last sheet, and `auto` where there is none.
        swings: Which way the bender swings the leading end, seen from above; as the project knows it without.
        paper: `A4` or `letter`.
        unit: Unit of the large figures.
        placeholder: Whether a bar without a calibration gets a sheet stamped "not calibrated".
        room: The bender in its room; `auto` is then the order that goes through it.
        from_shop: Whether machine and die are taken from the shop where the project says nothing of them.
    """

    date: str
    only: tuple[str, ...] = ()
    order: str | None = None
    swings: Swing | None = None
    paper: str = "A4"
    unit: LengthUnit = "mm"
    placeholder: bool = False
    room: StandingBender | None = None
    from_shop: bool = True


@dataclass(frozen=True, kw_only=True)
class IssueResult:
    """What was issued.

    Args:
        sheets: The sheets.
        files: The papers that were written, relative to the project.
        old: Papers of earlier revisions, now stamped OLD, relative to the project.
        findings: What a person should know.
    """

    sheets: tuple[BarSheet, ...]
    files: tuple[str, ...]
    old: tuple[str, ...]
    findings: tuple[Finding, ...]


def issue_sheets(folder: ProjectFolder, wishes: SheetWishes, *, progress: Progress = silent) -> IssueResult:
    """Bar sheets as PDF and text, an overview and a cut list; a changed sheet makes the old one OLD.

    Raises:
        UserError: `SCAN-030` or `SCAN-034` while the scan's size is not proven, `CAL-010` without a
            calibration, `SHEET-...` and `BAR-...` for bars that cannot be bent. Nothing is written then.
    """
    opened = folder.open()
    project = replace(opened.project, swings=_swing(opened.project, wishes))
    shell = open_whole_shell(folder, project, progress=progress) if project.scan else None
    findings = scan_proof(project, shell)
    members = _members(project.cage, wishes.only)
    calibrations = calibrations_at_hand(folder, members)
    shop = shop_at_hand() if wishes.from_shop else ShopAtHand()
    machines = [machine_for(project, member, shop) for member in members]
    progress("laying out the sheets", 0.2)
    sheets = _all_sheets(project, members, calibrations, wishes, shop)
    lines = car_lines(project.cage, shell)
    progress("writing the papers", 0.5)
    made = _papers(folder, project, sheets, lines, wishes)
    gone = () if wishes.only else gone_bars(folder, project)
    stale = stale_papers(folder, project, sheets) if wishes.only else ()
    old = retired(folder, project, sheets, gone, wishes.date) | stamped_whole(folder, stale, wishes.date)
    fresh = tuple(
        IssuedSheet(
            bar_id=s.bar_id,
            revision=s.revision,
            identity=s.identity,
            date=s.date,
            order=_order_made(s) if wishes.room is not None else _order_asked(project, s.bar_id, wishes),
            swings=on.machine.swings,
        )
        for s, on in zip(sheets, machines, strict=True)
        if is_new(project, s)
    )
    with all_or_nothing({**made, **old}) as put_in_place:
        folder.record(opened, replace(project, issued=(*project.issued, *fresh)))
        put_in_place()
    for name in (*gone, *stale):
        for kind in ("pdf", "txt"):
            (folder.papers / f"{name}.{kind}").unlink(missing_ok=True)
    progress("sheets issued", 1.0)
    noted = (
        *findings,
        *_of_machines(machines, sheets),
        *(one for sheet in sheets for one in sheet.findings),
    )
    return IssueResult(sheets=sheets, files=_names(folder, made), old=_names(folder, old), findings=noted)


def _of_machines(machines: Sequence[MachineForBar], sheets: Sequence[BarSheet]) -> tuple[Finding, ...]:
    """What a person should know of the machines, and that nobody said which way one swings, where it matters."""
    found = tuple(finding for machine in machines for finding in machine.findings)
    assumed = any(
        not machine.is_swing_known and any(step.leg_clock is not None for step in sheet.steps)
        for machine, sheet in zip(machines, sheets, strict=True)
    )
    return (*found, *(_assumed_hand() if assumed else ()))


def _assumed_hand() -> tuple[Finding, ...]:
    return (
        Finding(
            code="SHEET-014",
            sentence="Nobody has said which way the bender swings the leading end; clockwise from above was taken. "
            "Where the legs point on the sheets hangs on it.",
            todo="Say which way in Papers, or with --swings clockwise or anticlockwise, and issue again: the project "
            "keeps it. Or add bender and die to the shop.",
        ),
    )


def _members(cage: Cage, only: Sequence[str]) -> list[Member]:
    members = [cage.member(name) for name in only] or list(cage.members)
    if not members:
        raise UserError(
            Finding(
                code="SHEET-010",
                severity=Severity.STOP,
                sentence="The cage has no bars yet, so there is no sheet to issue.",
                todo="Add bars with 'hoopwright layout' or 'hoopwright bar add'.",
            )
        )
    return members


def scan_proof(project: Project, shell: Shell | None) -> tuple[Finding, ...]:
    """Findings on the scan's size.

    Raises:
        UserError: `SHEET-011`, `SCAN-030` or `SCAN-034` while it is not proven: nothing is bent or cut by it.
    """
    if shell is None:
        return ()
    results, findings = compare_tape(shell, project.tape_in_force)
    stops = stopping(findings)
    if stops:
        raise UserError(*stops)
    if all(result.scan_mm is None for result in results):
        unproven = Finding(
            code="SHEET-011",
            severity=Severity.STOP,
            sentence="No sheet is issued: the size of the scan is not proven by any tape distance.",
            todo="Measure three or more distances across the shell and add them: on the page under Scan, or"
            " with 'hoopwright scan --tape'.",
        )
        raise UserError(unproven, *findings)
    return findings


def _all_sheets(
    project: Project,
    members: Sequence[Member],
    calibrations: tuple[Calibration, ...],
    wishes: SheetWishes,
    shop: ShopAtHand,
) -> tuple[BarSheet, ...]:
    """All sheets, or every reason at once why there are none."""
    sheets: list[BarSheet] = []
    stops: list[Finding] = []
    for member in members:
        try:
            sheets.append(sheet_of(project, member, calibrations, wishes, shop))
        except UserError as error:
            stops.extend(finding for finding in error.findings if finding not in stops)
    if stops:
        raise UserError(*stops)
    return tuple(sheets)


def sheet_of(
    project: Project,
    member: Member,
    calibrations: tuple[Calibration, ...],
    wishes: SheetWishes,
    shop: ShopAtHand,
) -> BarSheet:
    """The sheet of one member as it would be issued, with the revision that it would have.

    Raises:
        UserError: `CAL-...`, `SHEET-...` and `BAR-...` for bars that cannot be bent.
    """
    bar = bar_of(project.cage, member.member_id)
    machine = machine_for(project, member, shop, swings=_swing(project, wishes)).machine
    calibration = _calibration(bar, member, calibrations, wishes)
    order = order_named(bar.bend_count, _order_asked(project, member.member_id, wishes))
    crossed: tuple[Finding, ...] = ()
    if wishes.room is not None and bar.bend_count and wishes.order in (None, "auto"):
        order, crossed = order_through(bar, member, calibration, wishes.room, machine.swings)
    first = make_bar_sheet(
        bar,
        calibration,
        bar_id=member.member_id,
        title=member.role.value,
        machine=machine,
        side=side_of(bar),
        order=order,
        trim_a_mm=member.end_a.trim_mm,
        trim_b_mm=member.end_b.trim_mm,
        date=wishes.date,
        notes=(*hole_notes(project.cage, member.member_id), *bent_notes(project, member.member_id)),
    )
    first = replace(first, findings=(*first.findings, *crossed))
    last = project.last_issued(member.member_id)
    if last is None:
        return first
    same = last.identity == first.identity
    return replace(
        first, revision=last.revision if same else last.revision + 1, date=last.date if same else first.date
    )


def _calibration(
    bar: Bar, member: Member, calibrations: tuple[Calibration, ...], wishes: SheetWishes
) -> Calibration:
    if bar.bend_count:
        return calibration_for(calibrations, member, placeholder=wishes.placeholder)
    # a straight bar has nothing that a calibration could change
    straight = placeholder_calibration(member.tube, member.clr_mm, die=member.die)
    return replace(straight, name="none needed (straight)", calibrated=True)


def order_named(bends: int, wish: str) -> Order | None:
    """The order of that name, or None for the default one of the bar."""
    orders = {"A to B": a_to_b, "B to A": b_to_a, "middle outward": middle_outward}
    if not bends or wish == "auto":
        return None
    return orders[wish](bends) if wish in orders else order_from_text(wish, bends)


def _order_asked(project: Project, bar_id: str, wishes: SheetWishes) -> str:
    """The order that is wished for, else that of the bar's last sheet: a new sheet is not bent in another by itself."""
    last = project.last_issued(bar_id)
    return wishes.order or (last.order if last is not None else "auto")


def _order_made(sheet: BarSheet) -> str:
    """The order that a search chose, so that the sheet can be opened again without the room."""
    return order_as_text([Feed(bend=step.bend, fed_from=step.fed_from) for step in sheet.steps]) or "auto"


def _swing(project: Project, wishes: SheetWishes) -> Swing | None:
    """Which way the leading end swings: as wished, as the room's bender can, as the project knows."""
    known = wishes.swings or project.swings
    if wishes.room is None or known in wishes.room.swings:
        return known
    return wishes.swings or wishes.room.swings[0]


def _papers(
    folder: ProjectFolder, project: Project, sheets: Sequence[BarSheet], lines: CarLines, wishes: SheetWishes
) -> dict[Path, bytes]:
    """What belongs in each paper: one for each bar, as PDF and as text, and those of the whole cage.

    When only some bars are wanted, the papers of the whole cage are not made.
    """
    paper: PaperSize = LETTER if wishes.paper == "letter" else A4
    contents: dict[Path, bytes] = {}
    every: list[Page] = []
    for sheet in sheets:
        pages = bar_pages(
            sheet,
            lines,
            project=project.name,
            unit=wishes.unit,
            paper=paper,
            poses=step_poses(sheet),
            eye=_operator_eye(wishes.room),
        )
        every += pages
        title = f"{project.name} {sheet.bar_id}"
        contents[folder.papers / f"{sheet.bar_id}.pdf"] = pdf_bytes(pages, title=title, date=sheet.date)
        text = bar_text(sheet, project=project.name, unit=wishes.unit)
        contents[folder.papers / f"{sheet.bar_id}.txt"] = text.encode()
    if wishes.only:
        return contents
    overview = overview_pages(
        lines, sheets, project=project.name, date=wishes.date, unit=wishes.unit, paper=paper
    )
    cuts = cut_list_pages(
        cut_pieces(sheets), project=project.name, date=wishes.date, unit=wishes.unit, paper=paper
    )
    for name, pages in zip(WHOLE_CAGE, (tuple(every), overview, cuts), strict=True):
        made = pdf_bytes(pages, title=f"{project.name} {name}", date=wishes.date)
        contents[folder.papers / f"{name}.pdf"] = made
    return contents


def _operator_eye(room: StandingBender | None) -> OperatorEye:
    """From the room's operator's place to the die; from behind the tail where nobody has said where he stands."""
    place = next((one for one in room.solids if one.stands == "operator"), None) if room else None
    if room is None or place is None:
        return OperatorEye()
    ahead, left, _ = place.middle_mm
    down = room.axis_height_mm - EYE_HEIGHT_MM
    if math.hypot(ahead, left) < 1.0:
        return OperatorEye()
    return OperatorEye(looking=(-ahead, -left, down), words=f"seen from the {place.name}, eyes at 1.6 m")


def _names(folder: ProjectFolder, files: Iterable[Path]) -> tuple[str, ...]:
    return tuple(str(file.relative_to(folder.path)) for file in files)

"""Issuing bar sheets: revisions, the papers, and what they make OLD."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bender import (
    BarSheet,
    Calibration,
    Feed,
    order_as_text,
)
from hoopwright.cage import Cage, Member
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.drawings import car_lines
from hoopwright.jobs.old_sheets import gone_bars, is_new, retired, stale_papers, stamped_whole
from hoopwright.jobs.sheet_papers import papers_of_sheets
from hoopwright.jobs.sheets import SheetWishes, order_asked, sheet_of, swing_of
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.jobs.shop_at_hand import MachineForBar, ShopAtHand, machine_for, shop_at_hand
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.shell.tape import compare_tape
from hoopwright.store import IssuedSheet, Project, ProjectFolder
from hoopwright.store.together import all_or_nothing


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
    project = replace(opened.project, swings=swing_of(opened.project, wishes))
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
    made = papers_of_sheets(folder, project, sheets, lines, wishes)
    gone = () if wishes.only else gone_bars(folder, project)
    stale = stale_papers(folder, project, sheets) if wishes.only else ()
    old = retired(folder, project, sheets, gone, wishes.date) | stamped_whole(folder, stale, wishes.date)
    fresh = tuple(
        IssuedSheet(
            bar_id=s.bar_id,
            revision=s.revision,
            identity=s.identity,
            date=s.date,
            order=_order_made(s) if wishes.room is not None else order_asked(project, s.bar_id, wishes),
            swings=on.machine.swings,
        )
        for s, on in zip(sheets, machines, strict=True)
        if is_new(project, s)
    )
    with all_or_nothing({**made.contents, **old}) as put_in_place:
        folder.record(opened, replace(project, issued=(*project.issued, *fresh)))
        put_in_place()
    for name in (*gone, *stale):
        for kind in ("pdf", "txt"):
            (folder.papers / f"{name}.{kind}").unlink(missing_ok=True)
    progress("sheets issued", 1.0)
    noted = (
        *findings,
        *made.findings,
        *_of_machines(machines, sheets),
        *(one for sheet in sheets for one in sheet.findings),
    )
    return IssueResult(
        sheets=sheets, files=_names(folder, made.contents), old=_names(folder, old), findings=noted
    )


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
            todo="Say which way (--swings clockwise or anticlockwise), and issue again: the project keeps it. "
            "Or add bender and die to the shop.",
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


def _order_made(sheet: BarSheet) -> str:
    """The order that a search chose, so that the sheet can be opened again without the room."""
    return order_as_text([Feed(bend=step.bend, fed_from=step.fed_from) for step in sheet.steps]) or "auto"


def _names(folder: ProjectFolder, files: Iterable[Path]) -> tuple[str, ...]:
    return tuple(str(file.relative_to(folder.path)) for file in files)

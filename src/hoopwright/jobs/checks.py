"""What holds and what does not, bar by bar, and for the scan."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bars import check_bendable, end_miss_mm, read_bends_csv
from hoopwright.cage import Cage, Member, bar_of
from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.jobs.bent_cage import beside_drawn, cage_that_exists
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.die_checks import die_checks
from hoopwright.jobs.driver_measures import measure_drivers
from hoopwright.jobs.driver_rows import DriverLimits, driver_rows
from hoopwright.jobs.feet import foot_checks
from hoopwright.jobs.gap_checks import cloud_findings, judge_gaps, measure_members
from hoopwright.jobs.hole_rows import hole_checks
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.meetings import meeting_checks
from hoopwright.jobs.rows import CheckRow, check_row
from hoopwright.jobs.rule_checks import BookReport, rule_book_rows
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.jobs.shop_at_hand import clamp_for, shop_for_clamps
from hoopwright.progress import Progress, silent
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.shell import Shell
from hoopwright.shell.tape import STOP_MM_PER_M, compare_tape
from hoopwright.store import Project, ProjectFolder
from hoopwright.units import format_length, shown

_BENT = "can be bent"
_MISS_MM = 1.0


@dataclass(frozen=True, eq=False, kw_only=True)
class CheckReport:
    """Everything that was checked.

    Args:
        rows: One row for each check.
        gaps: Exact gaps of each bar that could be measured, by bar.
        findings: What does not hold or could not be checked, with place and number.
        held: The project held to its rule book; None where it is held to none, or only some bars were checked.
    """

    rows: tuple[CheckRow, ...]
    gaps: dict[str, TubeGaps]
    findings: tuple[Finding, ...]
    held: BookReport | None = None


def check_project(
    folder: ProjectFolder,
    *,
    only: Sequence[str] = (),
    project: Project | None = None,
    whole: Shell | None = None,
    landed: tuple[LandedFoot, ...] | None = None,
    book: str | None = None,
    progress: Progress = silent,
) -> CheckReport:
    """Check the bars of a project and its drivers, or only some bars, the proof of its scan, and its rule book.

    Bars that were bent and measured are checked as they exist, with what they were drawn to beside it; all others with
    the finished radius of their calibration where one is kept, else as drawn.

    Args:
        folder: The project.
        only: Bars; all without.
        project: The project, where it is open already.
        whole: Its shell without holes, where that is open already.
        landed: All its feet with their landings, where those were fitted already.
        book: Another rule book than the pinned one, by name or file, to try; for the whole cage only.
        progress: Told how far it is.

    Raises:
        UserError: When the project or its scan cannot be opened, or a bar is not there.
    """
    project = folder.open().project if project is None else project
    drawn = as_bent(folder, project.cage)
    existing = cage_that_exists(project, drawn)
    if whole is None and project.scan is not None:
        whole = open_whole_shell(folder, project, progress=progress)
    progress("measuring gaps", 0.3)
    report = _check_cage(project, existing.cage, whole, only)
    if existing.bent:
        as_drawn = _check_cage(project, drawn, whole, only)
        report = replace(report, rows=beside_drawn(report.rows, as_drawn.rows, existing.bent))
    members = [drawn.member(name) for name in only] or list(drawn.members)
    die_rows, die_findings = die_checks(folder, drawn, members)
    report = replace(
        report,
        rows=(*report.rows, *die_rows),
        findings=(*report.findings, *existing.findings, *die_findings),
    )
    if not only:
        progress("holding it to the rule book", 0.8)
        held, rows, told = rule_book_rows(folder, project, book=book, whole=whole, landed=landed)
        new = tuple(one for one in told if one not in report.findings)
        report = replace(report, rows=(*report.rows, *rows), findings=(*report.findings, *new), held=held)
    progress("checked", 1.0)
    return report


def _check_cage(project: Project, cage: Cage, whole: Shell | None, only: Sequence[str]) -> CheckReport:
    members = [cage.member(name) for name in only] or list(cage.members)
    rows, findings = _bend_rows(cage, members)
    meeting_rows, meeting_findings = meeting_checks(cage, [m.member_id for m in members])
    rows += meeting_rows
    findings += meeting_findings
    gaps: dict[str, TubeGaps] = {}
    if whole is not None:
        cut = cut_for_bars(whole, cage)
        shell = cut.shell
        gaps = _measure(shell, cage, members, rows)
        for member in members:
            if member.member_id in gaps:
                judge_gaps(gaps[member.member_id], cage, shell, rows, findings)
        foot_rows, foot_findings = foot_checks(shell, cage, members)
        rows += foot_rows
        findings += foot_findings
        findings += cloud_findings(shell) if gaps else ()
        hole_rows, hole_findings = hole_checks(cut, cage, gaps, [m.member_id for m in members])
        rows += hole_rows
        findings += hole_findings
        _tape_rows(whole, project, rows, findings)
    else:
        rows += [
            check_row(m.member_id, "gap to the shell", Verdict.NOT_CHECKED, where="no scan") for m in members
        ]
    if not only:
        rows_of_drivers, driver_findings = driver_rows(cage, measure_drivers(cage), DriverLimits())
        rows += rows_of_drivers
        findings += driver_findings
    return CheckReport(rows=tuple(rows), gaps=gaps, findings=tuple(findings))


def check_typed_bends(folder: ProjectFolder, member_id: str, file: Path) -> CheckReport:
    """Hold a typed bend table against the bar that it should make, with end A and bend 1 held."""
    cage = folder.open().project.cage
    bar = bar_of(cage, member_id)
    miss = end_miss_mm(bar, read_bends_csv(file, bar.clr_mm))
    return miss_report(member_id, miss)


def miss_report(name: str, miss_mm: float) -> CheckReport:
    """How far the far end of a typed bend table lands off, as a check."""
    good = miss_mm <= _MISS_MM
    row = check_row(
        name, "far end of the typed bends", Verdict.PASS if good else Verdict.FAIL, miss_mm, _MISS_MM, "mm"
    )
    finding = Finding(
        code="CHECK-005",
        sentence=f"Bent as typed, end B of {name} lands {shown(miss_mm, 0)} mm from its place, with end A and "
        "bend 1 held.",
        todo="Compare the rotations: a wrong sign is the usual cause. Do not bend from this table.",
        objects=(name,),
        measured=miss_mm,
        limit=_MISS_MM,
        unit="mm",
    )
    return CheckReport(rows=(row,), gaps={}, findings=() if good else (finding,))


def _bend_rows(cage: Cage, members: Sequence[Member]) -> tuple[list[CheckRow], list[Finding]]:
    rows: list[CheckRow] = []
    findings: list[Finding] = []
    shop = shop_for_clamps(cage.limits)
    for member in members:
        bar = bar_of(cage, member.member_id)
        clamp_mm = clamp_for(cage.limits, member, shop)
        found = check_bendable(
            bar,
            clamp_mm=clamp_mm,
            trim_a_mm=member.end_a.trim_mm,
            trim_b_mm=member.end_b.trim_mm,
        )
        bad = any(finding.severity is Severity.STOP for finding in found)
        bends = f"{bar.bend_count} bends of radius {format_length(bar.clr_mm)}, clamp {clamp_mm:g} mm"
        where = bends if bar.bend_count else "straight"
        rows.append(check_row(bar.name, _BENT, Verdict.FAIL if bad else Verdict.PASS, where=where))
        findings.extend(found)
    return rows, findings


def _measure(
    shell: Shell, cage: Cage, members: Sequence[Member], rows: list[CheckRow]
) -> dict[str, TubeGaps]:
    failed = {row.about for row in rows if row.check == _BENT and row.verdict is Verdict.FAIL}
    possible = [m for m in members if m.member_id not in failed]
    rows += [
        check_row(name, "gap to the shell", Verdict.NOT_CHECKED, where="the bar cannot be bent")
        for name in sorted(failed)
    ]
    return measure_members(shell, cage, possible)


def _tape_rows(shell: Shell, project: Project, rows: list[CheckRow], findings: list[Finding]) -> None:
    results, tape_findings = compare_tape(shell, project.tape_in_force)
    rows += [
        check_row(
            result.distance.name,
            "tape against scan",
            result.verdict,
            result.per_metre_mm,
            STOP_MM_PER_M,
            "mm/m",
        )
        for result in results
    ]
    if not results:
        rows.append(
            check_row("scan", "tape against scan", Verdict.NOT_CHECKED, where="no tape distance typed")
        )
    findings.extend(tape_findings)

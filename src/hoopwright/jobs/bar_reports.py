"""What is to be known of one bar besides its nodes: gaps by region, its chart, its findings and its sheet."""

from dataclasses import dataclass
from typing import Literal

from hoopwright.bars import check_shape
from hoopwright.cage import bar_of
from hoopwright.findings import Finding, UserError, stopping
from hoopwright.geometry import Arc
from hoopwright.jobs.checks import check_project
from hoopwright.jobs.opened_sheets import open_sheet
from hoopwright.papers.gap_chart import gap_chart
from hoopwright.papers.svg import svg_text
from hoopwright.progress import Progress, silent
from hoopwright.shell.clearance import GapPlace
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder

SheetState = Literal["in force", "old", "never issued", "cannot be made"]


@dataclass(frozen=True, kw_only=True)
class SheetStanding:
    """How the printed sheet of a bar stands.

    Args:
        state: Whether the last one issued says what the bar is now.
        revision: Of the last one issued; None where there is none.
        date: When that was issued.
        findings: Why none can be made.
    """

    state: SheetState
    revision: int | None = None
    date: str = ""
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class BarReport:
    """One bar against shell, cage and sheet.

    Args:
        bar_id: The bar.
        regions: Smallest gap to every region within 150 mm, the smallest first.
        chart: The gap all along it as an SVG; empty without a shell.
        findings: What does not hold.
        goes_along: Ends that land on it, and go along when it is moved, such as `BS-L end A`.
        sheet: How its sheet stands.
    """

    bar_id: str
    regions: tuple[GapPlace, ...]
    chart: str
    findings: tuple[Finding, ...]
    goes_along: tuple[str, ...]
    sheet: SheetStanding


def report_bar(
    folder: ProjectFolder,
    bar_id: str,
    *,
    date: str,
    whole: Shell | None = None,
    progress: Progress = silent,
) -> BarReport:
    """Measure and check one bar.

    Args:
        folder: The project.
        bar_id: The bar.
        date: Today, ISO 8601.
        whole: The project's shell without holes, where it is open already.
        progress: Told how far it is.

    Raises:
        UserError: `CAGE-001`; when the project or its scan cannot be opened.
    """
    project = folder.open().project
    checked = check_project(folder, only=(bar_id,), whole=whole, progress=progress)
    gaps = checked.gaps.get(bar_id)
    chart = ""
    if gaps is not None:
        bends = [
            (float(start), float(start) + piece.length_mm)
            for start, piece in zip(gaps.tube.path.starts_mm[:-1], gaps.tube.path.pieces, strict=True)
            if isinstance(piece, Arc)
        ]
        chart = svg_text(gap_chart(gaps, target_mm=project.cage.limits.gap_mm, bends=bends))
    return BarReport(
        bar_id=bar_id,
        regions=() if gaps is None else gaps.regions,
        chart=chart,
        findings=checked.findings,
        goes_along=_goes_along(project, bar_id),
        sheet=_sheet(folder, project, bar_id, date),
    )


def _goes_along(project: Project, bar_id: str) -> tuple[str, ...]:
    return tuple(
        f"{member.member_id} end {letter}"
        for member in project.cage.members
        for letter, end in (("A", member.end_a), ("B", member.end_b))
        if end.on == bar_id
    )


def _sheet(folder: ProjectFolder, project: Project, bar_id: str, date: str) -> SheetStanding:
    last = project.last_issued(bar_id)
    revision, day = (None, "") if last is None else (last.revision, last.date)
    stops = stopping(check_shape(bar_of(project.cage, bar_id)))
    try:
        if stops:
            raise UserError(*stops)
        in_force = open_sheet(folder, bar_id, date).in_force
    except UserError as error:
        return SheetStanding(state="cannot be made", revision=revision, date=day, findings=error.findings)
    state: SheetState = "never issued" if in_force is None else "in force" if in_force else "old"
    return SheetStanding(state=state, revision=revision, date=day)

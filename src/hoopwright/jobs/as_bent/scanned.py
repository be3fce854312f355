"""The bar in a scan of it."""

from dataclasses import replace
from pathlib import Path

from hoopwright.bars import bend_table
from hoopwright.bender.as_bent.scanned import ScannedBar, bar_in_scan, match_scanned, points_on_mesh
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.as_bent.bent_bar import BentBar, distance_rows, drawn_bar_of
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.units.factors import MM_PER_UNIT


def scan_of_bar(file: Path, unit: str | None, *, progress: Progress = silent) -> ScannedBar:
    """The one bar in a scan file; no project and no drawn bar is needed.

    Args:
        file: Points or a mesh.
        unit: Unit of the file; what the file states without.
        progress: Told how far it is.

    Raises:
        UserError: `ASBENT-020` to `ASBENT-024`, `ASBENT-040` without a unit, `SCAN-...` for the file.
    """
    from hoopwright.shell.readers import read_scan

    scan = read_scan(file, progress=progress)
    known = unit or scan.declared_unit
    if known is None or known not in MM_PER_UNIT:
        raise _no_unit(file)
    progress("finding the bar", 0.5)
    points = (scan.points.astype("float64") + scan.offset) * MM_PER_UNIT[known]
    found = bar_in_scan(points_on_mesh(points, scan.triangles))
    progress("bar found", 1.0)
    return replace(found, findings=(*scan.findings, *found.findings))


def bar_from_scan(
    folder: ProjectFolder, bar_id: str, file: Path, unit: str | None, *, progress: Progress = silent
) -> BentBar:
    """The bar in a scan file, laid on the drawn one end to end.

    Raises:
        UserError: As `scan_of_bar`, and `ASBENT-027` for another bar; `CAGE-001`, `BAR-...`, `CAL-...`.
    """
    project = folder.open().project
    drawn = drawn_bar_of(folder, project, bar_id)
    member = project.cage.member(bar_id)
    scanned = scan_of_bar(file, unit, progress=progress)
    matched = match_scanned(drawn, scanned, trim_a_mm=member.end_a.trim_mm, trim_b_mm=member.end_b.trim_mm)
    return BentBar(
        bar_id=bar_id,
        source="scan",
        drawn=drawn,
        bar=matched.bar,
        drawn_table=bend_table(drawn),
        table=matched.table,
        angle_sds_deg=matched.angle_sds_deg,
        distances=distance_rows(drawn, matched.bar, ()),
        scanned=scanned,
        file=file.name,
        findings=(*scanned.findings, *matched.findings),
    )


def _no_unit(file: Path) -> UserError:
    return UserError(
        Finding(
            code="ASBENT-040",
            severity=Severity.STOP,
            sentence=f"{file.name} does not say in which unit it is.",
            todo="Name it (--unit): mm, cm, m, in or ft.",
            objects=(str(file),),
        )
    )

"""The bar that exists: from a tape, from readings at the bender, or from a scan of it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bars import Bar, BendTable, bend_table, centreline, write_bends_csv
from hoopwright.bender import default_order
from hoopwright.bender.as_bent import (
    BendReading,
    KindResult,
    NextDistance,
    TakenFrom,
    TapeEntry,
    bar_distances,
    bar_from_readings,
    fit_tape,
    what_it_tells,
)
from hoopwright.bender.as_bent.scanned import ScannedBar, bar_in_scan, match_scanned, points_on_mesh
from hoopwright.bender.checks import has_sign
from hoopwright.cage import bar_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bent_cage import what_hangs_on
from hoopwright.jobs.calibrations import as_bent
from hoopwright.papers import png_bytes
from hoopwright.papers.bent_chart import bent_chart
from hoopwright.progress import Progress, silent
from hoopwright.store import AsBentRecord, Project, ProjectFolder
from hoopwright.store.project import BentSource
from hoopwright.store.writing import make_folder, write_whole
from hoopwright.units.factors import MM_PER_UNIT


@dataclass(frozen=True, kw_only=True)
class DistanceRow:
    """One distance that a tape takes.

    Args:
        key: Its short name.
        words: Where the tape goes.
        drawn_mm: On the bar as drawn.
        bent_mm: On the bar as bent.
        tape_mm: As typed; None where it was not taken.
    """

    key: str
    words: str
    drawn_mm: float
    bent_mm: float
    tape_mm: float | None


@dataclass(frozen=True, eq=False, kw_only=True)
class BentBar:
    """A bar as bent, beside the drawn one.

    Args:
        bar_id: The bar.
        source: How it was measured.
        drawn: As drawn, with its finished radius.
        bar: As bent, where the drawn one lies.
        drawn_table: Bend table as drawn.
        table: Bend table as bent.
        angle_sds_deg: Standard deviation of each angle.
        kinds: What a tape told of bends that are made alike; empty for other sources.
        can_tell: Whether every bend is known well enough.
        next_distance: What to measure next with the tape, if anything.
        distances: What a tape takes on this bar.
        node_sds_mm: Of each node, for readings; empty for other sources.
        scanned: The bar in the scan, for a scan.
        tape: As typed.
        readings: As typed.
        file: Name of the scan.
        taped_on: The stick on which the tape distances were taken at the bender, in words; empty where they were typed.
        is_best_laid: Whether it is laid as it goes best in the car, not with its ends where the drawn ones are.
        findings: What a person should know.
    """

    bar_id: str
    source: BentSource
    drawn: Bar
    bar: Bar
    drawn_table: BendTable
    table: BendTable
    angle_sds_deg: tuple[float, ...]
    kinds: tuple[KindResult, ...] = ()
    can_tell: bool = True
    next_distance: NextDistance | None = None
    distances: tuple[DistanceRow, ...] = ()
    node_sds_mm: tuple[float, ...] = ()
    scanned: ScannedBar | None = None
    tape: tuple[TapeEntry, ...] = ()
    readings: tuple[BendReading, ...] = ()
    file: str = ""
    taped_on: str = ""
    is_best_laid: bool = False
    findings: tuple[Finding, ...] = ()


def bar_from_tape(
    folder: ProjectFolder, bar_id: str, entries: Sequence[TapeEntry], *, also: Collection[str] = ()
) -> BentBar:
    """Estimate how the bends of a bar came out from tape distances.

    Args:
        folder: The project.
        bar_id: The bar.
        entries: What the tape read.
        also: `rotations` and `straights` where these may be off too. Rotations of a bar that is not flat always may.

    Raises:
        UserError: `ASBENT-001` to `ASBENT-005`; `CAGE-001`, `BAR-...`, `CAL-...`.
    """
    project = folder.open().project
    drawn = drawn_bar_of(folder, project, bar_id)
    table = bend_table(drawn)
    fit = fit_tape(
        drawn,
        entries,
        rotations="rotations" in also or any(has_sign(turn) for turn in table.rotations_deg),
        straights="straights" in also,
        taken_from=_taken_from(project, bar_id, drawn),
    )
    told = what_it_tells(fit)
    return BentBar(
        bar_id=bar_id,
        source="tape",
        drawn=drawn,
        bar=fit.bar,
        drawn_table=table,
        table=bend_table(fit.bar),
        angle_sds_deg=fit.angle_sds_deg,
        kinds=told.kinds,
        can_tell=told.can_tell,
        next_distance=told.next_distance,
        distances=distance_rows(drawn, fit.bar, entries),
        tape=tuple(entries),
        findings=told.findings,
    )


def bar_from_bend_readings(folder: ProjectFolder, bar_id: str, readings: Sequence[BendReading]) -> BentBar:
    """The bar that readings of its released bends make.

    Raises:
        UserError: `ASBENT-002`, `ASBENT-006`; `CAGE-001`, `BAR-...`, `CAL-...`.
    """
    project = folder.open().project
    drawn = drawn_bar_of(folder, project, bar_id)
    read = bar_from_readings(drawn, readings, taken_from=_taken_from(project, bar_id, drawn))
    return BentBar(
        bar_id=bar_id,
        source="readings",
        drawn=drawn,
        bar=read.bar,
        drawn_table=bend_table(drawn),
        table=bend_table(read.bar),
        angle_sds_deg=read.angle_sds_deg,
        can_tell=not read.findings,
        distances=distance_rows(drawn, read.bar, ()),
        node_sds_mm=read.node_sds_mm,
        readings=tuple(readings),
        findings=read.findings,
    )


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


def draw_bent(folder: ProjectFolder, made: BentBar) -> str:
    """Draw the bar as bent over the drawn one into the papers.

    Returns:
        The file, relative to the project.

    Raises:
        UserError: `STORE-002` when it cannot be written.
    """
    over = [b - a for a, b in zip(made.drawn_table.angles_deg, made.table.angles_deg, strict=True)]
    page = bent_chart(
        centreline(made.drawn),
        centreline(made.bar),
        over,
        title=f"{made.bar_id} as bent over {made.bar_id} as drawn",
    )
    make_folder(folder.papers)
    write_whole(folder.papers / f"{made.bar_id}-as-bent.png", png_bytes(page, dots_per_inch=130.0))
    return f"papers/{made.bar_id}-as-bent.png"


def bends_csv(made: BentBar | ScannedBar) -> str:
    """The bend table found, as CSV."""
    return write_bends_csv(made.table)


def keep_bent(folder: ProjectFolder, made: BentBar, date: str) -> tuple[Finding, ...]:
    """Record a bar as bent: from now on it counts in the place of the drawn one.

    Returns:
        What is to be made anew.

    Raises:
        UserError: `ASBENT-044` where a tape could not tell how the bends came out; `STORE-...`.
    """
    if made.source == "tape" and not made.can_tell:
        raise UserError(_not_told(made), *made.findings)
    opened = folder.open()
    record = AsBentRecord(
        bar_id=made.bar_id,
        source=made.source,
        date=date,
        table=made.table,
        angle_sds_deg=made.angle_sds_deg,
        drawn_nodes_mm=made.drawn.nodes_mm,
        tape=made.tape,
        readings=made.readings,
        file=made.file,
    )
    project = replace(opened.project, as_bent=(*opened.project.as_bent, record))
    folder.record(opened, project)
    return what_hangs_on(project, made.bar_id)


def drop_bent(folder: ProjectFolder, bar_id: str, date: str) -> None:
    """Let the drawn bar count again; what was measured stays on record.

    Raises:
        UserError: `CAGE-001`; `ASBENT-045` where the drawn one counts already; `STORE-...`.
    """
    opened = folder.open()
    opened.project.cage.member(bar_id)
    if bar_id not in {record.bar_id for record in opened.project.as_bent_in_force}:
        raise UserError(
            Finding(
                code="ASBENT-045",
                severity=Severity.STOP,
                sentence=f"Bar {bar_id} counts as drawn already.",
                objects=(bar_id,),
            )
        )
    record = AsBentRecord(bar_id=bar_id, source="drawn", date=date, table=None)
    folder.record(opened, replace(opened.project, as_bent=(*opened.project.as_bent, record)))


def drawn_bar_of(folder: ProjectFolder, project: Project, bar_id: str) -> Bar:
    """A bar as drawn, with the finished radius of its calibration where one is kept.

    Raises:
        UserError: `CAGE-001`, `CAL-...`.
    """
    project.cage.member(bar_id)
    return bar_of(as_bent(folder, project.cage), bar_id)


def _taken_from(project: Project, bar_id: str, bar: Bar) -> tuple[TakenFrom, ...]:
    """Which straight gives the tube of each bend, where a sheet of the usual order was issued; unknown without."""
    last = project.last_issued(bar_id)
    if last is None or last.order != "auto":
        return ()
    led = {feed.bend: feed.fed_from for feed in default_order(bar)}
    return tuple("after" if led[bend] == "A" else "before" for bend in range(1, bar.bend_count + 1))


def distance_rows(drawn: Bar, bent: Bar, entries: Sequence[TapeEntry]) -> tuple[DistanceRow, ...]:
    """What a tape takes on a bar: as drawn, as bent, and as it was typed."""
    typed = {" ".join(entry.key.lower().split()): entry.tape_mm for entry in entries}
    return tuple(
        DistanceRow(
            key=distance.key,
            words=distance.words,
            drawn_mm=distance.measure(drawn),
            bent_mm=distance.measure(bent),
            tape_mm=typed.get(distance.key.lower()),
        )
        for distance in (bar_distances(drawn) if drawn.bend_count else ())
    )


def _not_told(made: BentBar) -> Finding:
    return Finding(
        code="ASBENT-044",
        severity=Severity.STOP,
        sentence=f"Bar {made.bar_id} was not kept as bent: the distances cannot tell how its bends came out.",
        todo=""
        if made.next_distance is None
        else f"Measure '{made.next_distance.key}' too, and keep it then.",
        objects=(made.bar_id,),
    )


def _no_unit(file: Path) -> UserError:
    return UserError(
        Finding(
            code="ASBENT-040",
            severity=Severity.STOP,
            sentence=f"{file.name} does not say in which unit it is.",
            todo="Name it with --unit: mm, cm, m, in or ft.",
            objects=(str(file),),
        )
    )

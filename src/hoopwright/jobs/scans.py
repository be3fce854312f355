"""Taking a scan in: unit, vehicle axes, and what the person should know of it."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.questions import Ask, nobody
from hoopwright.jobs.scan_axes import ScanAnswers, align, settle_unit
from hoopwright.jobs.scan_reports import ScanReport, report_on
from hoopwright.jobs.shells import cache_key, display_of, open_whole_shell, scan_record
from hoopwright.progress import Progress, silent
from hoopwright.shell.bodies import cars_apart
from hoopwright.shell.cache import content_hash, save_prepared
from hoopwright.shell.display import ply_bytes
from hoopwright.shell.prepared import PreparedScan, prepare_scan
from hoopwright.shell.readers import read_scan
from hoopwright.shell.records import NamedPlace, TapeDistance
from hoopwright.shell.scan import Scan
from hoopwright.shell.shell import make_shell
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.writing import write_whole


class ReadFile(Protocol):
    """What reads a scan file."""

    def __call__(self, path: Path, *, progress: Progress = ...) -> Scan:
        """The scan of a file."""


def take_scan(
    folder: ProjectFolder,
    file: Path,
    answers: ScanAnswers,
    *,
    ask: Ask = nobody,
    progress: Progress = silent,
    read: ReadFile = read_scan,
) -> ScanReport:
    """Read a scan, settle its unit and axes with the person, and keep it in the project.

    Args:
        folder: The project.
        file: The scan.
        answers: What the person says beforehand.
        ask: Asks for the rest.
        progress: Told how far it is.
        read: Reads the file; `read_guarded` for one that came from elsewhere.

    Raises:
        UserError: When the file cannot be read, a question stays unanswered (`SCAN-012` unit, `SCAN-013`
            nose), two cars stand in it (`SCAN-036`), or no axes can be found. The project stays as it was.
    """
    opened = folder.open()
    progress("reading the scan", 0.0)
    scan = read(file, progress=progress)
    unit = settle_unit(scan, answers.unit, ask)
    prepared = prepare_scan(scan, unit, progress=progress)
    several = _several_cars(prepared, scan, answers)
    progress("finding the vehicle axes", 0.0)
    record, axes = align(prepared, scan.source_name, unit, answers, ask)
    progress("keeping the scan", 0.0)
    digest = content_hash(file)
    record = replace(record, sha256=digest, file=folder.keep_scan(file, digest))
    save_prepared(prepared, folder.scans / f"{digest[:12]}.cache", cache_key(record))
    project = replace(opened.project, scan=record)
    folder.save(opened, project)
    shell = make_shell(prepared, record.to_vehicle, project.named_places)
    progress("scan taken in", 1.0)
    own = (*scan.findings, *several, *_replaced(opened.project), *(axes.findings if axes else ()))
    return report_on(shell, project, axes, own)


def add_tape(folder: ProjectFolder, distances: Sequence[TapeDistance]) -> None:
    """Record tape distances; one typed again under its name takes the place of the old one."""
    opened = folder.open()
    folder.record(opened, replace(opened.project, tape=(*opened.project.tape, *distances)))


def write_aligned(folder: ProjectFolder, target: Path) -> None:
    """Write the body in vehicle axes as PLY, to find places in with any viewer.

    Raises:
        UserError: `SCAN-014` without a scan, `STORE-002` when it cannot be written.
    """
    project = folder.open().project
    shell = open_whole_shell(folder, project)
    display = display_of(folder, scan_record(project), shell)
    write_whole(target, ply_bytes(display, shell.to_vehicle))


def name_places(folder: ProjectFolder, places: Sequence[NamedPlace]) -> None:
    """Name the regions at places."""
    opened = folder.open()
    folder.save(opened, replace(opened.project, named_places=(*opened.project.named_places, *places)))


def _several_cars(prepared: PreparedScan, scan: Scan, answers: ScanAnswers) -> tuple[Finding, ...]:
    """Two cars in one file stop the search for axes, which could find the plane between them."""
    cars = cars_apart(prepared.tree, spacing_mm=prepared.spacing_mm)
    if not cars:
        return ()
    sizes = " and ".join(" x ".join(f"{side / 1000.0:.2f}" for side in car.size_mm) + " m" for car in cars)
    axes_known = answers.as_given or answers.landmarks
    finding = Finding(
        code="SCAN-036",
        severity=Severity.WARNING if axes_known else Severity.STOP,
        sentence=f"{len(cars)} bodies of the size of a car stand apart in {scan.source_name}: about {sizes}.",
        todo="Cut all but one out of the file where it was made. If they are parts of one car, align by landmarks.",
        objects=(scan.source_name,),
        measured=float(len(cars)),
        limit=1.0,
    )
    if finding.severity is Severity.STOP:
        raise UserError(finding)
    return (finding,)


def _replaced(project: Project) -> tuple[Finding, ...]:
    """That a cage now stands in another scan."""
    count = len(project.cage.members)
    if project.scan is None or not count:
        return ()
    return (
        Finding(
            code="SCAN-038",
            sentence=f"The {count} bars of the cage now stand in another scan, in axes of its own.",
            todo="Check them; 'hoopwright undo' brings the scan before back.",
            measured=float(count),
        ),
    )

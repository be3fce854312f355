"""The project's shell, from the cache or prepared again."""

import hashlib
from pathlib import Path

import numpy as np

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.progress import Progress, silent
from hoopwright.shell.cache import content_hash, load_prepared, save_prepared
from hoopwright.shell.display import DisplayMesh, lighter, load_display, make_display_mesh, save_display
from hoopwright.shell.prepared import PreparedScan, prepare_scan
from hoopwright.shell.readers import read_scan
from hoopwright.shell.shell import Shell, body_as_scan, make_shell
from hoopwright.store import Project, ProjectFolder, ScanRecord


def open_shell(folder: ProjectFolder, project: Project, *, progress: Progress = silent) -> Shell:
    """The shell in the vehicle frame, with the holes of the cage's bars cut in it.

    Raises:
        UserError: `SCAN-014` when the project has no scan; `SCAN-015` when the kept file is gone or is not
            the one that was taken in.
    """
    return cut_open(open_whole_shell(folder, project, progress=progress), project)


def cut_open(whole: Shell, project: Project) -> Shell:
    """A shell as scanned with the holes of the cage's bars cut in it."""
    return cut_for_bars(whole, project.cage).shell


def open_whole_shell(folder: ProjectFolder, project: Project, *, progress: Progress = silent) -> Shell:
    """The shell as scanned, without the holes that are to be cut; raises as `open_shell`."""
    record = scan_record(project)
    prepared = prepared_of(folder, record, progress=progress)
    return make_shell(prepared, record.to_vehicle, project.named_places)


def scan_record(project: Project) -> ScanRecord:
    """The project's scan.

    Raises:
        UserError: `SCAN-014` when there is none.
    """
    if project.scan is None:
        raise UserError(
            Finding(
                code="SCAN-014",
                severity=Severity.STOP,
                sentence=f"Project '{project.name}' has no scan yet.",
                todo="Take one in with 'hoopwright scan PROJECT FILE'.",
            )
        )
    return project.scan


def prepared_of(folder: ProjectFolder, record: ScanRecord, *, progress: Progress = silent) -> PreparedScan:
    """The prepared scan; made again from the kept file when its cache is not there."""
    cache = folder.scans / f"{record.sha256[:12]}.cache"
    prepared = load_prepared(cache, cache_key(record))
    if prepared is not None:
        return prepared
    file = kept_file(folder, record)
    progress("preparing the scan again", 0.0)
    prepared = prepare_scan(read_scan(file, progress=progress), record.unit, progress=progress)
    save_prepared(prepared, cache, cache_key(record))
    return prepared


def display_of(folder: ProjectFolder, record: ScanRecord, shell: Shell) -> DisplayMesh:
    """The light mesh of the body for drawing, from the cache or made from the shell."""
    cache = _display_cache(folder, record, shell)
    kept = load_display(cache)
    if kept is not None:
        return kept
    made = make_display_mesh(body_as_scan(shell), 1.0)
    save_display(made, cache)
    return made


def light_display_of(folder: ProjectFolder, record: ScanRecord, shell: Shell, wanted: int) -> DisplayMesh:
    """A mesh of about `wanted` triangles to have something to see at once; nothing is thinned with care for it."""
    kept = load_display(_display_cache(folder, record, shell))
    if kept is None:
        body = body_as_scan(shell)
        kept = DisplayMesh(points_mm=body.points, triangles=body.triangles)
    return lighter(kept, wanted)


def _display_cache(folder: ProjectFolder, record: ScanRecord, shell: Shell) -> Path:
    axes = hashlib.sha256(
        shell.to_vehicle.rotation.tobytes() + shell.to_vehicle.shift_mm.tobytes()
    ).hexdigest()
    return folder.scans / f"{record.sha256[:12]}-{record.unit}-{axes[:8]}{_holes_stamp(shell)}.display.npz"


def _holes_stamp(shell: Shell) -> str:
    """Tells shells with other holes apart by the metal round them; empty without holes."""
    if not shell.edges:
        return ""
    at_edge = np.isin(shell.prepared.regions.of_triangle, list(shell.edges))
    return f"-{hashlib.sha256(shell.prepared.tree.corners[at_edge].tobytes()).hexdigest()[:8]}"


def kept_file(folder: ProjectFolder, record: ScanRecord) -> Path:
    """The scan as given, proven to be the one that was taken in.

    Raises:
        UserError: `SCAN-015`.
    """
    file = folder.scans / record.file
    if file.is_file() and content_hash(file) == record.sha256:
        return file
    raise UserError(
        Finding(
            code="SCAN-015",
            severity=Severity.STOP,
            sentence=f"The kept scan {record.file} is gone or was changed since {record.source_name} was taken in.",
            todo=f"Take the scan in again with 'hoopwright scan', from the original {record.source_name}.",
            objects=(record.file,),
        )
    )


def cache_key(record: ScanRecord) -> str:
    """What a cache is made from: the file's content and the unit."""
    return f"{record.sha256}:{record.unit}"

"""Laying the scan that a project has in other vehicle axes: turned round, or by landmarks."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Node
from hoopwright.findings import Finding
from hoopwright.jobs.questions import Ask, nobody
from hoopwright.jobs.scan_axes import ScanAnswers, align
from hoopwright.jobs.scan_reports import ScanReport, report_on
from hoopwright.jobs.shells import prepared_of, scan_record
from hoopwright.progress import Progress, silent
from hoopwright.shell.records import ScanLandmark
from hoopwright.shell.shell import make_shell
from hoopwright.store import Project, ProjectFolder, ScanRecord


@dataclass(frozen=True, kw_only=True)
class PickedLandmark:
    """A place picked on the scan as it lies now, and what is known of it on the car.

    Args:
        name: What it is.
        picked_mm: Where it is, in the vehicle axes that the scan has now.
        forward_mm: Known place on the car, or None.
        left_mm: The same.
        up_mm: The same.
        twin: Name of the landmark at the same place on the other side, if any.
    """

    name: str
    picked_mm: Node
    forward_mm: float | None = None
    left_mm: float | None = None
    up_mm: float | None = None
    twin: str | None = None


def align_again(
    folder: ProjectFolder, answers: ScanAnswers, *, ask: Ask = nobody, progress: Progress = silent
) -> ScanReport:
    """Find the axes of the project's scan again with other answers; its unit stays.

    Raises:
        UserError: `SCAN-014` without a scan; `SCAN-013`, `SCAN-016` to `SCAN-024` as for a scan that is taken in.
            The project stays as it was.
    """
    opened = folder.open()
    was = scan_record(opened.project)
    prepared = prepared_of(folder, was, progress=progress)
    progress("finding the vehicle axes", 0.4)
    record, axes = align(prepared, was.source_name, was.unit, answers, ask)
    project = replace(opened.project, scan=replace(record, sha256=was.sha256, file=was.file))
    progress("laying the scan in them", 0.8)
    shell = make_shell(prepared, record.to_vehicle, project.named_places)
    report = report_on(shell, project, axes, (*(axes.findings if axes else ()), *_moved(project)))
    progress("keeping the axes", 1.0)
    folder.save(opened, project)
    return report


def align_by_picked(
    folder: ProjectFolder, picked: Sequence[PickedLandmark], *, progress: Progress = silent
) -> ScanReport:
    """Lay the scan by landmarks that were picked on it as it lies now; raises as `align_again`."""
    record = scan_record(folder.open().project)
    prepared = prepared_of(folder, record, progress=progress)
    back = record.to_vehicle.inverse()
    places = back.points(np.array([one.picked_mm for one in picked], dtype=np.float64).reshape(-1, 3))
    landmarks = tuple(
        ScanLandmark(
            name=one.name,
            scan_mm=(float(at[0]), float(at[1]), float(at[2])),
            forward_mm=one.forward_mm,
            left_mm=one.left_mm,
            up_mm=one.up_mm,
            twin=one.twin,
        )
        # `align` takes the file's offset off, as it does with places read off the file
        for one, at in zip(picked, places + np.asarray(prepared.offset_mm), strict=True)
    )
    return align_again(folder, ScanAnswers(landmarks=landmarks), progress=progress)


def where_it_lies(was: ScanRecord, now: ScanRecord, place_mm: Node) -> Node:
    """A place that was picked on the scan, where the same metal lies since the scan lies in other axes.

    Args:
        was: The scan as it was picked on.
        now: The same scan as it lies now.
        place_mm: The place, in the vehicle axes that it had.
    """
    forward, left, up = now.to_vehicle.points(was.to_vehicle.inverse().points(place_mm))
    return (float(forward), float(left), float(up))


def turn_round(folder: ProjectFolder, *, progress: Progress = silent) -> ScanReport:
    """Let the nose be at the other end of the scan; raises as `align_again`."""
    return _turned(folder, nose=-1.0, up=1.0, progress=progress)


def turn_over(folder: ProjectFolder, *, progress: Progress = silent) -> ScanReport:
    """Let the scan's roof be where its floor was; raises as `align_again`."""
    return _turned(folder, nose=1.0, up=-1.0, progress=progress)


def _turned(folder: ProjectFolder, *, nose: float, up: float, progress: Progress) -> ScanReport:
    rotation = scan_record(folder.open().project).to_vehicle.rotation
    answers = ScanAnswers(nose=_nearest_axis(nose * rotation[0]), up=_nearest_axis(up * rotation[2]))
    return align_again(folder, answers, progress=progress)


def _nearest_axis(direction: np.ndarray) -> str:
    """The scan's own axis nearest to a direction of the scan frame."""
    axis = int(np.argmax(np.abs(direction)))
    return f"{'+' if direction[axis] > 0 else '-'}{'xyz'[axis]}"


def _moved(project: Project) -> tuple[Finding, ...]:
    """That bars, landmarks and tape places stay where they were while the scan moved."""
    cage = project.cage
    count = len(cage.members) + len(cage.landmarks) + len(project.tape_in_force)
    if not count:
        return ()
    return (
        Finding(
            code="SCAN-039",
            sentence=f"The scan lies in other axes now; {len(cage.members)} bars, {len(cage.landmarks)} landmarks and "
            f"the places of {len(project.tape_in_force)} tape distances stayed where they were.",
            todo="Check them, and pick the places of the tape distances again; undo brings the axes before back.",
            measured=float(count),
        ),
    )

"""Starting a project, its limits, its first cage, and the way back."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from hoopwright.bars import Node
from hoopwright.cage import (
    Cage,
    Limits,
)
from hoopwright.cage.landmarks import set_landmarks
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.found_landmarks import with_found
from hoopwright.fitting.layout import FirstLayout, LayoutWishes, lay_out_cage, wanted_landmarks
from hoopwright.jobs.cage_edits import edit_cage
from hoopwright.jobs.shells import open_shell
from hoopwright.progress import Progress, silent
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.folder import Opened


def start_project(folder: ProjectFolder, name: str, limits: Limits) -> None:
    """Start an empty project.

    Raises:
        UserError: `STORE-001` when there is one already; `CAGE-007` for limits that cannot be.
    """
    _check_limits(limits)
    folder.create(Project(name=name, cage=Cage(limits=limits)))


def change_limits(folder: ProjectFolder, limits: Limits) -> None:
    """Hold the cage to other limits; bars stay where they are.

    Raises:
        UserError: `CAGE-007` for limits that cannot be.
    """
    _check_limits(limits)
    edit_cage(folder, lambda cage: replace(cage, limits=limits))


def _check_limits(limits: Limits) -> None:
    if not (0.0 <= limits.gap_mm <= 200.0 and 0.0 <= limits.clamp_mm <= 1000.0):
        raise UserError(
            Finding(
                code="CAGE-007",
                severity=Severity.STOP,
                sentence=f"A gap of {limits.gap_mm:g} mm with a clamp of {limits.clamp_mm:g} mm cannot be.",
                todo="The gap is 0 to 200 mm, the clamp 0 to 1000 mm. Check the unit.",
            )
        )


def lay_out(
    folder: ProjectFolder, landmarks: Mapping[str, Node], wishes: LayoutWishes, *, progress: Progress = silent
) -> FirstLayout:
    """Place a first cage in the project's shell; it takes the place of an empty cage only.

    A landmark that neither the call nor the project gives is looked for in the scan; what was found is told.

    Raises:
        UserError: `CAGE-008` when the cage already has bars; `FIT-002`, `FIT-003`; `MARK-001` for a landmark that
            cannot be; `SCAN-014` without a scan.
    """
    opened = folder.open()
    if opened.project.cage.members:
        raise UserError(
            Finding(
                code="CAGE-008",
                severity=Severity.STOP,
                sentence=f"The cage already has {len(opened.project.cage.members)} bars, which would be lost.",
                todo="Undo them, or start another project.",
            )
        )
    cage, placed = set_landmarks(opened.project.cage, landmarks)
    places = dict(cage.landmarks)
    shell = open_shell(folder, opened.project, progress=progress)
    places, told = with_found(shell, places, wanted_landmarks(wishes))
    wishes = replace(wishes, limits=opened.project.cage.limits)
    try:
        laid = lay_out_cage(shell, places, wishes, drivers=cage.drivers, progress=progress)
    except UserError as stop:
        raise UserError(*stop.findings, *told) from stop
    # landmarks that the layout does not use stay
    whole = replace(laid.cage, landmarks=MappingProxyType({**cage.landmarks, **laid.cage.landmarks}))
    laid = replace(laid, cage=whole, findings=(*placed, *told, *laid.findings))
    folder.save(opened, replace(opened.project, cage=laid.cage))
    return laid


@dataclass(frozen=True, kw_only=True)
class Stepped:
    """Where an undo or redo came to.

    Args:
        step: Place in the history.
        bars_before: How many bars the cage had.
        bars_after: How many it has now.
    """

    step: int
    bars_before: int
    bars_after: int


def undo(folder: ProjectFolder) -> Stepped:
    """Go back one edit."""
    opened = folder.open()
    return _stepped(opened, folder.undo(opened))


def redo(folder: ProjectFolder) -> Stepped:
    """Take an undo back."""
    opened = folder.open()
    return _stepped(opened, folder.redo(opened))


def _stepped(before: Opened, after: Opened) -> Stepped:
    counts = [len(one.project.cage.members) for one in (before, after)]
    return Stepped(step=after.step, bars_before=counts[0], bars_after=counts[1])

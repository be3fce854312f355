"""Landmarks of a project: picked by a person, or found in the scan."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage.landmarks import LEFT_LANDMARKS, OPENING_WORDS, where_to_put
from hoopwright.cage.landmarks import remove_landmarks as without_landmarks
from hoopwright.cage.landmarks import set_landmarks as with_landmarks
from hoopwright.findings import Finding
from hoopwright.fitting.landmark_search import FoundLandmark, search_landmarks
from hoopwright.jobs.shells import open_shell
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder

_FAR_MM = 150.0


@dataclass(frozen=True, kw_only=True)
class KeptLandmark:
    """A landmark of the project.

    Args:
        name: Its name.
        place_mm: Vehicle frame.
        metal_mm: Distance to the nearest metal; None without a scan.
        put: Where a landmark of that name goes; None for a name that no command uses.
    """

    name: str
    place_mm: Node
    metal_mm: float | None
    put: str | None


@dataclass(frozen=True, kw_only=True)
class LandmarkReport:
    """The landmarks of a project.

    Args:
        kept: Those that it has.
        not_set: Where to put those that commands use and that it has not, by name.
        findings: What a person should know.
    """

    kept: tuple[KeptLandmark, ...]
    not_set: Mapping[str, str]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class FindingReport:
    """What the scan gives.

    Args:
        found: By name.
        missing: Why there is none, by name.
        climb_deg: How the sills climb toward the nose; None when no sill shows it.
        picked_mm: How far each lies from the project's own landmark of that name, where it has one.
        stored: Names that were put into the project.
    """

    found: Mapping[str, FoundLandmark]
    missing: Mapping[str, str]
    climb_deg: float | None
    picked_mm: Mapping[str, float]
    stored: tuple[str, ...]


def set_landmarks(
    folder: ProjectFolder, places_mm: Mapping[str, Node], *, progress: Progress = silent
) -> LandmarkReport:
    """Add landmarks, or move those of the same names; one edit that can be undone.

    Raises:
        UserError: `MARK-001` for a name or a place that cannot be.
    """
    opened = folder.open()
    cage, told = with_landmarks(opened.project.cage, places_mm)
    project = replace(opened.project, cage=cage)
    kept = _measured(_shell(folder, project, progress), project, tuple(places_mm))
    folder.save(opened, project)
    return LandmarkReport(kept=kept, not_set=_not_set(project), findings=(*told, *_far(kept)))


def landmarks_of(folder: ProjectFolder, *, progress: Progress = silent) -> LandmarkReport:
    """The landmarks that a project has, and those that it could use."""
    project = folder.open().project
    return landmarks_in(project, _shell(folder, project, progress))


def landmarks_in(project: Project, shell: Shell | None) -> LandmarkReport:
    """The landmarks of a project as it is held, measured against its shell where there is one."""
    kept = _measured(shell, project, tuple(project.cage.landmarks))
    return LandmarkReport(kept=kept, not_set=_not_set(project), findings=_far(kept))


def remove_landmarks(folder: ProjectFolder, names: Sequence[str]) -> None:
    """Take landmarks out.

    Raises:
        UserError: `MARK-004` when there is none of a name.
    """
    opened = folder.open()
    folder.save(opened, replace(opened.project, cage=without_landmarks(opened.project.cage, names)))


def find_landmarks(
    folder: ProjectFolder, *, keep: bool = False, progress: Progress = silent
) -> FindingReport:
    """Look for the landmarks of a first cage in the scan.

    Args:
        folder: The project.
        keep: Store those that are sure and that the project does not have; a picked one is never replaced.
        progress: Told how far it is.

    Raises:
        UserError: `SCAN-014` without a scan.
    """
    opened = folder.open()
    shell = open_shell(folder, opened.project, progress=progress)
    progress("looking for landmarks", 0.5)
    search = search_landmarks(shell)
    picked = opened.project.cage.landmarks
    new = {name: one.place_mm for name, one in search.found.items() if one.sure and name not in picked}
    if keep and new:
        cage, _ = with_landmarks(opened.project.cage, new)
        folder.save(opened, replace(opened.project, cage=cage))
    return FindingReport(
        found=search.found,
        missing=search.missing,
        climb_deg=search.climb_deg,
        picked_mm={
            name: float(np.linalg.norm(np.subtract(one.place_mm, picked[name])))
            for name, one in search.found.items()
            if name in picked
        },
        stored=tuple(new) if keep else (),
    )


def _shell(folder: ProjectFolder, project: Project, progress: Progress) -> Shell | None:
    return None if project.scan is None else open_shell(folder, project, progress=progress)


def _measured(shell: Shell | None, project: Project, names: Sequence[str]) -> tuple[KeptLandmark, ...]:
    places = [project.cage.landmarks[name] for name in names]
    away: list[float | None] = [None] * len(names)
    if shell is not None and names:
        away = [float(one) for one in shell.nearest(np.array(places)).distance_mm]
    return tuple(
        KeptLandmark(name=name, place_mm=place, metal_mm=metal_mm, put=where_to_put(name))
        for name, place, metal_mm in zip(names, places, away, strict=True)
    )


def _not_set(project: Project) -> dict[str, str]:
    wanted = {**LEFT_LANDMARKS, **{f"door_opening_{number}": OPENING_WORDS for number in (1, 2, 3)}}
    return {name: put for name, put in wanted.items() if name not in project.cage.landmarks}


def _far(kept: Sequence[KeptLandmark]) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            code="MARK-002",
            sentence=f"Landmark {one.name} is {one.metal_mm:.0f} mm from any metal of the scan, limit {_FAR_MM:g} mm.",
            todo="Check its place and its unit: forward, left, up in mm unless a unit is typed.",
            objects=(one.name,),
            point_mm=one.place_mm,
            measured=one.metal_mm,
            limit=_FAR_MM,
            unit="mm",
        )
        for one in kept
        if one.metal_mm is not None and one.metal_mm > _FAR_MM
    )

"""What stands under and between the bars: landings and gussets as they come out, and their parts cut from sheet."""

from collections.abc import Container, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.cage import Cage, LandingKind
from hoopwright.findings import Finding, UserError
from hoopwright.geometry import fit_plane
from hoopwright.jobs.gussets import gussets_of
from hoopwright.jobs.landings import land_feet
from hoopwright.jobs.shells import open_shell
from hoopwright.joints import FlatPart
from hoopwright.joints.gusset import GussetLimits, MadeGusset
from hoopwright.joints.landing import FittedLanding, flat_parts_of
from hoopwright.papers.folded_sheet import FoldedSheet, folded_mesh
from hoopwright.papers.picture import Colour
from hoopwright.papers.plate_mesh import prism_mesh
from hoopwright.papers.plate_solids import PlateFace
from hoopwright.progress import Progress, silent
from hoopwright.store import Project, ProjectFolder

PLATE_COLOUR: Colour = (150, 150, 150)


@dataclass(frozen=True, kw_only=True, eq=False)
class SheetMetal:
    """Landings and gussets of the bars that papers are wanted of.

    Args:
        landings: As fitted.
        gussets: As made.
        findings: What a person should know, and why some could not be made.
    """

    landings: tuple[FittedLanding, ...] = ()
    gussets: tuple[MadeGusset, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def parts(self) -> tuple[FlatPart, ...]:
        """What is cut from sheet."""
        return (
            *(part for fitted in self.landings for part in flat_parts_of(fitted)),
            *(gusset.part for gusset in self.gussets),
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class ShownPlate:
    """A plate in the car, as flat faces or as a folded sheet.

    Args:
        name: What is written on the part.
        faces: Outline and way through the sheet of each flat face.
        folded: A sheet that is folded round.
    """

    name: str
    faces: tuple[PlateFace, ...] = ()
    folded: FoldedSheet | None = None


def shown_plates(metal: SheetMetal) -> tuple[ShownPlate, ...]:
    """Landings and gussets as they stand in the car; corners of landings sharp, holes left out."""
    return (*map(_shown_landing, metal.landings), *map(_shown_gusset, metal.gussets))


def surfaces_of(plates: Iterable[ShownPlate]) -> dict[str, NDArray[np.float64]]:
    """Triangles of the closed surface of each plate, shape (k, 3, 3), by what is written on it."""
    surfaces = {}
    for plate in plates:
        meshes = [prism_mesh(face.outline_mm, face.through_mm) for face in plate.faces]
        meshes += [] if plate.folded is None else [folded_mesh(plate.folded)]
        surfaces[plate.name] = np.concatenate([vertices[faces] for vertices, faces in meshes])
    return surfaces


def _shown_landing(fitted: FittedLanding) -> ShownPlate:
    # a plate's planes are those of its side toward the metal, a box's those of its outside
    inward = -1.0 if fitted.landing.kind is LandingKind.BOX else 1.0
    through = inward * fitted.landing.thickness_mm
    return ShownPlate(
        name=f"{fitted.bar_id} foot {fitted.end} {fitted.landing.kind.value}",
        faces=tuple(
            PlateFace(outline_mm=face.outline_mm, through_mm=through * face.plane.normal)
            for face in fitted.faces
        ),
    )


def _shown_gusset(made: MadeGusset) -> ShownPlate:
    if made.folded is not None:
        sheet = FoldedSheet(corners_mm=made.folded.corners_mm, pieces=made.folded.pieces)
        return ShownPlate(name=made.part.name, folded=sheet)
    through = made.gusset.thickness_mm * fit_plane(made.outline_mm)[0].normal
    outline = made.outline_mm - through / 2.0
    return ShownPlate(name=made.part.name, faces=(PlateFace(outline_mm=outline, through_mm=through),))


def sheet_metal(
    folder: ProjectFolder,
    project: Project,
    cage: Cage,
    wanted: Container[str],
    *,
    progress: Progress = silent,
) -> SheetMetal:
    """Everything that is cut from sheet; what cannot be made is told.

    Args:
        folder: The project's folder.
        project: The project.
        cage: The cage as it exists.
        wanted: Bars that papers are wanted of.
        progress: Told how far it is.
    """
    landings, landing_findings = _landings(folder, cage, wanted, progress)
    gussets, gusset_findings = _gussets(folder, project, cage, wanted, progress)
    return SheetMetal(landings=landings, gussets=gussets, findings=(*landing_findings, *gusset_findings))


def _landings(
    folder: ProjectFolder, cage: Cage, wanted: Container[str], progress: Progress
) -> tuple[tuple[FittedLanding, ...], tuple[Finding, ...]]:
    if not cage.landings:
        return (), ()
    try:
        report = land_feet(folder, progress=progress)
    except UserError as error:
        return (), error.findings
    return tuple(one for one in report.fitted if one.bar_id in wanted), report.findings


def _gussets(
    folder: ProjectFolder, project: Project, cage: Cage, wanted: Container[str], progress: Progress
) -> tuple[tuple[MadeGusset, ...], tuple[Finding, ...]]:
    if not cage.gussets:
        return (), ()
    ties = any(one.other is None for one in cage.gussets)
    try:
        shell = open_shell(folder, project, progress=progress) if ties else None
    except UserError as error:
        return (), error.findings
    listed = gussets_of(cage, shell, GussetLimits())
    made = tuple(
        one.made
        for one in listed
        if one.made is not None and (one.gusset.bar_id in wanted or one.gusset.other in wanted)
    )
    return made, tuple(finding for one in listed for finding in one.findings)

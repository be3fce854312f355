"""What stands under and between the bars: landings and gussets as they come out, and their parts cut from sheet."""

from collections.abc import Container, Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.cage import Cage, LandingKind, feet_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.geometry import fit_plane
from hoopwright.jobs.gussets import ListedGusset, gussets_of
from hoopwright.jobs.landings import LandedFoot, land_on
from hoopwright.jobs.shells import cut_open, open_whole_shell
from hoopwright.joints import FlatPart
from hoopwright.joints.gusset import GussetLimits, MadeGusset
from hoopwright.joints.landing import FittedLanding, flat_parts_of
from hoopwright.papers.folded_sheet import FoldedSheet, folded_mesh
from hoopwright.papers.picture import Colour
from hoopwright.papers.plate_mesh import prism_mesh
from hoopwright.papers.plate_solids import PlateFace
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder

PLATE_COLOUR: Colour = (150, 150, 150)


@dataclass(frozen=True, kw_only=True, eq=False)
class SheetMetal:
    """Landings and gussets of the bars that papers are wanted of.

    Args:
        landings: As fitted.
        gussets: As made.
        findings: What a person should know, and why some could not be made.
        feet: Every foot of the cage with its landing as fitted; None where none was fitted.
        listed: Every gusset and tie of the cage, those that cannot be made with why.
    """

    landings: tuple[FittedLanding, ...] = ()
    gussets: tuple[MadeGusset, ...] = ()
    findings: tuple[Finding, ...] = ()
    feet: tuple[LandedFoot, ...] | None = None
    listed: tuple[ListedGusset, ...] = ()

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
    whole: Shell | None = None,
    progress: Progress = silent,
) -> SheetMetal:
    """Everything that is cut from sheet; what cannot be made is told.

    Args:
        folder: The project's folder.
        project: The project.
        cage: The cage as it exists.
        wanted: Bars that papers are wanted of.
        whole: The project's shell without holes, where it is open already.
        progress: Told how far it is.
    """
    needs_shell = cage.landings or any(one.other is None for one in cage.gussets)
    no_shell: tuple[Finding, ...] = ()
    if whole is None and needs_shell:
        try:
            whole = open_whole_shell(folder, project, progress=progress)
        except UserError as error:
            no_shell = tuple(replace(found, severity=Severity.WARNING) for found in error.findings)
    listed = gussets_of(
        cage, None if whole is None else cut_open(whole, project), GussetLimits(), no_shell=no_shell
    )
    report = None
    if cage.landings and whole is not None:
        report = land_on(cut_for_bars(whole, cage).shell, cage, feet_of(cage), progress=progress)
    fitted = () if report is None else report.fitted
    told = report.findings if report is not None else no_shell if cage.landings else ()
    return SheetMetal(
        landings=tuple(one for one in fitted if one.bar_id in wanted),
        gussets=tuple(
            one.made
            for one in listed
            if one.made is not None and (one.gusset.bar_id in wanted or one.gusset.other in wanted)
        ),
        findings=(*told, *(finding for one in listed for finding in one.findings)),
        feet=None if report is None else report.feet,
        listed=listed,
    )

"""The cage as a GLB file to look at."""

import math

import numpy as np

from hoopwright.bars import Bar, EndRim, centreline, hollow_skin
from hoopwright.cage import EndLetter, Member
from hoopwright.geometry import Plane, unit_vector
from hoopwright.jobs.paper_source import MadePapers, PaperSource
from hoopwright.jobs.sheet_metal import PLATE_COLOUR, ShownPlate, shown_plates
from hoopwright.jobs.shells import open_shell
from hoopwright.joints.meet import EndCut
from hoopwright.papers.folded_sheet import folded_mesh
from hoopwright.papers.glb import LookMesh, glb_bytes
from hoopwright.papers.picture import SHELL_COLOUR
from hoopwright.papers.plate_mesh import prism_mesh
from hoopwright.progress import Progress, silent
from hoopwright.shell.display import make_display_mesh
from hoopwright.shell.shell import body_as_scan

_SHELL_TRIANGLES = 60_000
_SHELL_OPACITY = 90
_AROUND = 360


def glb_papers(source: PaperSource, *, progress: Progress = silent) -> MadePapers:
    """The bars as named nodes in the colour of their role, with the shell where it is wanted.

    Raises:
        UserError: `SCAN-...` when the shell is wanted and cannot be opened.
    """
    meshes = [_bar_mesh(source, member) for member in source.wanted]
    meshes += [_plate_mesh(plate) for plate in shown_plates(source.metal)]
    if source.with_shell:
        meshes.append(_shell_mesh(source, progress))
    content = glb_bytes(
        meshes, title=f"{source.project.name} cage", date=source.date, made_from=source.made_from
    )
    name = "-".join(source.only) if source.only else "the-whole-cage"
    return MadePapers(files={f"glb/{name}.glb": content})


def _bar_mesh(source: PaperSource, member: Member) -> LookMesh:
    bar = source.bars[member.member_id]
    skin = hollow_skin(bar, rim_a=_rim(source, bar, "A"), rim_b=_rim(source, bar, "B"))
    return LookMesh(
        name=bar.name,
        vertices_mm=skin.vertices_mm,
        triangles=skin.triangles,
        normals=skin.normals,
        colour=source.colour(member),
        material=member.role.value,
    )


def _rim(source: PaperSource, bar: Bar, end: EndLetter) -> EndRim | None:
    cut, fitted = source.cut(bar.name, end), source.landing(bar.name, end)
    if cut is not None:
        return rim_of(cut)
    return None if fitted is None else sawn_rim(bar, end, fitted.cut.plane)


def _plate_mesh(plate: ShownPlate) -> LookMesh:
    parts = [prism_mesh(face.outline_mm, face.through_mm) for face in plate.faces]
    parts += [] if plate.folded is None else [folded_mesh(plate.folded)]
    firsts = np.cumsum([0, *(len(vertices) for vertices, _ in parts)])
    return LookMesh(
        name=plate.name,
        vertices_mm=np.concatenate([vertices for vertices, _ in parts]),
        triangles=np.concatenate([faces + first for (_, faces), first in zip(parts, firsts, strict=False)]),
        colour=PLATE_COLOUR,
        material="plate",
    )


def rim_of(cut: EndCut) -> EndRim:
    """The cope of an end as the rim of a drawn tube."""
    inward = cut.profile.bridged_mm
    if cut.end == "B":  # a profile counts round its branch's direction, which runs against the travel there
        inward = np.roll(inward[::-1], 1)
    return EndRim(side=cut.branch.datum, inward_mm=inward)


def sawn_rim(bar: Bar, end: EndLetter, plane: Plane) -> EndRim:
    """An end that is sawn in a plane, as the rim of a drawn tube."""
    axis = centreline(bar)
    at = 0.0 if end == "A" else axis.length_mm
    travel = axis.directions_at(at)[0]
    inward = travel if end == "A" else -travel
    side = unit_vector(np.cross(travel, np.eye(3)[int(np.argmin(np.abs(travel)))]))
    turns_rad = np.linspace(0.0, 2.0 * math.pi, _AROUND, endpoint=False)[:, None]
    ring = np.cos(turns_rad) * side + np.sin(turns_rad) * np.cross(travel, side)
    lines = axis.at(at) + bar.tube.od_mm / 2.0 * ring
    return EndRim(side=side, inward_mm=-plane.distance_mm(lines) / float(inward @ plane.normal))


def _shell_mesh(source: PaperSource, progress: Progress) -> LookMesh:
    shell = open_shell(source.folder, source.project, progress=progress)
    progress("thinning the scan for looking", 0.5)
    light = make_display_mesh(body_as_scan(shell), 1.0, wanted=_SHELL_TRIANGLES)
    return LookMesh(
        name="shell",
        vertices_mm=shell.to_vehicle.points(light.points_mm),
        triangles=light.triangles,
        colour=SHELL_COLOUR,
        material="shell",
        opacity=_SHELL_OPACITY,
    )

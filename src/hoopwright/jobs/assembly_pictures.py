"""A picture for every step of an assembly: where the bar comes in, and what is in already."""

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from hoopwright.bars import skin_mesh
from hoopwright.cage import Cage, bar_of
from hoopwright.jobs.assembly import AssemblyReport
from hoopwright.jobs.made_pdf import DrawnFiles, MadePicture, picture_beside, storyboard_of
from hoopwright.jobs.shells import display_of, scan_record
from hoopwright.joints.ways.order import Step
from hoopwright.joints.ways.smooth import motion_mm
from hoopwright.joints.ways.told import opening_words, whence
from hoopwright.joints.ways.way import Way
from hoopwright.papers.picture import SHELL_COLOUR, Colour, CutAway, PaintedMesh, Scene, picture_png
from hoopwright.progress import Progress, silent
from hoopwright.shell.moving import Pose, placed
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder, write_whole

_IN_PLACE: Colour = (0, 114, 178)
_CARRIED: Colour = (213, 94, 0)
_FIRST_GHOST, _LAST_GHOST = (250, 226, 160), (236, 160, 70)
_STANDS_IN: Colour = (120, 128, 134)
_GHOSTS = 6
_ORDER = "assembly"
_NEAR_CAR_MM = 60.0
_DRAWN_TRIANGLES = 240_000
_CAUTIONS = (
    "Rigid bars among scanned metal: nothing springs, nothing unscanned is known. Try each bar dry.",
    "Arithmetic only: the current rule book and the scrutineer decide. Support what is lifted: two people.",
)
_Looking = tuple[float, float, float]
_VIEWS: dict[str, tuple[CutAway, _Looking]] = {
    "door-left": ("left", (-0.35, -0.80, -0.48)),
    "door-right": ("right", (-0.35, 0.80, -0.48)),
    "rear-door-left": ("left", (-0.35, -0.80, -0.48)),
    "rear-door-right": ("right", (-0.35, 0.80, -0.48)),
    "screen": ("left", (-0.45, -0.82, -0.35)),
    "tailgate": ("left", (0.45, -0.82, -0.35)),
}
_FROM_ABOVE: tuple[CutAway, _Looking] = ("top", (0.04, 0.0, -0.99))


def draw_assembly(
    folder: ProjectFolder, report: AssemblyReport, *, date: str, progress: Progress = silent
) -> DrawnFiles:
    """A PNG for every step and one PDF of all, in the project's papers.

    Args:
        folder: The project.
        report: What was found in it.
        date: Day of issue, ISO 8601.
        progress: Told how far it is.

    Raises:
        UserError: `STORE-002` when they cannot be written.
    """
    display = display_of(folder, scan_record(folder.open().project), report.shell)
    every = max(1, len(display.triangles) // _DRAWN_TRIANGLES)
    shell = PaintedMesh(
        vertices_mm=report.shell.to_vehicle.points(display.points_mm),
        triangles=display.triangles[::every],
        colour=SHELL_COLOUR,
    )
    make_folder(folder.papers)
    if report.is_order:
        # steps of an order that is no longer the order
        for old in folder.papers.glob(f"{_ORDER}-[0-9][0-9]-*.png"):
            old.unlink()
    names, pictures = [], []
    for number, step in enumerate(report.steps, start=1):
        progress("drawing steps", number / (len(report.steps) + 1))
        pictures.append(step_picture(report, step, number, shell))
        part = "+".join(step.group)
        name = f"{_ORDER}-{number:02d}-{part}.png" if report.is_order else f"way-{part}.png"
        write_whole(folder.papers / name, pictures[-1].content)
        names.append(f"papers/{name}")
    title = "Order of assembly" if report.is_order else f"Way in of {'+'.join(report.steps[0].group)}"
    whole = f"{_ORDER}.pdf" if report.is_order else f"way-{'+'.join(report.steps[0].group)}.pdf"
    board = storyboard_of(pictures, _CAUTIONS, title=title, date=date)
    write_whole(folder.papers / whole, board.content)
    progress("steps drawn", 1.0)
    return DrawnFiles(files=(*names, f"papers/{whole}"), findings=board.findings)


def step_picture(report: AssemblyReport, step: Step, number: int, shell: PaintedMesh) -> MadePicture:
    """One step as PNG: the bar at its place and on its way, seen from its opening and from above."""
    meshes = tuple(_meshes(report, step))
    views = (_VIEWS.get(step.way.through, _VIEWS["screen"]), _FROM_ABOVE)
    words = (
        f"from the side, {views[0][0]} half of the shell left out",
        "from above, front of the car up the page, roof left out",
    )
    pictures = [
        (
            caption,
            picture_png(
                Scene(shell=shell, bars=meshes, cut_away=cut, looking=looking), width_px=960, height_px=1000
            ),
        )
        for caption, (cut, looking) in zip(words, views, strict=True)
    ]
    return picture_beside(pictures, _heading(report, step, number))


def _heading(report: AssemblyReport, step: Step, number: int) -> list[str]:
    way, name = step.way, "+".join(step.group)
    roles = ", ".join(dict.fromkeys(report.place.cage.member(one).role.value for one in step.group))
    if not way.found:
        return [f"{number}. {name} ({roles}): no way in was found.", "Shown at its place."]
    lines = [
        f"{number}. {name} ({roles}) goes in through {opening_words(way.through)}; to its place it comes {whence(way)}."
    ]
    tight = way.tightest
    if tight is not None:
        near = tight.to or report.region_of(tight.triangle)
        lines.append(
            f"Tightest: {tight.clearance_mm:.1f} mm to {near}, {tight.along_mm:.0f} mm from end A of {tight.name}."
        )
    lines.append("Pale: on its way, first to last. Red-orange: at its place. Blue: in already.")
    return lines


def _meshes(report: AssemblyReport, step: Step) -> Iterator[PaintedMesh]:
    cage = report.place.cage
    for name in step.there:
        yield _skin(cage, name, _IN_PLACE)
    for name in step.group:
        yield _skin(cage, name, _CARRIED if step.way.found else _STANDS_IN)
    shown = _ghosts(report, step.way)
    for number, pose in enumerate(shown):
        share = number / max(1, len(shown) - 1)
        colour = tuple(round(a + share * (b - a)) for a, b in zip(_FIRST_GHOST, _LAST_GHOST, strict=True))
        for name in step.group:
            at_rest = _skin(cage, name, (colour[0], colour[1], colour[2]))
            moved = placed(at_rest.vertices_mm, step.way.carried.body.middle_mm, pose)
            yield PaintedMesh(vertices_mm=moved, triangles=at_rest.triangles, colour=at_rest.colour)


def _skin(cage: Cage, name: str, colour: Colour) -> PaintedMesh:
    skin = skin_mesh(bar_of(cage, name), around=20)
    return PaintedMesh(vertices_mm=skin.vertices_mm, triangles=skin.triangles, colour=colour)


def _ghosts(report: AssemblyReport, way: Way) -> Sequence[Pose]:
    """Poses from where the bar reaches the car to its place, evenly along the way."""
    if not way.found:
        return ()
    body, box = way.carried.body, report.place.around.metal_box

    def is_near(pose: Pose) -> bool:
        places = placed(body.balls[:, :3], body.middle_mm, pose)
        away = np.maximum(np.maximum(box[:3] - places, places - box[3:]), 0.0)
        return float(np.linalg.norm(away, axis=1).min()) < _NEAR_CAR_MM

    first = next((k for k, pose in enumerate(way.fine) if is_near(pose)), 0)
    poses = way.fine[first:]
    gone = np.cumsum([0.0, *(motion_mm(body, a, b) for a, b in itertools.pairwise(poses))])
    wanted = np.linspace(0.0, gone[-1], _GHOSTS + 1)[:-1]
    return [poses[int(np.searchsorted(gone, at))] for at in wanted]

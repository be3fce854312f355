"""Pictures of joints that a torch does not reach all round in place: what is reached, and what is in the way."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar, as_nodes, centreline, skin_mesh
from hoopwright.geometry import Vector, unit_vector
from hoopwright.jobs.made_pdf import DrawnFiles, MadePicture, findings_of, picture_beside
from hoopwright.jobs.reach import ReachReport
from hoopwright.joints.reach import JointReach, SeamReach, Station, When, place_words
from hoopwright.papers.picture import SHELL_COLOUR, PaintedMesh, Scene, picture_png
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder, write_whole

MOST_PICTURES = 40
_NEAR_MM, _SHELL_NEAR_MM = 150.0, 130.0
_BEAD_MM = 3.5
_PIECE_MM = 5.0
_BAR_COLOUR, _OTHER_COLOUR = (120, 126, 132), (86, 180, 233)
# told apart by every kind of colour sight; source as in papers.picture
_REACHED_COLOUR, _SHORT_COLOUR = (0, 158, 115), (213, 94, 0)
_SIZE_PX = (640, 560)


def draw_reach(folder: ProjectFolder, made: ReachReport) -> DrawnFiles:
    """One PNG for each joint that is short in place, in the project's papers.

    Raises:
        UserError: `STORE-002` when they cannot be written.
    """
    short = [joint for joint in made.plan.joints if not joint.in_place.is_whole][:MOST_PICTURES]
    if short:
        make_folder(folder.papers)
    drawn = {
        f"papers/reach-{joint.seam.name.replace('/', '-')}.png": joint_picture(made, joint) for joint in short
    }
    for name, picture in drawn.items():
        write_whole(folder.path / name, picture.content)
    return DrawnFiles(files=tuple(drawn), findings=findings_of(drawn.values()))


def joint_picture(made: ReachReport, joint: JointReach) -> MadePicture:
    """PNG of one joint: in place from where the torch comes and from behind, and where it is welded."""
    here = joint.in_place
    toward = _toward(here)
    views = [
        ("in place, from where the torch comes", _view(made.shell, made.bars, here, -toward)),
        ("in place, from the other side, shell left out", _view(None, made.bars, here, toward)),
    ]
    station: Station | None = {When.LOW: made.plan.low, When.ASIDE: made.plan.aside}.get(joint.when)
    if station is not None:
        there = joint.planned
        rotation, shift = station.place.motion()
        bars = {
            name: bar.with_nodes(bar.nodes @ rotation.T + shift) for name, bar in station.part.bars.items()
        }
        views.append(
            (f"where it is welded, {joint.when.value}; from the same side", _view(None, bars, there, toward))
        )
    ways = ", ".join(f"{name} {degrees:.0f}°" for name, degrees in here.blockers[:2])
    welded = joint.when.value if station is None else place_words(station.place)
    heading = [
        f"Joint {joint.seam.name}: reached {here.share * 100.0:.0f} % in place; welded {welded}: "
        f"{joint.planned.share * 100.0:.0f} %",
        f"green reached, orange not; blue other bars. In the way in place: {ways or 'its own bars'}",
    ]
    return picture_beside(views, heading)


def _toward(reach: SeamReach) -> Vector:
    """From the joint toward where the torch mostly comes from; never straight up or down."""
    good = reach.reached if reach.reached.any() else np.ones(len(reach.reached), dtype=bool)
    mean = reach.seam.bisectors[good].mean(axis=0) + 1e-6 * reach.seam.bisectors[0]
    toward = unit_vector(mean)
    level = float(np.hypot(toward[0], toward[1]))
    return toward if level > 0.2 else unit_vector(toward + 0.35 * np.array([0.8, 0.6, 0.0]))


def _view(shell: Shell | None, bars: dict[str, Bar], reach: SeamReach, looking: Vector) -> bytes:
    middle = reach.seam.middle_mm
    own = [bars[name] for name in reach.seam.bars if name in bars]
    others = [bar for name, bar in bars.items() if name not in reach.seam.bars]
    painted = [
        *_clipped(own, middle, _BAR_COLOUR),
        *_clipped(others, middle, _OTHER_COLOUR),
        *_beads(reach),
    ]
    forward, left, up = (float(x) for x in looking)
    scene = Scene(
        shell=None if shell is None else _metal_near(shell, middle),
        bars=tuple(painted),
        looking=(forward, left, up),
    )
    return picture_png(scene, width_px=_SIZE_PX[0], height_px=_SIZE_PX[1])


def _clipped(bars: Iterable[Bar], middle: Vector, colour: tuple[int, int, int]) -> list[PaintedMesh]:
    """What of each bar lies near a place, cut square to its axis."""
    found = []
    for bar in bars:
        path = centreline(bar)
        along = path.even_distances(_PIECE_MM)
        points = path.at(along)
        near = np.linalg.norm(points - middle, axis=1) < _NEAR_MM
        for run in np.split(np.arange(len(near)), np.flatnonzero(np.diff(near.astype(np.int8))) + 1):
            if near[run[0]] and len(run) > 1:
                piece = replace(bar, nodes_mm=as_nodes(points[run]), clr_mm=1.0)
                skin = skin_mesh(piece, around=28)
                found.append(
                    PaintedMesh(vertices_mm=skin.vertices_mm, triangles=skin.triangles, colour=colour)
                )
    return found


def _metal_near(shell: Shell, middle: Vector) -> PaintedMesh:
    corners = shell.prepared.tree.corners
    at = shell.to_scan.points(middle)
    first = np.abs(corners[:, :3] - at.astype(np.float32)).max(axis=1)
    near = shell.to_vehicle.points(corners[first < _SHELL_NEAR_MM].reshape(-1, 3).astype(np.float64))
    return PaintedMesh(
        vertices_mm=near, triangles=np.arange(len(near), dtype=np.int64).reshape(-1, 3), colour=SHELL_COLOUR
    )


def _beads(reach: SeamReach) -> list[PaintedMesh]:
    """Small eight-sided beads on the seam."""
    axes = np.array([[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]], dtype=np.float64)
    faces = [[a, b, c] for a in (0, 1) for b in (2, 3) for c in (4, 5)]
    painted = []
    for good, colour in ((True, _REACHED_COLOUR), (False, _SHORT_COLOUR)):
        at = reach.seam.points_mm[(reach.reached == good) & ~reach.covered]
        if len(at):
            vertices = (at[:, None] + _BEAD_MM * axes).reshape(-1, 3)
            triangles = (np.array(faces)[None] + 6 * np.arange(len(at))[:, None, None]).reshape(-1, 3)
            painted.append(PaintedMesh(vertices_mm=vertices, triangles=triangles, colour=colour))
    return painted

"""The car as lines and as a shaded picture."""

import numpy as np

from hoopwright.bars import Bar, centreline, skin_mesh
from hoopwright.cage import Cage, bars_of, side_of
from hoopwright.geometry import Plane
from hoopwright.papers.car_lines import CarBar, CarLines
from hoopwright.papers.picture import BAR_COLOURS, SHELL_COLOUR, CutAway, PaintedMesh, Scene, picture_png
from hoopwright.shell.display import DisplayMesh
from hoopwright.shell.sections import section_lines
from hoopwright.shell.shell import Shell

_STATIONS = 6
_DRAWN_EVERY_MM = 15.0
_DRAWN_TRIANGLES = 60_000


def car_lines(cage: Cage, shell: Shell | None) -> CarLines:
    """Sections of the shell and the bars as lines."""
    bars = tuple(
        CarBar(
            bar_id=name,
            title=cage.member(name).role.value,
            side=side_of(bar),
            centreline=_drawn(bar),
            od_mm=bar.tube.od_mm,
        )
        for name, bar in bars_of(cage).items()
    )
    return CarLines(shell=() if shell is None else _sections(shell), bars=bars)


def cage_picture(
    cage: Cage,
    shell: Shell,
    display: DisplayMesh,
    *,
    cut_away: CutAway,
    looking: tuple[float, float, float],
    width_px: int = 1600,
    height_px: int = 1000,
) -> bytes:
    """PNG of the shell with the cage in it."""
    shown = display.triangles[:: max(1, len(display.triangles) // (4 * _DRAWN_TRIANGLES))]
    painted = PaintedMesh(
        vertices_mm=shell.to_vehicle.points(display.points_mm), triangles=shown, colour=SHELL_COLOUR
    )
    roles = list(dict.fromkeys(member.role for member in cage.members))
    bars = []
    for name, bar in bars_of(cage).items():
        skin = skin_mesh(bar, around=20)
        colour = BAR_COLOURS[roles.index(cage.member(name).role) % len(BAR_COLOURS)]
        bars.append(PaintedMesh(vertices_mm=skin.vertices_mm, triangles=skin.triangles, colour=colour))
    scene = Scene(shell=painted, bars=tuple(bars), looking=looking, cut_away=cut_away)
    return picture_png(scene, width_px=width_px, height_px=height_px)


def _drawn(bar: Bar) -> np.ndarray:
    path = centreline(bar)
    return path.at(path.even_distances(_DRAWN_EVERY_MM))


def _sections(shell: Shell) -> tuple[np.ndarray, ...]:
    """The centre plane, two planes along the sides, two level ones and some stations across."""
    low, high = shell.body_box()
    half = (high[1] - low[1]) / 2.0
    planes = [Plane(np.array([0.0, 1.0, 0.0]), share * half) for share in (0.0, 0.75, -0.75)]
    rise = high[2] - low[2]
    planes += [Plane(np.array([0.0, 0.0, 1.0]), float(low[2] + share * rise)) for share in (0.4, 0.75)]
    stations = np.linspace(low[0], high[0], _STATIONS + 2)[1:-1]
    planes += [Plane(np.array([1.0, 0.0, 0.0]), float(station)) for station in stations]
    return tuple(line for plane in planes for line in section_lines(shell, plane))

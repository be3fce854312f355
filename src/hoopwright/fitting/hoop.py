"""Where a main hoop can start from: the inside of the shell in the hoop's plane."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, Node
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.pull import Slide
from hoopwright.geometry import Vector
from hoopwright.shell.shell import Shell
from hoopwright.tubes import TubeSize

_LOWEST_PROBE_MM = 350.0
_STEP_MM = 30.0
_ACROSS_MM = 22.5


@dataclass(frozen=True, kw_only=True)
class HoopPlane:
    """The plane of a hoop, symmetric about the centre plane.

    Args:
        foot_mm: Place of its left foot, vehicle frame.
        lean_deg: Lean from upright; positive leans the top rearward.
    """

    foot_mm: Node
    lean_deg: float

    @property
    def rise(self) -> Vector:
        """Unit direction up the plane."""
        lean_rad = math.radians(self.lean_deg)
        return np.array([-math.sin(lean_rad), 0.0, math.cos(lean_rad)])

    @property
    def normal(self) -> Node:
        """Unit normal, forward."""
        lean_rad = math.radians(self.lean_deg)
        return math.cos(lean_rad), 0.0, math.sin(lean_rad)

    def at(self, left_mm: float, height_mm: float) -> Vector:
        """The place at a left and a height above the foot, along the plane."""
        start = np.array([self.foot_mm[0], 0.0, self.foot_mm[2]])
        place: Vector = start + height_mm * self.rise + np.array([0.0, left_mm, 0.0])
        return place


def hoop_start(
    shell: Shell, plane: HoopPlane, *, tube: TubeSize, clr_mm: float, room_mm: float, name: str
) -> Bar:
    """A symmetric hoop of four bends well inside the shell.

    Args:
        shell: The scan.
        plane: The hoop's plane.
        tube: Its tube.
        clr_mm: Its radius.
        room_mm: Distance from the metal to the centreline to start with.
        name: Its name.

    Raises:
        UserError: `FIT-002` when no roof is found over the hoop.
    """
    roof_mm = _roof_height(shell, plane)
    top = roof_mm - room_mm - 20.0
    knee_mm = 0.56 * top
    knee = min(_half_width(shell, plane, knee_mm) - room_mm - 10.0, abs(plane.foot_mm[1]) + 60.0)
    shoulder = min(_half_width(shell, plane, top - 60.0) - room_mm - 40.0, knee - 40.0)
    lefts = [abs(plane.foot_mm[1]), knee, shoulder]
    places = [plane.at(left, height) for left, height in zip(lefts, (0.0, knee_mm, top), strict=True)]
    mirror = np.array([1.0, -1.0, 1.0])
    nodes = [*places, *(place * mirror for place in reversed(places))]
    return Bar(name=name, nodes_mm=(), clr_mm=clr_mm, tube=tube).with_nodes(np.array(nodes))


def hoop_slides(plane: HoopPlane) -> tuple[Slide, ...]:
    """The ways in which a hoop may change and stay in its plane and symmetric."""
    rise = tuple(plane.rise)
    return (
        _pair(0, (0.0, 1.0, 0.0), low=-40.0, high=40.0),
        _pair(1, (0.0, 1.0, 0.0)),
        _pair(1, rise),
        _pair(2, (0.0, 1.0, 0.0)),
        _pair(2, rise),
    )


def _pair(index: int, direction: tuple[float, ...], low: float = -400.0, high: float = 400.0) -> Slide:
    """A node and its twin on the other side."""
    forward, left, up = direction
    moves = [(0.0, 0.0, 0.0)] * 6
    moves[index], moves[5 - index] = (forward, left, up), (forward, -left, up)
    return Slide(directions=tuple(moves), low_mm=low, high_mm=high)


def _roof_height(shell: Shell, plane: HoopPlane) -> float:
    """Lowest roof metal over the middle of the hoop, as height along the plane."""
    lefts = np.arange(-400.0, 401.0, 40.0)
    starts = np.array([plane.at(left, _LOWEST_PROBE_MM + 250.0) for left in lefts])
    shifts = np.array([[-_ACROSS_MM, 0.0, 0.0], [0.0, 0.0, 0.0], [_ACROSS_MM, 0.0, 0.0]])
    hits = shell.first_hits((starts[:, None] + shifts).reshape(-1, 3), plane.rise)
    seen = hits.distance_mm[np.isfinite(hits.distance_mm)]
    if not len(seen):
        raise UserError(
            Finding(
                code="FIT-002",
                severity=Severity.STOP,
                sentence=f"No scanned roof was found over the main hoop at forward {plane.foot_mm[0]:.0f} mm.",
                todo="Check the place of the hoop foot and its lean, and which way is up in the scan.",
                point_mm=plane.foot_mm,
            )
        )
    return float(np.quantile(seen, 0.05)) + _LOWEST_PROBE_MM + 250.0


def _half_width(shell: Shell, plane: HoopPlane, height_mm: float) -> float:
    """Smallest distance from the centre plane to side metal about a height, or to the shell's outline."""
    starts = np.array([plane.at(0.0, height_mm + step) for step in (-_STEP_MM, 0.0, _STEP_MM)])
    shifts = np.array([[-_ACROSS_MM, 0.0, 0.0], [0.0, 0.0, 0.0], [_ACROSS_MM, 0.0, 0.0]])
    starts = (starts[:, None] + shifts).reshape(-1, 3)
    sides = np.repeat([[0.0, 1.0, 0.0], [0.0, -1.0, 0.0]], len(starts), axis=0)
    seen = float(shell.first_hits(np.concatenate([starts, starts]), sides).distance_mm.min())
    return min(seen, shell.envelope.half_width_mm(float(starts[0, 0])))

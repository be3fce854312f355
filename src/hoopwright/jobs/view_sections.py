"""A section through the shell and the bars: lines for the picture, and a flat drawing with the gaps."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, Node, as_node, centreline, check_shape, skin_mesh
from hoopwright.cage import Cage, bar_of, bars_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.geometry import FilletedPath, Plane, Points, Vector
from hoopwright.geometry.planes import fit_plane
from hoopwright.papers.section_page import SectionGap, section_page
from hoopwright.papers.svg import svg_text
from hoopwright.shell.clearance import judged_stretch
from hoopwright.shell.sections import mesh_outline, section_lines
from hoopwright.shell.shell import Shell
from hoopwright.units import LengthUnit

_STEP_MM = 5.0
_NEAR_MM = 150.0
_IN_PLANE_MM = 5.0
_AROUND = 48
_SAME_MM = 40.0


@dataclass(frozen=True, kw_only=True, eq=False)
class GapInSection:
    """The gap of a bar where a section cuts it.

    Args:
        bar_id: The bar.
        gap_mm: To the nearest metal, wherever that lies.
        axis_mm: Place on its axis, vehicle frame.
        metal_mm: The nearest metal.
        in_plane: Whether that metal lies in the section, within 5 mm.
    """

    bar_id: str
    gap_mm: float
    axis_mm: Node
    metal_mm: Node
    in_plane: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class Section:
    """A section.

    Args:
        title: What it goes through.
        normal: Of its plane.
        place_mm: A place in its plane.
        shell_mm: Lines of the body, pieces under 80 mm left out; each of shape (n, 3), vehicle frame.
        bars_mm: Outlines of the bars that it cuts, by bar.
        gaps: Gaps of bars where it cuts them, the smallest first.
        drawing: The same flat, as an SVG.
    """

    title: str
    normal: Node
    place_mm: Node
    shell_mm: tuple[Points, ...]
    bars_mm: tuple[tuple[str, Points], ...]
    gaps: tuple[GapInSection, ...]
    drawing: str


def section_at_station(
    cage: Cage, shell: Shell | None, forward_mm: float, unit: LengthUnit = "mm"
) -> Section:
    """A section square to the car at a station.

    Args:
        cage: The cage.
        shell: With the holes of the bars cut in it, or None.
        forward_mm: The station.
        unit: Of the lengths on the drawing.
    """
    plane = Plane.through((forward_mm, 0.0, 0.0), (1.0, 0.0, 0.0))
    return _section(cage, shell, plane, f"at forward {forward_mm:.0f} mm, seen from the front", unit, None)


def section_of_bar(cage: Cage, shell: Shell | None, bar_id: str, unit: LengthUnit = "mm") -> Section:
    """A section in the plane of a bar; of a straight one, the upright plane through it.

    Args:
        cage: The cage.
        shell: With the holes of the bars cut in it, or None.
        bar_id: The bar.
        unit: Of the lengths on the drawing.

    Raises:
        UserError: `CAGE-001`; `WEB-060` for a bar whose bends do not lie in one plane.
    """
    nodes = bar_of(cage, bar_id).nodes
    if len(nodes) == 2:
        run = nodes[1] - nodes[0]
        across = np.cross(run, (0.0, 0.0, 1.0))
        plane = Plane.through(nodes[0], across if np.linalg.norm(across) > 1.0 else (1.0, 0.0, 0.0))
    else:
        plane, off_mm = fit_plane(nodes)
        if off_mm > _IN_PLANE_MM:
            raise UserError(
                Finding(
                    code="WEB-060",
                    severity=Severity.STOP,
                    sentence=f"The bends of bar {bar_id} do not lie in one plane: a node lies {off_mm:.0f} mm off it.",
                    todo="Look at sections at stations along it.",
                    objects=(bar_id,),
                    measured=off_mm,
                    limit=_IN_PLANE_MM,
                    unit="mm",
                )
            )
    return _section(cage, shell, plane, f"in the plane of {bar_id}", unit, bar_id)


def _section(
    cage: Cage, shell: Shell | None, plane: Plane, title: str, unit: LengthUnit, own: str | None
) -> Section:
    bars = {name: bar for name, bar in bars_of(cage).items() if not stopping(check_shape(bar))}
    outlines = [(name, line) for name, bar in bars.items() for line in _outline(bar, plane)]
    lines = () if shell is None else section_lines(shell, plane)
    gaps: list[GapInSection] = []
    if shell is not None:
        for name, bar in bars.items():
            member = cage.member(name)
            landings = (member.end_a.landing_mm, member.end_b.landing_mm)
            gaps += _gaps(shell, bar, landings, plane, lies_in_it=name == own)
    gaps.sort(key=lambda gap: gap.gap_mm)
    across, upward = _sheet_axes(plane)

    def flat(points: Points) -> Points:
        return np.stack([points @ across, points @ upward], axis=1)

    page = section_page(
        [flat(line) for line in lines],
        [(name, flat(line)) for name, line in outlines],
        [
            SectionGap(
                name=gap.bar_id,
                gap_mm=gap.gap_mm,
                axis_mm=tuple(flat(np.array([gap.axis_mm]))[0]),
                metal_mm=tuple(flat(np.array([gap.metal_mm]))[0]) if gap.in_plane else None,
            )
            for gap in gaps
        ],
        title=f"Section {title}",
        unit=unit,
    )
    return Section(
        title=title,
        normal=as_node(plane.normal),
        place_mm=as_node(plane.normal * plane.offset_mm),
        shell_mm=lines,
        bars_mm=tuple(outlines),
        gaps=tuple(gaps),
        drawing=svg_text(page),
    )


def _outline(bar: Bar, plane: Plane) -> tuple[Points, ...]:
    mesh = skin_mesh(bar, around=_AROUND, arc_step_deg=2.0)
    return mesh_outline(mesh.vertices_mm[mesh.triangles], plane)


def _sheet_axes(plane: Plane) -> tuple[Vector, Vector]:
    """Right and up on the drawing: the car's left to the right, as from its front; a side view with the front right."""
    up = np.array([0.0, 0.0, 1.0])
    upward = up - (up @ plane.normal) * plane.normal
    if np.linalg.norm(upward) < 0.3:
        upward = np.array([1.0, 0.0, 0.0]) - plane.normal[0] * plane.normal
    upward /= np.linalg.norm(upward)
    across = np.cross(upward, plane.normal)
    wanted = np.array([1.0, 0.0, 0.0]) if abs(plane.normal[0]) < 0.7 else np.array([0.0, 1.0, 0.0])
    return (across if across @ wanted >= 0.0 else -across), upward


def _gaps(
    shell: Shell, bar: Bar, landings_mm: tuple[float, float], plane: Plane, *, lies_in_it: bool
) -> list[GapInSection]:
    """Where the axis goes through the plane; where a bar lies in it, where the gap is smallest between its bends."""
    path = centreline(bar)
    low, high = judged_stretch(path, landings_mm)
    along = np.linspace(low, high, max(2, int((high - low) / _STEP_MM)))
    side = plane.distance_mm(path.at(along))
    if lies_in_it or np.abs(side).max() < _IN_PLANE_MM:
        return _smallest_of_pieces(shell, bar, path, (low, high), plane)
    places = np.array(
        [
            along[k] + (along[k + 1] - along[k]) * side[k] / (side[k] - side[k + 1])
            for k in np.flatnonzero((side[:-1] < 0.0) != (side[1:] < 0.0))
        ]
    )
    return _measured(shell, bar, path, places, plane)


def _smallest_of_pieces(
    shell: Shell, bar: Bar, path: FilletedPath, stretch_mm: tuple[float, float], plane: Plane
) -> list[GapInSection]:
    starts = path.starts_mm
    places = []
    for k, piece in enumerate(path.pieces):
        first, last = max(float(starts[k]), stretch_mm[0]), min(float(starts[k + 1]), stretch_mm[1])
        if last - first < 1.0 or piece.length_mm < 1.0:
            continue
        along = np.linspace(first, last, max(3, int((last - first) / _STEP_MM)))
        places.append(float(along[int(np.argmin(shell.nearest(path.at(along)).distance_mm))]))
    found = sorted(_measured(shell, bar, path, np.array(places), plane), key=lambda gap: gap.gap_mm)
    kept: list[GapInSection] = []
    for gap in found:
        # where a straight meets its bend both are nearest at the same place
        if all(math.dist(gap.axis_mm, other.axis_mm) > _SAME_MM for other in kept):
            kept.append(gap)
    return kept


def _measured(
    shell: Shell, bar: Bar, path: FilletedPath, along_mm: Vector, plane: Plane
) -> list[GapInSection]:
    if not len(along_mm):
        return []
    points = path.at(along_mm)
    found = shell.nearest(points)
    return [
        GapInSection(
            bar_id=bar.name,
            gap_mm=float(distance - bar.tube.od_mm / 2.0),
            axis_mm=as_node(point),
            metal_mm=as_node(metal),
            in_plane=bool(abs(plane.distance_mm(metal)) <= _IN_PLANE_MM),
        )
        for point, metal, distance in zip(points, found.place_mm, found.distance_mm, strict=True)
        if distance - bar.tube.od_mm / 2.0 <= _NEAR_MM
    ]

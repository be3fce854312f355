"""Bars as true solids, hollow, their ends cut by the outside of the bars that they end on, or sawn."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.findings import Finding
from hoopwright.geometry import Arc, FilletedPath, Line, Plane, Vector, unit_vector
from hoopwright.papers.cut_line import CutLine, beyond_line
from hoopwright.papers.kernel import cut_solids, is_valid, prism, require_kernel, swept_tube, volume_mm3

_GROWN_MM = (0.0, 0.001, 0.01)
"""The header is tried as it is, then by so much thicker: two tubes of one diameter touch along their cope."""
_TOUCHED_MM3 = 1.0
_SECOND_PIECE_SHARE = 0.5
_SHALLOWEST_SINE = 0.15
_LEAST_SINE = math.sin(math.radians(5.0))
"""Under 5° a cope is not cut on paper either."""
_SAMPLED_MM = 0.5
_PAST_PLANE_MM = 2.0


@dataclass(frozen=True, kw_only=True)
class SolidBar:
    """A bar that a solid is wanted of.

    Args:
        bar: The bar, up to the axes of what it ends on.
        cut_a: Bars that its end A is coped to, by name.
        cut_b: Bars that its end B is coped to.
        saw_a: Plane that its end A is sawn in, the normal toward the bar; None is square at its drawn end.
        saw_b: The same for end B.
        gap_a_mm: Root gap that is left between end A and what it is coped to.
        gap_b_mm: The same for end B.
        line_a: The cut of end A where it does not follow its round headers through the wall; in place of `cut_a`.
        line_b: The same for end B.
    """

    bar: Bar
    cut_a: tuple[str, ...] = ()
    cut_b: tuple[str, ...] = ()
    saw_a: Plane | None = None
    saw_b: Plane | None = None
    gap_a_mm: float = 0.0
    gap_b_mm: float = 0.0
    line_a: CutLine | None = None
    line_b: CutLine | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class TubeSolid:
    """A tube as a solid.

    Args:
        name: Of the bar.
        shape: The kernel's solid, vehicle frame, mm.
        volume_mm3: Of its steel.
        findings: Copes that could not be cut.
    """

    name: str
    shape: Any
    volume_mm3: float
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True, eq=False)
class _EndCut:
    """One end against one thing: how far the tube is drawn for it, and the solid that cuts it.

    Args:
        end: Which end.
        to: What it is cut to, in words.
        beyond_mm: From the drawn end outward along the axis to where the tube is drawn.
        depth_mm: More than the cut can be deep; 0 where it is not to be cut.
        tool: The solid, so much thicker.
    """

    end: Literal["A", "B"]
    to: str
    beyond_mm: float
    depth_mm: float
    tool: Callable[[float], Any]


def tube_solid(wanted: SolidBar, others: Mapping[str, Bar]) -> TubeSolid:
    """The solid of one bar, coped.

    A cope that cannot be cut leaves its end square, with a finding.

    Args:
        wanted: The bar, and what its ends are cut to.
        others: The bars that it is cut to, by name.

    Raises:
        UserError: `FILE-101` without the kernel.
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    require_kernel()
    bar, axis = wanted.bar, centreline(wanted.bar)
    cuts = [*_cuts_of(wanted, axis, "A", others), *_cuts_of(wanted, axis, "B", others)]
    missed: list[_EndCut] = []
    while True:
        shape, failed = _all_coped(bar, _drawn_for(axis, cuts), cuts)
        if failed is None:
            break
        # the end is not drawn for a cope that it does not get
        missed.append(failed)
        cuts.remove(failed)
    findings = tuple(_not_cut(bar, cut) for cut in missed)
    return TubeSolid(name=bar.name, shape=shape, volume_mm3=volume_mm3(shape), findings=findings)


def _cuts_of(
    wanted: SolidBar, axis: FilletedPath, end: Literal["A", "B"], others: Mapping[str, Bar]
) -> list[_EndCut]:
    bar = wanted.bar
    names, saw, gap_mm, line = (
        (wanted.cut_a, wanted.saw_a, wanted.gap_a_mm, wanted.line_a)
        if end == "A"
        else (wanted.cut_b, wanted.saw_b, wanted.gap_b_mm, wanted.line_b)
    )
    cuts = (
        [_header_cut(bar, axis, end, others[name], gap_mm) for name in names]
        if line is None
        else [_line_cut(bar, axis, end, line, names)]
    )
    return cuts if saw is None else [*cuts, _saw_cut(bar, axis, end, saw)]


def _line_cut(
    bar: Bar, axis: FilletedPath, end: Literal["A", "B"], line: CutLine, names: tuple[str, ...]
) -> _EndCut:
    radii = (bar.tube.inside_mm / 2.0, bar.tube.od_mm / 2.0)
    return _EndCut(
        end=end,
        to=" and ".join(names),
        beyond_mm=line.beyond_mm,
        depth_mm=line.depth_mm,
        tool=lambda _grown_mm: beyond_line(line, axis, end, radii),
    )


def _all_coped(bar: Bar, axis: FilletedPath, cuts: list[_EndCut]) -> tuple[Any, _EndCut | None]:
    """The tube along an axis with its cuts, and the first of them that cannot be made."""
    shape = swept_tube(axis, bar.tube.od_mm, bar.tube.inside_mm)
    for cut in cuts:
        coped = _coped(shape, bar, cut)
        if coped is None:
            return shape, cut
        shape = coped
    return shape, None


def _header_cut(bar: Bar, axis: FilletedPath, end: Literal["A", "B"], header: Bar, gap_mm: float) -> _EndCut:
    """Where the end's straight, drawn on, comes nearest to the header's axis; the header's part round it."""
    place, outward = _end_of(axis, end)
    header_axis = centreline(header)
    reach = (bar.tube.od_mm + header.tube.od_mm) / 2.0
    last = axis.pieces[0 if end == "A" else -1].length_mm
    steps = np.arange(-min(last, 2.0 * reach), 2.0 * reach, _SAMPLED_MM)
    lying = place + np.multiply.outer(steps, outward)
    apart = np.array([header_axis.distance_to_mm(one) for one in lying])
    nearest = int(np.argmin(apart))
    along = header_axis.nearest_mm(lying[nearest])
    sine = float(np.linalg.norm(np.cross(outward, header_axis.directions_at(along)[0])))
    round_mm = header.tube.od_mm + reach / max(sine, _SHALLOWEST_SINE)
    window = part_of_path(header_axis, along - round_mm, along + round_mm)
    return _EndCut(
        end=end,
        to=header.name,
        beyond_mm=float(steps[nearest]),
        depth_mm=round_mm if sine > _LEAST_SINE else 0.0,
        tool=lambda grown_mm: swept_tube(window, header.tube.od_mm + 2.0 * (gap_mm + grown_mm)),
    )


def _end_of(axis: FilletedPath, end: Literal["A", "B"]) -> tuple[Vector, Vector]:
    """The drawn end, and the unit direction out of it."""
    at = 0.0 if end == "A" else axis.length_mm
    return axis.at(at)[0], axis.directions_at(at)[0] * (-1.0 if end == "A" else 1.0)


def _saw_cut(bar: Bar, axis: FilletedPath, end: Literal["A", "B"], plane: Plane) -> _EndCut:
    """A straight saw cut: the tube is drawn past the plane all round, and what is beyond it is cut off."""
    place, outward = _end_of(axis, end)
    slope = max(-float(outward @ plane.normal), _SHALLOWEST_SINE)
    hit = float(plane.distance_mm(place[None])[0]) / slope
    across = bar.tube.od_mm / slope
    middle = plane.nearest((place + hit * outward)[None])[0]
    side = unit_vector(np.cross(plane.normal, np.eye(3)[int(np.argmin(np.abs(plane.normal)))]))
    other = np.cross(plane.normal, side)
    corners = middle + across * np.array([side + other, other - side, -side - other, side - other])
    return _EndCut(
        end=end,
        to="its landing",
        beyond_mm=hit + bar.tube.od_mm / 2.0 * math.sqrt(max(0.0, 1.0 - slope**2)) / slope + _PAST_PLANE_MM,
        depth_mm=3.0 * across,
        tool=lambda _grown_mm: prism(corners, -3.0 * across * plane.normal),
    )


def _drawn_for(axis: FilletedPath, cuts: list[_EndCut]) -> FilletedPath:
    """The axis with its end straights up to the farthest header that they are cut to."""
    ends = {end: max((cut.beyond_mm for cut in cuts if cut.end == end), default=0.0) for end in ("A", "B")}
    return part_of_path(axis, -ends["A"], axis.length_mm + ends["B"])


def part_of_path(path: FilletedPath, from_mm: float, to_mm: float) -> FilletedPath:
    """The part of a path between two distances along it; beyond its ends the end straights go on."""
    pieces: list[Line | Arc] = []
    starts = path.starts_mm
    last = len(path.pieces) - 1
    for index, piece in enumerate(path.pieces):
        low = from_mm if index == 0 else max(from_mm, float(starts[index]))
        high = to_mm if index == last else min(to_mm, float(starts[index + 1]))
        if high > low:
            pieces.append(_part_of_piece(piece, low - float(starts[index]), high - float(starts[index])))
    return FilletedPath(tuple(pieces))


def _part_of_piece(piece: Line | Arc, from_mm: float, to_mm: float) -> Line | Arc:
    at = np.array([from_mm])
    start, direction = piece.at(at)[0], np.array(piece.direction_at(at)[0])
    if isinstance(piece, Line):
        return Line(start, direction, to_mm - from_mm)
    outward: Vector = (start - piece.centre_mm) / piece.radius_mm
    turned_deg = math.degrees((to_mm - from_mm) / piece.radius_mm)
    return Arc(piece.centre_mm, outward, direction, piece.radius_mm, turned_deg)


def _coped(shape: Any, bar: Bar, cut: _EndCut) -> Any | None:
    """The largest piece outside the header, or None where the kernel makes nothing good of it."""
    before = volume_mm3(shape)
    most = math.pi / 4.0 * (bar.tube.od_mm**2 - bar.tube.inside_mm**2) * 2.0 * cut.depth_mm
    for grown in _GROWN_MM:
        pieces = sorted(
            ((volume_mm3(one), one) for one in cut_solids(shape, cut.tool(grown)) if is_valid(one)),
            key=lambda piece: -piece[0],
        )
        if len(pieces) > 1 and pieces[1][0] > _SECOND_PIECE_SHARE * pieces[0][0]:
            continue  # cut in two: a bar that runs along its header or through it
        if pieces and _TOUCHED_MM3 < before - pieces[0][0] < most:
            return pieces[0][1]
    return None


def _not_cut(bar: Bar, cut: _EndCut) -> Finding:
    forward, left, up = bar.nodes_mm[0 if cut.end == "A" else -1]
    return Finding(
        code="FILE-102",
        sentence=f"Bar {bar.name}: its end {cut.end} could not be cut to {cut.to} as a solid; it stands "
        "there with a square end.",
        todo=f"See that end {cut.end} meets {cut.to} with 'hoopwright check'; the cope on paper does not "
        "hang on the solid.",
        objects=(bar.name, cut.to),
        point_mm=(forward, left, up),
    )

"""The profile of a branch that is cut to one header or several."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.findings import Finding, UserError
from hoopwright.geometry import Vector, signed_angle_about_deg
from hoopwright.joints.cope.cautions import cautions
from hoopwright.joints.cope.cutting import Cut, Scene, scene_of
from hoopwright.joints.cope.extremes import greatest, smallest
from hoopwright.joints.cope.faults import angle_faults, faults, missing_all
from hoopwright.joints.cope.meeting import Meeting, meeting
from hoopwright.joints.cope.overhang import overhang_mm, passing
from hoopwright.joints.cope.tubes import Branch, Header

CutKind = Literal["outside", "square", "radial"]
"""How the wall is cut.

- `outside`: the outside skin alone counts, as for a cut that follows the header through the wall.
- `square`: straight in through the wall at each generator, at the farther of what outside and inside skin need, so that
  nothing stands into a header (the wall between its skins by at most 0.06 mm: 2.5 mm of wall at 30°).
- `radial`: straight in, at what the inside skin needs, as in fitters' charts: the inside edge touches all round, and
  round the heel the outside is bevelled afterwards.
"""
_FULL_GRID = 360


@dataclass(frozen=True, kw_only=True, eq=False)
class CopeProfile:
    """Where a branch is cut, generator by generator.

    Lengths count along the branch from its origin, positive from the headers into the branch. Angles count round the
    branch from its datum line, right-hand rule about its direction.

    Args:
        around_deg: Generators in even steps from 0, without a closing one, shape (n,).
        along_mm: Where each is cut; NaN where it is not; shape (n,).
        outside_mm: Where the outside skin alone would be cut; NaN where it is not; shape (n,).
        bridged_mm: The same as `along_mm`, and where a generator is not cut, the place at which it passes nearest to a
            header: a line without gaps, for a wrap; shape (n,).
        header_index: Which header cuts each generator, -1 where none does; shape (n,).
        cut: How the wall is cut.
        depth_mm: Greatest less smallest length over the whole circumference, between the generators too.
        tip_mm: The smallest length: the longest point of the branch.
        tip_deg: Where round the branch that is.
        throat_mm: The greatest length: the deepest place of the cope.
        throat_deg: Where round the branch that is.
        heel_deg: Where the heel is, the acute side on the first header.
        angle_deg: Between branch and first header, 0 to 90.
        meetings: How each header lies to the branch, in their order.
        overhang_mm: How far the branch stands out past all headers; 0 where it does not.
        findings: What a person should know.
    """

    around_deg: Vector
    along_mm: Vector
    outside_mm: Vector
    bridged_mm: Vector
    header_index: NDArray[np.intp]
    cut: CutKind
    depth_mm: float
    tip_mm: float
    tip_deg: float
    throat_mm: float
    throat_deg: float
    heel_deg: float
    angle_deg: float
    meetings: tuple[Meeting, ...]
    overhang_mm: float
    findings: tuple[Finding, ...]


def cope_profile(
    branch: Branch, headers: Sequence[Header], *, points: int = _FULL_GRID, cut: CutKind = "outside"
) -> CopeProfile:
    """The profile of a branch cut to headers.

    What is kept of the branch is what lies outside every header and hangs together with its body, so each generator
    ends at the farthest place at which a header of this joint takes it.

    Args:
        branch: The end that is cut.
        headers: One or more; heel and angle are those of the first.
        points: How many generators.
        cut: How the wall is cut; all but `outside` need it.

    Raises:
        UserError: `COPE-001` to `COPE-003`, `COPE-007`, `COPE-012`, `COPE-013`, `TUBE-001`.

    Source: the quadratic of a line with a cylinder, and the roots of a line with a torus. Fitters' charts on inside
        diameter of the branch and outside diameter of the header, cut radially: W. V. Graves, The Pipe Fitters Blue
        Book.
    """
    _stop_on(faults(branch, headers, points=points, cut=cut))
    meetings = tuple(meeting(branch, header) for header in headers)
    _stop_on(angle_faults(branch, headers, meetings))
    around = np.arange(points) * 360.0 / points
    grid = around if points >= _FULL_GRID else np.arange(_FULL_GRID, dtype=np.float64)
    scene = scene_of(branch, headers, meetings, grid)
    if all(taken is None for taken in scene.ranges_mm):
        raise UserError(missing_all(branch, headers, meetings))
    along_at = along_by(scene, cut)
    whole = scene.on_grid
    outside = whole if grid is around else scene.cut(around, branch.od_mm / 2.0)
    along = outside.along_mm if cut == "outside" else along_at(around)
    whole_along = along if grid is around else along_at(grid)
    tip_mm, tip_deg = smallest(along_at, grid, whole_along)
    throat_mm, throat_deg = greatest(along_at, grid, whole_along)
    uncut_deg = np.union1d(grid[np.isnan(whole.along_mm)], around[np.isnan(along)])
    past, passed_at = passing(scene, uncut_deg)
    over_mm = overhang_mm(scene, grid, _on_grid(grid, whole, uncut_deg, past))
    heel_deg = _from_datum_deg(branch, meetings[0].heel)
    return CopeProfile(
        around_deg=around,
        along_mm=along,
        outside_mm=outside.along_mm,
        bridged_mm=_bridged(along, around, uncut_deg, passed_at),
        header_index=outside.header,
        cut=cut,
        depth_mm=throat_mm - tip_mm,
        tip_mm=tip_mm,
        tip_deg=tip_deg % 360.0,
        throat_mm=throat_mm,
        throat_deg=throat_deg % 360.0,
        heel_deg=heel_deg,
        angle_deg=meetings[0].angle_deg,
        meetings=meetings,
        overhang_mm=over_mm,
        findings=cautions(scene, meetings, grid, whole, over_mm),
    )


def along_by(scene: Scene, cut: CutKind) -> Callable[[ArrayLike], Vector]:
    """The length at any generators, by the way in which the wall is cut."""
    branch = scene.branch
    outside_mm = branch.od_mm / 2.0
    if cut == "outside" or branch.wall_mm is None:
        return lambda around: scene.cut(around, outside_mm).along_mm
    inside_mm = outside_mm - branch.wall_mm
    if cut == "radial":
        return lambda around: scene.cut(around, inside_mm).along_mm
    return lambda around: np.fmax(
        scene.cut(around, outside_mm).along_mm, scene.cut(around, inside_mm).along_mm
    )


def _on_grid(grid: Vector, whole: Cut, uncut_deg: Vector, past: Vector) -> Vector:
    on_grid = np.full(len(grid), np.nan)
    uncut = np.isnan(whole.along_mm)
    on_grid[uncut] = past[np.searchsorted(uncut_deg, grid[uncut])]
    return on_grid


def _bridged(along: Vector, around: Vector, uncut_deg: Vector, passed_at: Vector) -> Vector:
    uncut = np.isnan(along)
    if not uncut.any():
        return along
    bridged = along.copy()
    bridged[uncut] = np.interp(around[uncut], uncut_deg, passed_at, period=360.0)
    return bridged


def _from_datum_deg(branch: Branch, side: Vector) -> float:
    return signed_angle_about_deg(branch.direction, branch.datum, side) % 360.0


def _stop_on(found: tuple[Finding, ...]) -> None:
    if found:
        raise UserError(*found)

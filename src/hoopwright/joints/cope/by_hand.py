"""Cutting a cope by hand: a hole saw where one cut does it, and two straight saw cuts."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from hoopwright.geometry import Vector, signed_angle_about_deg
from hoopwright.joints.cope.cutting import Cut, Scene, scene_of
from hoopwright.joints.cope.meeting import Meeting, meeting
from hoopwright.joints.cope.profile import CopeProfile
from hoopwright.joints.cope.tubes import Branch, Header, straight_header

Numbers = NDArray[np.float64]
FIT_UP_MM = 1.0
"""Gap that is welded without filing; common practice, no source: at most 1.5 mm, less on thin wall."""
_GENERATORS = 360
_SPLITS = 12


@dataclass(frozen=True, kw_only=True)
class HoleSaw:
    """How a hole saw is set up to cut a branch: its axis lies where the header's will.

    Args:
        header: The header that it stands for.
        saw_mm: Diameter of the saw.
        angle_deg: Between the branch and the saw's axis.
        from_square_deg: The same from square across the branch.
        offset_mm: How far the saw's axis passes the branch's, positive with the branch toward its side at 90° from the
            heel.
        heel_deg: Where round the branch its heel lies, from the datum line.
        along_mm: Where the saw's axis crosses the branch's, from the branch's origin.
        depth_mm: How far the saw travels from where it touches the branch until it is through.
        gap_mm: The greatest gap that it leaves once the branch touches.
        alone: Whether this one cut makes the whole cope.
        does_it: Whether it leaves a gap that is welded without filing, all round.
        why_not: What stands against it, or nothing.
    """

    header: str
    saw_mm: float
    angle_deg: float
    from_square_deg: float
    offset_mm: float
    heel_deg: float
    along_mm: float
    depth_mm: float
    gap_mm: float
    alone: bool
    does_it: bool
    why_not: str


@dataclass(frozen=True, kw_only=True)
class SawCut:
    """A straight saw cut across a branch.

    Args:
        clock_deg: Where round the branch it lies deepest, from the datum line.
        from_square_deg: How far it is tilted from square across the branch.
        deepest_mm: Where it crosses the outside at `clock_deg`, from the branch's origin.
        sides_mm: Where it crosses the outside at 90° to either side of that.
    """

    clock_deg: float
    from_square_deg: float
    deepest_mm: float
    sides_mm: float


@dataclass(frozen=True, kw_only=True)
class SawCuts:
    """Two straight saw cuts that take nothing too much, and what they leave to be filed off.

    Args:
        cuts: The two cuts; what lies outside either falls off.
        left_on_mm: The most that is left on, along the branch: filed off, or else the gap.
    """

    cuts: tuple[SawCut, SawCut]
    left_on_mm: float


def hole_saw(
    branch: Branch,
    headers: Sequence[Header],
    *,
    header_index: int = 0,
    saws_mm: Sequence[float] = (),
    fit_up_mm: float = FIT_UP_MM,
) -> HoleSaw:
    """The set-up of a hole saw for one header of a joint.

    Args:
        branch: The end that is cut.
        headers: All headers of the joint.
        header_index: The one that this cut stands for.
        saws_mm: Diameters to choose from, by the least gap; a saw of the header's own diameter without.
        fit_up_mm: Gap that needs no filing.
    """
    around = np.arange(_GENERATORS) * 360.0 / _GENERATORS
    meetings = tuple(meeting(branch, header) for header in headers)
    scene = scene_of(branch, headers, meetings, around)
    wanted = scene.on_grid
    header, met = headers[header_index], meetings[header_index]
    diameters = tuple(saws_mm) or (header.od_mm,)
    tried = [_set_up(scene, wanted, around, header_index, met, saw_mm, fit_up_mm) for saw_mm in diameters]
    return min(tried, key=lambda one: (not one.does_it, one.gap_mm))


def _set_up(
    scene: Scene,
    wanted: Cut,
    around: Numbers,
    header_index: int,
    met: Meeting,
    saw_mm: float,
    fit_up_mm: float,
) -> HoleSaw:
    branch, header = scene.branch, scene.headers[header_index]
    place, axis = header.path.at(met.header_mm)[0], header.path.directions_at(met.header_mm)[0]
    saw = straight_header(name=header.name, through_mm=place, direction=axis, od_mm=saw_mm)
    made = scene_of(branch, [saw], [meeting(branch, saw)], around).on_grid.along_mm
    own = wanted.header == header_index
    both = own & np.isfinite(made)
    apart = (wanted.along_mm - made)[both]
    shift_mm = float(apart.max()) if both.any() else 0.0
    gap_mm = float(shift_mm - apart.min()) if both.any() else np.inf
    travel = branch.skin_mm(around, made + shift_mm)[np.isfinite(made)] @ axis
    why_not = _why_not(header, saw_mm, own, made, gap_mm, fit_up_mm)
    return HoleSaw(
        header=header.name,
        saw_mm=saw_mm,
        angle_deg=met.angle_deg,
        from_square_deg=90.0 - met.angle_deg,
        offset_mm=met.offset_mm,
        heel_deg=_from_datum_deg(branch, met.heel),
        along_mm=met.branch_mm + shift_mm,
        depth_mm=float(np.ptp(travel)) if len(travel) else 0.0,
        gap_mm=gap_mm,
        alone=bool(own.all()),
        does_it=not why_not,
        why_not=why_not,
    )


def _why_not(
    header: Header, saw_mm: float, own: NDArray[np.bool_], made: Numbers, gap_mm: float, fit_up_mm: float
) -> str:
    if not own.any():
        return f"{header.name} cuts nothing of the branch"
    if not np.isfinite(made).all():
        return f"a saw of {saw_mm:g} mm does not reach both sides of the branch"
    if not own.all():
        return f"{header.name} cuts only part of the end: one cut does not make it"
    if gap_mm > fit_up_mm:
        return f"it leaves a gap of {gap_mm:.1f} mm, over {fit_up_mm:g} mm"
    return ""


def saw_cuts(profile: CopeProfile, od_mm: float) -> SawCuts | None:
    """Two straight saw cuts that leave the least to be filed off.

    Each cut is a plane on or outside the profile everywhere, and as near to it as can be on its own half of the
    branch: a small linear programme. With one header the halves are those of heel and toe; with more, the best
    of some ways to halve it. For equal tubes whose axes cross the planes are exact: |sin| of the profile is then a
    straight line across the tube.

    Args:
        profile: The cope.
        od_mm: Outside diameter of the branch.

    Returns:
        The cuts, or None where part of the end is not cut at all.
    """
    around, along = profile.around_deg, profile.along_mm
    if np.isnan(along).any():
        return None
    several = len(set(profile.header_index.tolist())) > 1
    turns = np.arange(_SPLITS) * 180.0 / _SPLITS if several else np.zeros(1)
    tried = [_halved(around, along, od_mm / 2.0, profile.heel_deg + turn) for turn in turns]
    return min(tried, key=lambda one: one.left_on_mm)


def _halved(around_deg: Numbers, along: Numbers, radius_mm: float, heel_deg: float) -> SawCuts:
    around_rad = np.radians(around_deg)
    across = radius_mm * np.stack([np.cos(around_rad), np.sin(around_rad)], axis=1)
    side = np.cos(around_rad - np.radians(heel_deg))
    planes = [_plane(across, along, own) for own in (side >= -1e-9, side <= 1e-9)]
    reached = np.maximum(*(plane[0] + across @ plane[1:] for plane in planes))
    first, second = (_as_cut(plane, radius_mm, heel_deg) for plane in planes)
    return SawCuts(cuts=(first, second), left_on_mm=float(max(0.0, (along - reached).max())))


def _plane(across: Numbers, along: Numbers, own: NDArray[np.bool_]) -> Vector:
    """Height at the axis and its two slopes, of a plane nowhere above `along` and nearest to it on its own half."""
    ones, zeros = np.ones((len(along), 1)), np.zeros((len(along), 1))
    under = np.hstack([ones, across, zeros])
    near = -np.hstack([ones, across, ones])[own]
    solved = linprog(
        [0.0, 0.0, 0.0, 1.0],
        A_ub=np.vstack([under, near]),
        b_ub=np.concatenate([along, -along[own]]),
        bounds=[(None, None)] * 3 + [(0.0, None)],
    )
    return np.array(solved.x, dtype=np.float64)[:3]


def _as_cut(plane: Vector, radius_mm: float, heel_deg: float) -> SawCut:
    slope = float(np.hypot(plane[1], plane[2]))
    clock_deg = float(np.degrees(np.arctan2(plane[2], plane[1]))) if slope > 1e-9 else heel_deg
    return SawCut(
        clock_deg=clock_deg % 360.0,
        from_square_deg=float(np.degrees(np.arctan(slope))),
        deepest_mm=float(plane[0]) + radius_mm * slope,
        sides_mm=float(plane[0]),
    )


def _from_datum_deg(branch: Branch, side: Vector) -> float:
    return signed_angle_about_deg(branch.direction, branch.datum, side) % 360.0

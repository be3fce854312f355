"""How far a branch stands out past its headers where they do not cut it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Arc, Line, Points, cross
from hoopwright.joints.cope.cutting import Range, Scene, rays_of
from hoopwright.joints.cope.extremes import greatest
from hoopwright.joints.cope.oval_rays import oval_share
from hoopwright.joints.cope.rays import Rays
from hoopwright.joints.cope.solving import Rows, lowest
from hoopwright.joints.cope.tubes import Branch, Header
from hoopwright.joints.cope.within_reach import pieces_within_reach

Numbers = NDArray[np.float64]
_FEWEST_SAMPLES = 17
_STEP_SHARE = 0.125
"""Of the header's diameter: how far a line lies from a skin rises and falls over no less than its radius."""


def beyond_skin_mm(header: Header, points_mm: Points, pieces: Sequence[int] | None = None) -> Numbers:
    """How far points lie outside the skin of a header, negative inside; shape (n,) for points (n, 3).

    Exact on and off a round header; for an oval bend it is 0 on the skin and right to a few hundredths near it.

    Args:
        header: The header.
        points_mm: Points, shape (n, 3).
        pieces: Only these pieces of its path, where the others are known to be far.
    """
    nearest = np.full(len(points_mm), np.inf)
    for index in range(len(header.path.pieces)) if pieces is None else pieces:
        piece = header.path.pieces[index]
        if isinstance(piece, Arc):
            bends = sum(isinstance(before, Arc) for before in header.path.pieces[:index])
            found = _beyond_bend(header, bends, piece, points_mm)
        else:
            found = _beyond_straight(header, index, piece, points_mm) - header.od_mm / 2.0
        nearest = np.minimum(nearest, found)
    return nearest


def _beyond_straight(header: Header, index: int, line: Line, points_mm: Points) -> Numbers:
    offset = points_mm - line.start_mm
    first = header.is_endless and index == 0
    last = header.is_endless and index == len(header.path.pieces) - 1
    along = np.clip(offset @ line.direction, -np.inf if first else 0.0, np.inf if last else line.length_mm)
    distance: Numbers = np.linalg.norm(offset - along[:, None] * line.direction, axis=1)
    return distance


def _beyond_bend(header: Header, bend_index: int, arc: Arc, points_mm: Points) -> Numbers:
    offset = points_mm - arc.centre_mm
    across = offset @ cross(arc.outward, arc.direction)
    x, y = offset @ arc.outward, offset @ arc.direction
    half_rad = np.radians(arc.angle_deg) / 2.0
    # turned back by half its angle first, so that the nearer end wins beyond either
    cosine, sine = float(np.cos(half_rad)), float(np.sin(half_rad))
    beyond_half_rad = np.arctan2(y * cosine - x * sine, x * cosine + y * sine)
    turned = half_rad + np.minimum(np.maximum(beyond_half_rad, -half_rad), half_rad)
    outward_x, outward_y = np.cos(turned), np.sin(turned)
    out = x * outward_x + y * outward_y - arc.radius_mm
    along = y * outward_x - x * outward_y
    oval = header.oval_of(bend_index)
    radius = header.od_mm / 2.0
    if oval is None:
        distance: Numbers = np.sqrt(out**2 + along**2 + across**2) - radius
        return distance
    share = oval_share(arc, header.od_mm, turned * arc.radius_mm)
    in_plane = radius + share * (oval.in_plane_mm / 2.0 - radius)
    sideways = radius + share * (oval.across_mm / 2.0 - radius)
    scaled: Numbers = (np.sqrt((out / in_plane) ** 2 + (across / sideways) ** 2) - 1.0) * radius
    beyond: Numbers = np.hypot(np.maximum(scaled, 0.0), along) + np.minimum(scaled, 0.0)
    return beyond


def overhang_mm(scene: Scene, grid_deg: Numbers, past_mm: Numbers) -> float:
    """How far the outside skin stands out past all headers of the joint, at the generators that none cuts.

    Args:
        scene: The joint.
        grid_deg: Even generators all round, shape (n,).
        past_mm: How far each passes outside, NaN for one that is cut, shape (n,).
    """
    if np.isnan(past_mm).all():
        return 0.0
    return max(0.0, greatest(lambda around: passing(scene, np.asarray(around))[0], grid_deg, past_mm)[0])


def passing(scene: Scene, around_deg: Numbers) -> tuple[Numbers, Numbers]:
    """How far generators pass outside the nearest header of the joint, and where along the branch; shape (n,) each."""
    if len(around_deg) == 0:
        return np.empty(0), np.empty(0)
    rays = rays_of(scene.branch, around_deg, scene.branch.od_mm / 2.0)
    least = np.full(len(around_deg), np.inf)
    where = np.full(len(around_deg), np.nan)
    for header, taken in zip(scene.headers, scene.ranges_mm, strict=True):
        if taken is not None:
            past, along = _passing_one(rays, scene.branch, header, taken)
            nearer = past < least
            least, where = np.where(nearer, past, least), np.where(nearer, along, where)
    return least, where


def _passing_one(rays: Rays, branch: Branch, header: Header, taken: Range) -> tuple[Numbers, Numbers]:
    # a piece farther off than the branch is wide is nowhere the nearest: one that the branch touches is nearer
    pieces = pieces_within_reach(branch, header, past_mm=branch.od_mm)
    margin_mm = branch.od_mm + header.od_mm

    def past(along: Numbers, which: Rows) -> Numbers:
        points = rays.starts_mm[which] + along[..., None] * rays.direction
        return beyond_skin_mm(header, points.reshape(-1, 3), pieces).reshape(points.shape[:-1])

    which = np.arange(len(rays.starts_mm))
    low, high = taken[0] - margin_mm, taken[1] + margin_mm
    count = max(_FEWEST_SAMPLES, int((high - low) / (_STEP_SHARE * header.od_mm)))
    places = np.linspace(low, high, count)
    column = np.clip(np.argmin(past(places[None, :], which[:, None]), axis=1), 1, count - 2)
    along, least = lowest(past, which, places[column - 1], places[column + 1])
    return least, along

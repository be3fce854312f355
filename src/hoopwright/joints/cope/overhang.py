"""How far a branch stands out past its headers where they do not cut it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Arc, Line, Points, Vector
from hoopwright.joints.cope.cutting import Range, Scene, rays_of
from hoopwright.joints.cope.oval_rays import oval_share
from hoopwright.joints.cope.rays import Rays
from hoopwright.joints.cope.solving import Rows, lowest
from hoopwright.joints.cope.tubes import Branch, Header

Numbers = NDArray[np.float64]
_SAMPLES = 81
_ZOOMS = 4
_ZOOM_POINTS = 11


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
    across = offset @ np.cross(arc.outward, arc.direction)
    x, y = offset @ arc.outward, offset @ arc.direction
    half_rad = np.radians(arc.angle_deg) / 2.0
    turned = half_rad + np.clip(
        np.remainder(np.arctan2(y, x) - half_rad + np.pi, 2.0 * np.pi) - np.pi, -half_rad, half_rad
    )
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


def overhang_mm(scene: Scene, uncut_deg: Numbers, past: Numbers) -> float:
    """How far the outside skin stands out past all headers of the joint, at the generators that none cuts.

    Args:
        scene: The joint.
        uncut_deg: Generators that no header cuts, shape (n,).
        past: How far each passes outside, shape (n,).
    """
    if len(uncut_deg) == 0:
        return 0.0
    best_mm, best_deg = float(past.max()), float(uncut_deg[np.argmax(past)])
    step = 1.0
    for _ in range(_ZOOMS):
        angles = best_deg + np.linspace(-step, step, _ZOOM_POINTS)
        past, _ = passing(scene, angles)
        if past.max() > best_mm:
            best_mm, best_deg = float(past.max()), float(angles[np.argmax(past)])
        step = 2.0 * step / (_ZOOM_POINTS - 1)
    return max(0.0, best_mm)


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
    margin_mm = branch.od_mm + header.od_mm
    middle = branch.origin_mm + (taken[0] + taken[1]) / 2.0 * branch.direction
    pieces = _near(header, middle, (taken[1] - taken[0]) / 2.0 + 2.0 * margin_mm)

    def past(along: Numbers, which: Rows) -> Numbers:
        places, row = np.broadcast_arrays(along, which)
        points = rays.starts_mm[row.ravel()] + places.ravel()[:, None] * rays.direction
        return beyond_skin_mm(header, points, pieces).reshape(places.shape)

    which = np.arange(len(rays.starts_mm))
    places = np.linspace(taken[0] - margin_mm, taken[1] + margin_mm, _SAMPLES)
    column = np.clip(np.argmin(past(places[None, :], which[:, None]), axis=1), 1, _SAMPLES - 2)
    along, least = lowest(past, which, places[column - 1], places[column + 1])
    return least, along


def _near(header: Header, place_mm: Vector, reach_mm: float) -> list[int]:
    """Pieces of a header whose skin may lie within reach of a place, the ones that go on beyond its ends always."""
    pieces = header.path.pieces
    ends = (0, len(pieces) - 1)
    near = [
        np.linalg.norm(piece.at(np.array([piece.nearest_mm(place_mm)]))[0] - place_mm) for piece in pieces
    ]
    return [index for index, mm in enumerate(near) if index in ends or mm <= reach_mm + header.od_mm]

"""How far a branch stands out past its headers where they do not cut it."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import elementwise

from hoopwright.geometry import Arc, FilletedPath, Line, Points
from hoopwright.joints.cope.bend_rays import oval_share
from hoopwright.joints.cope.cutting import Scene, rays_of
from hoopwright.joints.cope.tubes import Header

Numbers = NDArray[np.float64]
_SAMPLES = 81
_ZOOMS = 4
_ZOOM_POINTS = 11


def beyond_skin_mm(header: Header, points_mm: Points) -> Numbers:
    """How far points lie outside the skin of a header, negative inside; shape (n,) for points (n, 3).

    Exact on and off a round header; for an oval bend it is 0 on the skin and right to a few hundredths near it.
    """
    pieces = header.path.pieces
    bends = 0
    nearest = np.full(len(points_mm), np.inf)
    for index, piece in enumerate(pieces):
        if isinstance(piece, Arc):
            found = _beyond_bend(header, bends, piece, points_mm)
            bends += 1
        else:
            found = _beyond_straight(header.path, index, piece, points_mm) - header.od_mm / 2.0
        nearest = np.minimum(nearest, found)
    return nearest


def _beyond_straight(path: FilletedPath, index: int, line: Line, points_mm: Points) -> Numbers:
    offset = points_mm - line.start_mm
    first, last = index == 0, index == len(path.pieces) - 1
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
    return np.hypot(np.maximum(scaled, 0.0), along) + np.minimum(scaled, 0.0)


def overhang_mm(scene: Scene, uncut_deg: Numbers) -> float:
    """How far the outside skin stands out past all headers of the joint, at the generators that none cuts.

    Args:
        scene: The joint.
        uncut_deg: Generators that no header cuts, shape (n,).
    """
    if len(uncut_deg) == 0:
        return 0.0
    past = _past_all(scene, uncut_deg)
    best_mm, best_deg = float(past.max()), float(uncut_deg[np.argmax(past)])
    step = 1.0
    for _ in range(_ZOOMS):
        angles = best_deg + np.linspace(-step, step, _ZOOM_POINTS)
        past = _past_all(scene, angles)
        if past.max() > best_mm:
            best_mm, best_deg = float(past.max()), float(angles[np.argmax(past)])
        step = 2.0 * step / (_ZOOM_POINTS - 1)
    return best_mm


def _past_all(scene: Scene, around_deg: Numbers) -> Numbers:
    """Of each generator the least distance past the nearest header."""
    rays = rays_of(scene.branch, around_deg, scene.branch.od_mm / 2.0)
    least = np.full(len(around_deg), np.inf)
    for header, taken in zip(scene.headers, scene.ranges_mm, strict=True):
        if taken is None:
            continue
        margin_mm = header.od_mm + scene.branch.od_mm
        places = np.linspace(taken[0] - margin_mm, taken[1] + margin_mm, _SAMPLES)

        def past(along: Numbers, which: NDArray[np.intp], header: Header = header) -> Numbers:
            flat = np.broadcast_arrays(along, which)
            points = rays.starts_mm[flat[1].ravel()] + flat[0].ravel()[:, None] * rays.direction
            return beyond_skin_mm(header, points).reshape(flat[0].shape)

        which = np.arange(len(around_deg))
        values = past(places[None, :], which[:, None])
        column = np.clip(np.argmin(values, axis=1), 1, _SAMPLES - 2)
        found = elementwise.find_minimum(
            past, (places[column - 1], places[column], places[column + 1]), args=(which,)
        )
        best = np.where(found.success, found.f_x, values.min(axis=1))
        least = np.minimum(least, best)
    return least

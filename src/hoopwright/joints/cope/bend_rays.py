"""Where straight lines run inside a bend: a piece of a torus, round or oval."""

import math

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Arc, cross
from hoopwright.joints.cope.oval_rays import stretches_in_oval
from hoopwright.joints.cope.rays import Rays, Stretches
from hoopwright.joints.cope.torus import Torus, stretches_in_torus
from hoopwright.joints.cope.tubes import OvalBend

Numbers = NDArray[np.float64]


def stretches_in_bend(rays: Rays, arc: Arc, od_mm: float, oval: OvalBend | None) -> Stretches:
    """Where rays run inside a bend, between the planes of its two tangent points.

    Args:
        rays: The rays.
        arc: The bend's centreline; its radius is more than the tube's.
        od_mm: Outside diameter of the tube.
        oval: Its measured section, or None for round.

    Returns:
        Stretches of shape (n, 2), since a line enters a torus at most twice. Their ends are exact; in an oval bend
        their starts are up to a quarter of the tube's radius early.
    """
    # x from the centre to the start, y along the travel, z across
    frame = np.array([arc.outward, arc.direction, cross(arc.outward, arc.direction)])
    turned = Rays(starts_mm=(frame @ (rays.starts_mm - arc.centre_mm).T).T, direction=frame @ rays.direction)
    low, high = _between_the_ends(turned, arc)
    if oval is None:
        start, end = stretches_in_torus(turned, Torus(ring_mm=arc.radius_mm, tube_mm=od_mm / 2.0))
    else:
        start, end = stretches_in_oval(turned, arc, od_mm, oval, within_mm=(low, high))
    start, end = np.maximum(start, low), np.minimum(end, high)
    empty = ~(start <= end)
    start[empty] = end[empty] = np.nan
    return start, end


def _between_the_ends(rays: Rays, arc: Arc) -> Stretches:
    """Where rays run between the planes of the two tangent points, shape (n, 1) or (1, 1) each."""
    angle_rad = math.radians(arc.angle_deg)
    sine, cosine = math.sin(angle_rad), math.cos(angle_rad)
    x, y = rays.starts_mm[:, :1], rays.starts_mm[:, 1:2]
    way_x, way_y, _ = rays.direction.tolist()
    low, high = np.full((1, 1), -np.inf), np.full((1, 1), np.inf)
    for before_mm, slope in ((y, way_y), (sine * x - cosine * y, sine * way_x - cosine * way_y)):
        if abs(slope) < 1e-15:
            low = np.where(before_mm < 0.0, np.inf, low)
            continue
        at = before_mm / -slope
        low, high = (np.maximum(low, at), high) if slope > 0.0 else (low, np.minimum(high, at))
    return low, high

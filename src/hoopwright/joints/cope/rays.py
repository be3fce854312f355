"""Where straight lines along a branch run inside a straight or bent piece of a header."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Line, Points, Vector

GRAZE_MM = 1e-7
"""A line that passes a skin by less than this touches it: half of all equal tubes meet so at their sides."""

Stretches = tuple[NDArray[np.float64], NDArray[np.float64]]
"""Start and end along each line where it runs inside, shape (n, k) each; NaN where there is none."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Rays:
    """Parallel lines.

    Args:
        starts_mm: Point of each where lengths along it are 0, shape (n, 3).
        direction: Unit direction of all, shape (3,).
    """

    starts_mm: Points
    direction: Vector


def stretches_in_straight(
    rays: Rays, line: Line, radius_mm: float, *, open_start: bool, open_end: bool
) -> Stretches:
    """Where rays run inside a straight round tube.

    With q from the tube's axis to the ray's start, square to the axis, and v the ray's direction square to it, the skin
    is |q + s v| = R: a quadratic in s.

    Args:
        rays: The rays.
        line: The tube's axis.
        radius_mm: Its outside radius.
        open_start: Whether it goes on before the start.
        open_end: Whether it goes on beyond the end.

    Returns:
        Stretches of shape (n, 1).
    """
    axis = line.direction
    offset = rays.starts_mm - line.start_mm
    before_mm = offset @ axis
    along_share = float(rays.direction @ axis)
    square_ray = rays.direction - along_share * axis
    square = offset - before_mm[:, None] * axis
    sine2 = float(square_ray @ square_ray)
    low, high = _through_circle(square, square_ray, sine2, radius_mm)
    if not open_start:
        low, high = clipped(low, high, before_mm, along_share)
    if not open_end:
        low, high = clipped(low, high, line.length_mm - before_mm, -along_share)
    return low[:, None], high[:, None]


def _through_circle(
    square: Points, square_ray: Vector, sine2: float, radius_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    if sine2 < 1e-24:
        inside = np.linalg.norm(square, axis=1) <= radius_mm
        return np.where(inside, -np.inf, np.nan), np.where(inside, np.inf, np.nan)
    middle = -(square @ square_ray) / sine2
    nearest = np.linalg.norm(square + middle[:, None] * square_ray, axis=1)
    half_chord2 = (radius_mm - nearest) * (radius_mm + nearest)
    touching = np.abs(radius_mm - nearest) <= GRAZE_MM
    with np.errstate(invalid="ignore"):
        half = np.sqrt(np.where(touching, np.maximum(half_chord2, 0.0), half_chord2))
    return middle - half / np.sqrt(sine2), middle + half / np.sqrt(sine2)


def clipped(
    low: NDArray[np.float64], high: NDArray[np.float64], value_mm: NDArray[np.float64], slope_ratio: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Stretches cut down to where `value_mm + slope_ratio * s` is not negative; all of shape (n,)."""
    if abs(slope_ratio) < 1e-15:
        gone = value_mm < 0.0
        return np.where(gone, np.nan, low), np.where(gone, np.nan, high)
    at = -value_mm / slope_ratio
    low, high = (np.fmax(low, at), high) if slope_ratio > 0.0 else (low, np.fmin(high, at))
    empty = ~(low <= high)
    return np.where(empty, np.nan, low), np.where(empty, np.nan, high)

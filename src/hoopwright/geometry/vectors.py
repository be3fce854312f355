"""Directions and the angles between them."""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Vector = NDArray[np.float64]
"""One point or direction, shape (3,)."""
Points = NDArray[np.float64]
"""Points or directions, shape (n, 3)."""


def unit_vector(direction: ArrayLike) -> Vector:
    """The direction at length 1.

    Raises:
        ValueError: When the length is zero or not finite.
    """
    vector = np.asarray(direction, dtype=np.float64)
    length = float(np.linalg.norm(vector))
    if not math.isfinite(length) or length == 0.0:
        msg = f"no direction in {vector.tolist()}"
        raise ValueError(msg)
    return vector / length


def cross(first: Vector, second: Vector) -> Vector:
    """The cross product of two vectors, shape (3,).

    numpy's own takes as long for one pair as for ten thousand.
    """
    (x, y, z), (u, v, w) = first.tolist(), second.tolist()
    return np.array([y * w - z * v, z * u - x * w, x * v - y * u])


def angle_between_deg(first: ArrayLike, second: ArrayLike) -> float:
    """Angle between two directions, 0 to 180.

    By atan2 of the cross and dot products: acos loses half the digits near 0 and 180.
    """
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    return math.degrees(math.atan2(math.hypot(*cross(a, b).tolist()), float(a @ b)))


def signed_angle_about_deg(axis: ArrayLike, start: ArrayLike, end: ArrayLike) -> float:
    """Angle that turns `start` to `end` about the unit `axis`, right-hand rule, in (-180, 180]."""
    about, a, b = (np.asarray(v, dtype=np.float64) for v in (axis, start, end))
    return wrap_deg(math.degrees(math.atan2(float(cross(a, b) @ about), float(a @ b))))


def wrap_deg(angle_deg: float) -> float:
    """The same turn in (-180, 180]; what lies within rounding of -180 becomes 180."""
    wrapped = math.remainder(angle_deg, 360.0)
    return 180.0 if wrapped <= -180.0 + 1e-9 else wrapped

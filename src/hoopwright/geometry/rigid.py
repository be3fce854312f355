"""Rotations, and the rigid motion that lays one set of points on another."""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry.vectors import Vector, unit_vector


def rotation_about(axis: ArrayLike, angle_deg: float) -> NDArray[np.float64]:
    """Rotation matrix, shape (3, 3), about a direction by the right-hand rule (Rodrigues' formula)."""
    x, y, z = unit_vector(axis)
    angle_rad = math.radians(angle_deg)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    rotation: NDArray[np.float64] = (
        np.eye(3) + math.sin(angle_rad) * cross + (1.0 - math.cos(angle_rad)) * (cross @ cross)
    )
    return rotation


def best_rigid_motion(
    source_mm: ArrayLike, target_mm: ArrayLike, weights: ArrayLike | None = None
) -> tuple[NDArray[np.float64], Vector]:
    """Rotation and shift that lay `source_mm` on `target_mm` with the least squares.

    Args:
        source_mm: Points, shape (n, 3).
        target_mm: Where each should come to lie, shape (n, 3).
        weights: Weight of each pair, shape (n,); all equal without.

    Returns:
        Rotation (3, 3) and shift in mm (3,): target = rotation @ source + shift.

    Source: W. Kabsch, Acta Cryst. A32 (1976) 922, with the sign of the determinant kept positive.
    """
    source, target = np.asarray(source_mm, dtype=np.float64), np.asarray(target_mm, dtype=np.float64)
    weight = np.ones(len(source)) if weights is None else np.asarray(weights, dtype=np.float64)
    weight = weight / weight.sum()
    source_middle, target_middle = weight @ source, weight @ target
    covariance = (source - source_middle).T @ ((target - target_middle) * weight[:, None])
    left, _, right = np.linalg.svd(covariance)
    handed = np.diag([1.0, 1.0, float(np.sign(np.linalg.det(left @ right)))])
    rotation = (left @ handed @ right).T
    return rotation, target_middle - rotation @ source_middle

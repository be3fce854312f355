"""Capsules: all places within a radius of a straight piece; a sphere where its ends are one place."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry.vectors import Points, Vector


@dataclass(frozen=True, kw_only=True)
class Capsule:
    """A capsule in the vehicle frame.

    Args:
        name: What it stands for.
        start_mm: One end of its axis.
        end_mm: The other end.
        radius_mm: Its radius.
    """

    name: str
    start_mm: tuple[float, float, float]
    end_mm: tuple[float, float, float]
    radius_mm: float


def distance_to_capsules_mm(points_mm: Points, capsules: Sequence[Capsule]) -> Vector:
    """Distance of points of shape (n, 3) to the nearest capsule's skin, shape (n,); infinite without capsules."""
    return away_from_capsules(points_mm, capsules)[0]


def away_from_capsules(points_mm: Points, capsules: Sequence[Capsule]) -> tuple[Vector, Points]:
    """Distance of points of shape (n, 3) to the nearest capsule's skin, shape (n,), and the unit way out of it, (n, 3).

    A point on an axis has no way out: its direction is zero.
    """
    nearest, away = np.full(len(points_mm), np.inf), np.zeros((len(points_mm), 3))
    for capsule in capsules:
        start, axis = np.array(capsule.start_mm), np.subtract(capsule.end_mm, capsule.start_mm)
        length2 = float(axis @ axis)
        share = np.clip((points_mm - start) @ axis / length2, 0.0, 1.0) if length2 > 0.0 else np.zeros(1)
        rest = points_mm - start - np.multiply.outer(share, axis)
        size = np.linalg.norm(rest, axis=1)
        closer = size - capsule.radius_mm < nearest
        nearest = np.where(closer, size - capsule.radius_mm, nearest)
        away[closer] = rest[closer] / np.maximum(size[closer], 1e-9)[:, None]
    return nearest, away

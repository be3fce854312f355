"""Tube that swings or slides, and how near it is to convex obstacles at one moment.

A piece of tube is all discs of the tube's radius square to its axis, so that its ends are flat. A disc at place p with
travel t is at least d(p) - r sqrt(1 - (g · t)²) away from an obstacle at signed distance d with gradient g, since d
is convex; along a straight piece this is least where d is least, which a bisection of g · t finds.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.room.fields import LocalLines, Obstacles, seen_locally
from hoopwright.geometry import Points, Vector

_BISECTIONS = 14


@dataclass(frozen=True, eq=False, kw_only=True)
class MovingTube:
    """Straight pieces of tube that swing about the z axis or slide along x.

    Args:
        starts_mm: Shape (n, 3); swinging pieces before the swing, sliding ones after it.
        ends_mm: Shape (n, 3).
        swinging: Whether each swings; the others slide; shape (n,).
        radii_mm: Radius of the tube about each piece, shape (n,).
        sense: +1 for a swing anticlockwise about z, -1 for clockwise.
        swing_deg: How far it swings.
        clr_mm: How far sliding pieces go for each radian.
    """

    starts_mm: Points
    ends_mm: Points
    swinging: NDArray[np.bool_]
    radii_mm: Vector
    sense: int
    swing_deg: float
    clr_mm: float

    @property
    def swing_rad(self) -> float:
        """How far it swings, for the trigonometry."""
        return math.radians(self.swing_deg)

    def placed(self, which: NDArray[np.int64], swung_rad: Vector) -> tuple[Points, Points]:
        """Starts and ends of pieces at swings, shape (n,) each."""
        swinging = self.swinging[which]
        return (
            self._moved(self.starts_mm[which], swinging, swung_rad),
            self._moved(self.ends_mm[which], swinging, swung_rad),
        )

    def _moved(self, points: Points, swinging: NDArray[np.bool_], swung_rad: Vector) -> Points:
        angle = np.where(swinging, self.sense * swung_rad, 0.0)
        slid = np.where(swinging, 0.0, self.clr_mm * (swung_rad - self.swing_rad))
        cos, sin = np.cos(angle), np.sin(angle)
        return np.stack(
            [
                cos * points[:, 0] - sin * points[:, 1] + slid,
                sin * points[:, 0] + cos * points[:, 1],
                points[:, 2],
            ],
            axis=1,
        )

    def rates_mm_per_rad(self) -> Vector:
        """Fastest that any point of each piece moves, shape (n,)."""
        reach = np.maximum(
            np.linalg.norm(self.starts_mm[:, :2], axis=1), np.linalg.norm(self.ends_mm[:, :2], axis=1)
        )
        return np.where(self.swinging, reach + self.radii_mm, self.clr_mm)


def clearances_at(
    tube: MovingTube,
    obstacles: Obstacles,
    piece: NDArray[np.int64],
    obstacle: NDArray[np.int64],
    swung_rad: Vector,
) -> tuple[Vector, Points]:
    """Clearance of pieces to obstacles at swings, shape (n,), and where on the axis, shape (n, 3)."""
    start, end = tube.placed(piece, swung_rad)
    follow = followed(tube, obstacles, obstacle, swung_rad)
    lines = seen_locally(obstacles, obstacle, start - follow, end - follow)
    low, high = np.zeros(len(piece)), np.ones(len(piece))
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        rising = lines.at(middle)[1] > 0.0
        low, high = np.where(rising, low, middle), np.where(rising, middle, high)
    share = np.where(low == 0.0, 0.0, np.where(high == 1.0, 1.0, (low + high) / 2.0))
    return disc_clearance(lines, share, tube.radii_mm[piece]), start + share[:, None] * (end - start)


def disc_clearance(lines: LocalLines, share: Vector, radius_mm: Vector) -> Vector:
    """Clearance of the disc at a share of each line, shape (n,)."""
    distance, growth = lines.at(share)
    length2 = np.einsum("ni,ni->n", lines.alongs_mm, lines.alongs_mm)
    cos2 = growth**2 / np.where(length2 > 0.0, length2, 1.0)
    clearance: Vector = distance - radius_mm * np.sqrt(np.clip(1.0 - cos2, 0.0, 1.0))
    return clearance


def followed(
    tube: MovingTube, obstacles: Obstacles, obstacle: NDArray[np.int64], swung_rad: Vector
) -> Points:
    """How far obstacles that slide with the tail lie from where they lie after the bend, shape (n, 3)."""
    shift = np.zeros((len(obstacle), 3))
    shift[:, 0] = np.where(obstacles.follows[obstacle], tube.clr_mm * (swung_rad - tube.swing_rad), 0.0)
    return shift

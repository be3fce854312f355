"""The outline of a shell, section by section along the car: what lies outside it has left the car.

A scan has holes, openings and inconsistent winding, so that inside and outside cannot be asked of the mesh
itself. The convex outline of each section can be told from any scan.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Points, Vector

STATION_MM = 50.0
_DIRECTIONS = 72


@dataclass(frozen=True, eq=False, kw_only=True)
class Envelope:
    """Convex outline of each section across the car, as its extent in 72 directions.

    Args:
        rear_mm: Forward place of the rearmost metal, where the first section starts.
        front_mm: Forward place of the foremost metal.
        extent_mm: Extent of each section in each direction, shape (stations, 72); -inf where a section
            has no metal.
        directions: Left and up of each direction, shape (72, 2).
    """

    rear_mm: float
    front_mm: float
    extent_mm: NDArray[np.float64]
    directions: NDArray[np.float64]

    def half_width_mm(self, forward_mm: float) -> float:
        """Distance from the centre plane to the nearer side of the outline; infinite without metal there."""
        station = int(np.clip((forward_mm - self.rear_mm) // STATION_MM, 0, len(self.extent_mm) - 1))
        left, right = self.extent_mm[station, 0], self.extent_mm[station, _DIRECTIONS // 2]
        return float(min(left, right)) if np.isfinite(left) and np.isfinite(right) else math.inf

    def margin_mm(self, points_mm: ArrayLike) -> tuple[Vector, Points]:
        """How far each point lies inside the outline, and which way the outline is nearest.

        Args:
            points_mm: In the vehicle frame, shape (n, 3).

        Returns:
            Margin, shape (n,): negative outside, beyond the ends too, NaN at a section without metal; and
            the unit direction outward, shape (n, 3).
        """
        points = np.asarray(points_mm, dtype=np.float64)
        station = np.floor((points[:, 0] - self.rear_mm) / STATION_MM).astype(np.int64)
        extent = self.extent_mm[np.clip(station, 0, len(self.extent_mm) - 1)]
        room = extent - points[:, 1:] @ self.directions.T
        nearest = np.argmin(room, axis=1)
        margin = room[np.arange(len(points)), nearest]
        outward = np.column_stack([np.zeros(len(points)), self.directions[nearest]])
        to_ends = np.stack([points[:, 0] - self.rear_mm, self.front_mm - points[:, 0]])
        beyond = (to_ends < 0.0).any(axis=0)
        outward[beyond] = np.where(to_ends[0, beyond, None] < 0.0, [-1.0, 0.0, 0.0], [1.0, 0.0, 0.0])
        margin = np.where(beyond, to_ends.min(axis=0), margin)
        return np.where(np.isfinite(margin), margin, np.nan), outward


def make_envelope(metal_mm: Points) -> Envelope:
    """The outline of metal given as points in the vehicle frame, shape (n, 3).

    A section takes the metal of its own station and both neighbours, so that a hole does not dent it.
    """
    turn = np.arange(_DIRECTIONS) * 2.0 * math.pi / _DIRECTIONS
    directions = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    rear = float(metal_mm[:, 0].min())
    station = np.floor((metal_mm[:, 0] - rear) / STATION_MM).astype(np.int64)
    order = np.argsort(station, kind="stable")
    present, first = np.unique(station[order], return_index=True)
    own = np.full((int(station.max()) + 1, _DIRECTIONS), -np.inf)
    own[present] = np.maximum.reduceat(metal_mm[order, 1:] @ directions.T, first, axis=0)
    padded = np.pad(own, ((1, 1), (0, 0)), constant_values=-np.inf)
    extent = np.maximum(np.maximum(padded[:-2], padded[1:-1]), padded[2:])
    return Envelope(
        rear_mm=rear, front_mm=float(metal_mm[:, 0].max()), extent_mm=extent, directions=directions
    )

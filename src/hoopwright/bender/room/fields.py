"""Signed distance to many convex obstacles at once, in one frame.

The distance to a convex solid, negative inside, is a convex function of the place: that is what the sweep's
search along a piece of tube, and its bounds, rest on (S. Boyd, L. Vandenberghe, Convex Optimization, 2004,
section 3.2.5).
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points, Vector

ROUND, FLAT = 1, 2
"""Kinds besides 0, a box that may be rounded: a cylinder along its own z, and the half-space behind z = 0."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Obstacles:
    """Convex obstacles, each with axes of its own.

    Args:
        axes: Rows are each obstacle's own x, y and z, shape (m, 3, 3); z of a half-space points out of it.
        middles_mm: Shape (m, 3).
        halves_mm: Half sizes of a box; radius, radius and half height of a cylinder; shape (m, 3).
        rounded_mm: Radius by which a box is rounded beyond its half sizes, shape (m,).
        kinds: 0, `ROUND` or `FLAT`, shape (m,).
        follows: Whether each slides ahead with the tail while the bend is drawn, shape (m,).
    """

    axes: NDArray[np.float64]
    middles_mm: Points
    halves_mm: Points
    rounded_mm: Vector
    kinds: NDArray[np.int64]
    follows: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.kinds)

    def turned(self, rotation: NDArray[np.float64]) -> "Obstacles":
        """The same obstacles seen in a frame into which `rotation`, shape (3, 3), takes."""
        return Obstacles(
            axes=self.axes @ rotation.T,
            middles_mm=self.middles_mm @ rotation.T,
            halves_mm=self.halves_mm,
            rounded_mm=self.rounded_mm,
            kinds=self.kinds,
            follows=self.follows,
        )


def together(groups: Sequence[Obstacles]) -> Obstacles:
    """Groups of obstacles as one, in their order."""
    return Obstacles(
        **{field.name: np.concatenate([getattr(one, field.name) for one in groups]) for field in fields(Obstacles)}
    )


def half_space(outward: Vector, beyond_mm: float) -> Obstacles:
    """All places `p` with outward · p < beyond: a floor, a wall, a ceiling."""
    other = np.eye(3)[int(np.argmin(np.abs(outward)))]
    side = np.cross(outward, other)
    side /= np.linalg.norm(side)
    axes = np.stack([side, np.cross(outward, side), outward])
    return _one(axes, beyond_mm * outward, np.zeros(3), 0.0, FLAT)


def block(axes: NDArray[np.float64], middle_mm: Vector, halves_mm: Vector, *, round_about_z: bool) -> Obstacles:
    """A box, or a cylinder along its own z."""
    return _one(axes, middle_mm, halves_mm, 0.0, ROUND if round_about_z else 0)


def rails(starts_mm: Points, ends_mm: Points, radius_mm: float, *, follow: bool = False) -> Obstacles:
    """All places within a radius of each straight piece, shapes (m, 3)."""
    along = ends_mm - starts_mm
    lengths = np.linalg.norm(along, axis=1)
    z = np.where(lengths[:, None] > 0.0, along / np.maximum(lengths, 1e-300)[:, None], [0.0, 0.0, 1.0])
    x = np.cross(z, np.eye(3)[np.argmin(np.abs(z), axis=1)])
    x /= np.linalg.norm(x, axis=1, keepdims=True)
    halves = np.zeros((len(z), 3))
    halves[:, 2] = lengths / 2.0
    return Obstacles(
        axes=np.stack([x, np.cross(z, x), z], axis=1),
        middles_mm=(starts_mm + ends_mm) / 2.0,
        halves_mm=halves,
        rounded_mm=np.full(len(z), radius_mm),
        kinds=np.zeros(len(z), dtype=np.int64),
        follows=np.full(len(z), follow),
    )


def signed_distance(
    obstacles: Obstacles, which: NDArray[np.int64], points_mm: Points
) -> tuple[Vector, Points]:
    """Distance of each point to its obstacle's skin, negative inside, and its gradient.

    Args:
        obstacles: The obstacles.
        which: Obstacle of each point, shape (n,).
        points_mm: Shape (n, 3).

    Returns:
        Distances, shape (n,), and unit directions away from the obstacle, shape (n, 3).
    """
    axes, kinds = obstacles.axes[which], obstacles.kinds[which]
    local = np.einsum("nij,nj->ni", axes, points_mm - obstacles.middles_mm[which])
    beyond = np.abs(local) - obstacles.halves_mm[which]
    ways = np.where(local < 0.0, -1.0, 1.0)
    radial = np.hypot(local[:, 0], local[:, 1])
    is_round = kinds == ROUND
    beyond[is_round, 0] = radial[is_round] - obstacles.halves_mm[which[is_round], 0]
    beyond[is_round, 1] = -np.inf
    outside = np.maximum(beyond, 0.0)
    away = np.linalg.norm(outside, axis=1)
    deepest = beyond.max(axis=1)
    nearest_face = np.arange(3) == np.argmax(beyond, axis=1)[:, None]
    is_out = away > 0.0
    slope = np.where(is_out[:, None], outside / np.where(is_out, away, 1.0)[:, None], nearest_face)
    distance = np.where(is_out, away, np.minimum(deepest, 0.0)) - obstacles.rounded_mm[which]
    slope = _round_slope(slope * np.where(is_round[:, None], [1.0, 1.0, 1.0], ways), local, radial, ways, is_round)
    is_flat = kinds == FLAT
    distance = np.where(is_flat, local[:, 2], distance)
    slope[is_flat] = (0.0, 0.0, 1.0)
    return distance, np.einsum("nij,ni->nj", axes, slope)


def _round_slope(
    slope: Points, local: Points, radial: Vector, ways: Points, is_round: NDArray[np.bool_]
) -> Points:
    """Slope of cylinders: the first entry is away from the axis."""
    out = slope[is_round, 0]
    spread = np.where(radial[is_round] > 0.0, radial[is_round], 1.0)
    away = np.where(radial[is_round, None] > 0.0, local[is_round, :2] / spread[:, None], [1.0, 0.0])
    slope[is_round, :2] = out[:, None] * away
    slope[is_round, 2] *= ways[is_round, 2]
    return slope


def _one(
    axes: NDArray[np.float64], middle_mm: Vector, halves_mm: Vector, rounded_mm: float, kind: int
) -> Obstacles:
    return Obstacles(
        axes=axes[None],
        middles_mm=np.asarray(middle_mm, dtype=np.float64)[None],
        halves_mm=np.asarray(halves_mm, dtype=np.float64)[None],
        rounded_mm=np.array([rounded_mm]),
        kinds=np.array([kind], dtype=np.int64),
        follows=np.array([False]),
    )

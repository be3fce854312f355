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
        return self.moved(rotation, np.zeros(3))

    def moved(self, rotation: NDArray[np.float64], origin_mm: Vector) -> "Obstacles":
        """The same obstacles seen from an origin, shape (3,), in a frame into which `rotation`, shape (3, 3), takes."""
        return Obstacles(
            axes=self.axes @ rotation.T,
            middles_mm=(self.middles_mm - origin_mm) @ rotation.T,
            halves_mm=self.halves_mm,
            rounded_mm=self.rounded_mm,
            kinds=self.kinds,
            follows=self.follows,
        )


def together(groups: Sequence[Obstacles]) -> Obstacles:
    """Groups of obstacles as one, in their order."""
    return Obstacles(
        **{
            field.name: np.concatenate([getattr(one, field.name) for one in groups])
            for field in fields(Obstacles)
        }
    )


def half_space(outward: Vector, beyond_mm: float) -> Obstacles:
    """All places `p` with outward · p < beyond: a floor, a wall, a ceiling."""
    other = np.eye(3)[int(np.argmin(np.abs(outward)))]
    side = np.cross(outward, other)
    side /= np.linalg.norm(side)
    axes = np.stack([side, np.cross(outward, side), outward])
    return _one(axes, beyond_mm * outward, np.zeros(3), 0.0, FLAT)


def block(
    axes: NDArray[np.float64], middle_mm: Vector, halves_mm: Vector, *, round_about_z: bool
) -> Obstacles:
    """A box, or a cylinder along its own z.

    Args:
        axes: Its own axes as rows, shape (3, 3).
        middle_mm: Its middle, shape (3,).
        halves_mm: Half its size along each of them, shape (3,).
        round_about_z: Whether it is the cylinder.
    """
    return _one(axes, middle_mm, halves_mm, 0.0, ROUND if round_about_z else 0)


def rails(
    starts_mm: Points, ends_mm: Points, radius_mm: float | Vector, *, follow: bool = False
) -> Obstacles:
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
        rounded_mm=np.broadcast_to(np.asarray(radius_mm, dtype=np.float64), len(z)),
        kinds=np.zeros(len(z), dtype=np.int64),
        follows=np.full(len(z), follow),
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class LocalLines:
    """Straight lines, each seen from the obstacle that it is held against.

    Args:
        starts_mm: Shape (n, 3), in the obstacle's own axes.
        alongs_mm: From start to end, shape (n, 3).
        halves_mm: Half sizes of each line's obstacle, shape (n, 3).
        rounded_mm: Shape (n,).
        is_round: Whether each line's obstacle is a cylinder, shape (n,).
        is_flat: Whether it is a half-space, shape (n,).
    """

    starts_mm: Points
    alongs_mm: Points
    halves_mm: Points
    rounded_mm: Vector
    is_round: NDArray[np.bool_]
    is_flat: NDArray[np.bool_]

    def at(self, share: Vector) -> tuple[Vector, Vector]:
        """Signed distance at shares of the lines, and how it grows along each line; shape (n,) both."""
        local = self.starts_mm + share[:, None] * self.alongs_mm
        beyond = np.abs(local) - self.halves_mm
        growth = np.where(local < 0.0, -self.alongs_mm, self.alongs_mm)
        if self.is_round.any():
            self._about_axis(local, beyond, growth)
        outside = np.maximum(beyond, 0.0)
        away = np.sqrt(np.einsum("ni,ni->n", outside, outside))
        rows, nearest = np.arange(len(beyond)), np.argmax(beyond, axis=1)
        deepest = beyond[rows, nearest]
        within = away <= 0.0
        growing = np.einsum("ni,ni->n", outside, growth) / np.where(within, 1.0, away)
        growing = np.where(within, growth[rows, nearest], growing)
        distance = np.where(within, deepest, away) - self.rounded_mm
        distance = np.where(self.is_flat, local[:, 2], distance)
        return distance, np.where(self.is_flat, self.alongs_mm[:, 2], growing)

    def _about_axis(self, local: Points, beyond: Points, growth: Points) -> None:
        """Put the distance from the axis in the first place of cylinders' rows, and nothing in the second."""
        rows = np.flatnonzero(self.is_round)
        across, along = local[rows, :2], self.alongs_mm[rows, :2]
        radial = np.hypot(across[:, 0], across[:, 1])
        towards = np.einsum("ni,ni->n", across, along) / np.where(radial > 0.0, radial, 1.0)
        beyond[rows, 0] = radial - self.halves_mm[rows, 0]
        growth[rows, 0] = np.where(radial > 0.0, towards, np.hypot(along[:, 0], along[:, 1]))
        beyond[rows, 1], growth[rows, 1] = -np.inf, 0.0


def seen_locally(
    obstacles: Obstacles, which: NDArray[np.int64], starts_mm: Points, ends_mm: Points
) -> LocalLines:
    """Straight lines from start to end, shape (n, 3), each seen from the obstacle `which` of it, shape (n,)."""
    axes, kinds = obstacles.axes[which], obstacles.kinds[which]
    return LocalLines(
        starts_mm=np.einsum("nij,nj->ni", axes, starts_mm - obstacles.middles_mm[which]),
        alongs_mm=np.einsum("nij,nj->ni", axes, ends_mm - starts_mm),
        halves_mm=obstacles.halves_mm[which],
        rounded_mm=obstacles.rounded_mm[which],
        is_round=kinds == ROUND,
        is_flat=kinds == FLAT,
    )


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

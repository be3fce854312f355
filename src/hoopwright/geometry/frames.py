"""Rigid transforms between named frames."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry.vectors import Points, Vector

Frame = Literal["scan", "vehicle", "bar", "machine", "paper"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Transform:
    """Takes points of one frame to another: rotation @ p + shift_mm.

    Args:
        rotation: Proper rotation, shape (3, 3).
        shift_mm: Shape (3,).
        source: Frame of what goes in.
        target: Frame of what comes out.

    Raises:
        ValueError: When `rotation` is not a proper rotation.
    """

    rotation: NDArray[np.float64]
    shift_mm: Vector
    source: Frame
    target: Frame

    def __post_init__(self) -> None:
        turned = self.rotation @ self.rotation.T
        if not np.allclose(turned, np.eye(3), atol=1e-6) or np.linalg.det(self.rotation) < 0:
            msg = f"not a proper rotation from {self.source} to {self.target}"
            raise ValueError(msg)

    @classmethod
    def identity(cls, source: Frame, target: Frame) -> "Transform":
        """Both frames lie on each other."""
        return cls(rotation=np.eye(3), shift_mm=np.zeros(3), source=source, target=target)

    def points(self, points_mm: ArrayLike) -> Points:
        """Points of the source frame, in the target frame; shape (n, 3) or (3,)."""
        moved: Points = np.asarray(points_mm, dtype=np.float64) @ self.rotation.T + self.shift_mm
        return moved

    def directions(self, directions: ArrayLike) -> Points:
        """Directions of the source frame, in the target frame; shape (n, 3) or (3,)."""
        turned: Points = np.asarray(directions, dtype=np.float64) @ self.rotation.T
        return turned

    def inverse(self) -> "Transform":
        """The way back."""
        return Transform(
            rotation=self.rotation.T,
            shift_mm=-self.rotation.T @ self.shift_mm,
            source=self.target,
            target=self.source,
        )

    def then(self, following: "Transform") -> "Transform":
        """This transform and then `following`.

        Raises:
            ValueError: When `following` does not start in the frame where this one ends.
        """
        if self.target != following.source:
            msg = f"a transform to {self.target} cannot be followed by one from {following.source}"
            raise ValueError(msg)
        return Transform(
            rotation=following.rotation @ self.rotation,
            shift_mm=following.points(self.shift_mm),
            source=self.source,
            target=following.target,
        )

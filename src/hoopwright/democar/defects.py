"""What a scanner adds and leaves out: noise, holes, loose pieces, specks, doubled triangles."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.democar.sheets import Floats
from hoopwright.geometry import Points

DOUBLED_SHARE = 0.003
FLIPPED_SHARE = 0.22
LOOSE_PIECES = 14
_WAVES = 14
_COHERENT_SHARE = 0.8
"""Share of the noise's standard deviation that is coherent; the rest is each corner's own."""


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A round hole in the scan.

    Args:
        middle_mm: Its middle in vehicle axes.
        radius_mm: Its radius.
    """

    middle_mm: tuple[float, float, float]
    radius_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Waves:
    """A smooth random field in space with a standard deviation of 1.

    Args:
        vectors: Wave vectors, radians per mm, shape (k, 3).
        phases: Shape (k,), radians.
    """

    vectors: Points
    phases: Floats

    def at(self, points_mm: Points) -> Floats:
        """The field at places of shape (n, 3)."""
        total = np.sin(points_mm @ self.vectors.T + self.phases).sum(axis=1)
        return np.asarray(total * np.sqrt(2.0 / len(self.phases)))


def draw_waves(rng: np.random.Generator) -> Waves:
    """Waves between 60 and 500 mm long in every direction."""
    directions = rng.normal(size=(_WAVES, 3))
    directions /= np.linalg.norm(directions, axis=1, keepdims=True)
    lengths = np.exp(rng.uniform(np.log(60.0), np.log(500.0), _WAVES))
    return Waves(
        vectors=directions * (2.0 * np.pi / lengths)[:, None], phases=rng.uniform(0, 2 * np.pi, _WAVES)
    )


def noise_across(points_mm: Points, waves: Waves, noise_mm: float, rng: np.random.Generator) -> Floats:
    """Error of each place across the surface, in mm, shape (n,)."""
    own = np.sqrt(1.0 - _COHERENT_SHARE**2)
    white = rng.standard_normal(len(points_mm))
    return np.asarray(noise_mm * (_COHERENT_SHARE * waves.at(points_mm) + own * white))


def draw_holes(
    count: int,
    open_points: Points,
    hidden_points: Points,
    keep_mm: Points,
    rng: np.random.Generator,
) -> list[Hole]:
    """Holes in the car: three of five in hidden corners, none within 60 mm of the places to keep.

    Args:
        count: How many.
        open_points: Places on sheets that are seen well, shape (n, 3), mm.
        hidden_points: Places on sheets that are seen badly, shape (m, 3), mm.
        keep_mm: Places that the scan must hold, shape (k, 3), mm.
        rng: Source of chance.
    """
    holes: list[Hole] = []
    while len(holes) < count:
        hidden = rng.random() < 0.6
        pool = hidden_points if hidden else open_points
        middle = pool[rng.integers(len(pool))]
        radius = float(rng.uniform(30.0, 70.0) if hidden else rng.uniform(16.0, 42.0))
        if np.linalg.norm(keep_mm - middle, axis=1).min() > radius + 60.0:
            x, y, z = (float(value) for value in middle)
            holes.append(Hole(middle_mm=(x, y, z), radius_mm=radius))
    return holes


def outside_holes(
    points_mm: Points, triangles: NDArray[np.int32], holes: Sequence[Hole]
) -> NDArray[np.int32]:
    """The triangles with no corner in any of the holes."""
    low, high = points_mm.min(axis=0), points_mm.max(axis=0)
    gone = np.zeros(len(points_mm), dtype=np.bool_)
    for hole in holes:
        middle = np.array(hole.middle_mm)
        if np.all(middle > low - hole.radius_mm) and np.all(middle < high + hole.radius_mm):
            gone |= ((points_mm - middle) ** 2).sum(axis=1) < hole.radius_mm**2
    return triangles[~gone[triangles].any(axis=1)] if gone.any() else triangles


def specks(
    low_mm: Floats, high_mm: Floats, count: int, keep_mm: Points, rng: np.random.Generator
) -> NDArray[np.float32]:
    """Single small triangles in the air, shape (count, 3, 3), none within 30 mm of the places to keep."""
    middles = rng.uniform(low_mm, high_mm, (4 * count + 8, 3))
    near = np.linalg.norm(middles[:, None] - keep_mm[None], axis=2).min(axis=1) < 30.0
    middles = middles[~near][:count]
    corners: NDArray[np.float64] = middles[:, None] + rng.normal(scale=1.6, size=(len(middles), 3, 3))
    return corners.astype(np.float32)


def loose_pieces(
    low_mm: Floats, high_mm: Floats, spacing_mm: float, rng: np.random.Generator
) -> NDArray[np.float32]:
    """Scraps of surface that float below the floor and in the engine bay, shape (n, 3, 3)."""
    pieces = [_scrap(rng.uniform(low_mm, high_mm), spacing_mm, rng) for _ in range(LOOSE_PIECES)]
    return np.concatenate(pieces).astype(np.float32)


def _scrap(middle_mm: Floats, spacing_mm: float, rng: np.random.Generator) -> Points:
    """A bent scrap 30 to 90 mm across, with a random outline."""
    axes = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    half = float(rng.uniform(15.0, 45.0))
    count = max(2, round(2.0 * half / spacing_mm) + 1)
    line = np.linspace(-half, half, count)
    a, b = np.meshgrid(line, line, indexing="ij")
    grid = (
        np.stack([a, b, (a * a - 0.4 * b * b) / 180.0 + rng.normal(scale=0.4, size=a.shape)], axis=-1) @ axes
    )
    corners = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    p, q, r, s = (corner.reshape(-1, 3) for corner in corners)
    inside = np.hypot(p @ axes[0], p @ axes[1]) <= half * 1.05
    inside[0] = True
    return np.concatenate([np.stack([p, q, r], 1)[inside], np.stack([p, r, s], 1)[inside]]) + middle_mm

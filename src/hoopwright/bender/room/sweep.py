"""The least clearance of swinging and sliding tube to convex obstacles over a whole swing, with proof between samples.

A piece of tube is all discs of the tube's radius square to its axis, so that its ends are flat. A disc at place p with
travel t is at least d(p) - r sqrt(1 - (g · t)²) away from an obstacle at signed distance d with gradient g, since d
is convex; along a straight piece this is least where d is least, which a bisection of g · t finds.

No point of a piece moves faster than its rate, so that over a stretch of the swing the clearance cannot fall below
its value in the middle less rate times half the stretch. Stretches that cannot hold the least clearance are dropped,
the others halved, until none is left (branch and bound after J. S. Piyavskii, USSR Comput. Math. Math. Phys. 12
(1972) 57).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.room.fields import FLAT, ROUND, LocalLines, Obstacles, seen_locally
from hoopwright.geometry import Points, Vector

CLOSE_MM = 0.1
"""Least clearances are proven to this, or to `CLOSE_SHARE` of themselves where that is more."""
CLOSE_SHARE = 0.002

_FIRST_STRETCHES = 6
_BISECTIONS = 14
_BATCH = 60_000


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


@dataclass(frozen=True, eq=False, kw_only=True)
class LeastClearances:
    """The least clearance to each group of obstacles.

    Args:
        clearance_mm: Found, negative where the tube cuts in; infinite where nothing was compared; shape (g,).
        proven_mm: No clearance over the whole swing is less, shape (g,).
        swung_deg: At which swing, shape (g,).
        piece: Which piece of the tube, shape (g,).
        place_mm: Where on that piece's axis, head frame, shape (g, 3).
    """

    clearance_mm: Vector
    proven_mm: Vector
    swung_deg: Vector
    piece: NDArray[np.int64]
    place_mm: Points


@dataclass(eq=False)
class _Stretches:
    """Pairs of piece and obstacle, each over one stretch of the swing."""

    piece: NDArray[np.int64]
    obstacle: NDArray[np.int64]
    middle_rad: Vector
    half_rad: Vector
    rate: Vector

    def kept(self, keep: NDArray[np.bool_]) -> "_Stretches":
        return _Stretches(*(column[keep] for column in vars(self).values()))

    def halved(self) -> "_Stretches":
        twice = _Stretches(*(np.concatenate([column, column]) for column in vars(self).values()))
        half = self.half_rad / 2.0
        twice.middle_rad = np.concatenate([self.middle_rad - half, self.middle_rad + half])
        twice.half_rad = np.concatenate([half, half])
        return twice

    def __len__(self) -> int:
        return len(self.piece)


class _Best:
    """The least clearance found so far to each group."""

    def __init__(self, groups: int) -> None:
        self.clearance = np.full(groups, np.inf)
        self.swung = np.zeros(groups)
        self.piece = np.zeros(groups, dtype=np.int64)
        self.place = np.zeros((groups, 3))

    def take(self, group: NDArray[np.int64], value: Vector, at: _Stretches, place: Points) -> None:
        order = np.lexsort((value, group))
        first = order[np.unique(group[order], return_index=True)[1]]
        better = first[value[first] < self.clearance[group[first]]]
        here = group[better]
        self.clearance[here], self.swung[here] = value[better], at.middle_rad[better]
        self.piece[here], self.place[here] = at.piece[better], place[better]

    def close_enough(self, group: NDArray[np.int64]) -> Vector:
        known = np.where(np.isfinite(self.clearance), np.abs(self.clearance), 0.0)
        return np.maximum(CLOSE_MM, CLOSE_SHARE * known)[group]


def least_clearances(
    tube: MovingTube,
    obstacles: Obstacles,
    group_of: NDArray[np.int64],
    pairs: NDArray[np.int64],
    *,
    groups: int,
) -> LeastClearances:
    """The least clearance of the tube to each group of obstacles over the whole swing.

    Args:
        tube: What moves.
        obstacles: What it may hit.
        group_of: Group of each obstacle, shape (m,).
        pairs: Which piece is held against which obstacle, shape (k, 2).
        groups: How many groups there are.
    """
    best = _Best(groups)
    todo = [_first_stretches(tube, obstacles, pairs)]
    while todo:
        now = todo.pop()
        now = now.kept(_screened(tube, obstacles, group_of, now, best))
        if not len(now):
            continue
        value, place = clearances_at(tube, obstacles, now.piece, now.obstacle, now.middle_rad)
        group = group_of[now.obstacle]
        best.take(group, value, now, place)
        lowest = value - now.rate * now.half_rad
        left = now.kept(lowest < best.clearance[group] - best.close_enough(group))
        if len(left):
            todo += _batches(left.halved())
    every = np.arange(groups)
    return LeastClearances(
        clearance_mm=best.clearance,
        proven_mm=best.clearance - best.close_enough(every),
        swung_deg=np.degrees(best.swung),
        piece=best.piece,
        place_mm=best.place,
    )


def clearances_at(
    tube: MovingTube,
    obstacles: Obstacles,
    piece: NDArray[np.int64],
    obstacle: NDArray[np.int64],
    swung_rad: Vector,
) -> tuple[Vector, Points]:
    """Clearance of pieces to obstacles at swings, shape (n,), and where on the axis, shape (n, 3)."""
    start, end = tube.placed(piece, swung_rad)
    follow = _followed(tube, obstacles, obstacle, swung_rad)
    lines = seen_locally(obstacles, obstacle, start - follow, end - follow)
    low, high = np.zeros(len(piece)), np.ones(len(piece))
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        rising = lines.at(middle)[1] > 0.0
        low, high = np.where(rising, low, middle), np.where(rising, middle, high)
    share = np.where(low == 0.0, 0.0, np.where(high == 1.0, 1.0, (low + high) / 2.0))
    return _disc_clearance(lines, share, tube.radii_mm[piece]), start + share[:, None] * (end - start)


def _disc_clearance(lines: LocalLines, share: Vector, radius_mm: Vector) -> Vector:
    """Clearance of the disc at a share of each line, shape (n,)."""
    distance, growth = lines.at(share)
    length2 = np.einsum("ni,ni->n", lines.alongs_mm, lines.alongs_mm)
    cos2 = growth**2 / np.where(length2 > 0.0, length2, 1.0)
    clearance: Vector = distance - radius_mm * np.sqrt(np.clip(1.0 - cos2, 0.0, 1.0))
    return clearance


def _followed(
    tube: MovingTube, obstacles: Obstacles, obstacle: NDArray[np.int64], swung_rad: Vector
) -> Points:
    """How far obstacles that slide with the tail lie from where they lie after the bend, shape (n, 3)."""
    shift = np.zeros((len(obstacle), 3))
    shift[:, 0] = np.where(obstacles.follows[obstacle], tube.clr_mm * (swung_rad - tube.swing_rad), 0.0)
    return shift


def _first_stretches(tube: MovingTube, obstacles: Obstacles, pairs: NDArray[np.int64]) -> _Stretches:
    """Both ends of the swing and some stretches between for each pair; one end where the swing changes nothing."""
    piece, obstacle = pairs[:, 0], pairs[:, 1]
    rate = _rates(tube, obstacles, piece, obstacle)
    moving = np.flatnonzero(rate > 0.0)
    half = tube.swing_rad / (2.0 * _FIRST_STRETCHES)
    middles = [0.0, tube.swing_rad, *(half * (2.0 * np.arange(_FIRST_STRETCHES) + 1.0))]
    halves = [0.0, 0.0, *np.full(_FIRST_STRETCHES, half)]
    still, again = np.flatnonzero(rate == 0.0), np.repeat(moving, len(middles))
    which = np.concatenate([still, again])
    return _Stretches(
        piece[which],
        obstacle[which],
        np.concatenate([np.zeros(len(still)), np.tile(middles, len(moving))]),
        np.concatenate([np.zeros(len(still)), np.tile(halves, len(moving))]),
        rate[which],
    )


def _rates(
    tube: MovingTube, obstacles: Obstacles, piece: NDArray[np.int64], obstacle: NDArray[np.int64]
) -> Vector:
    """Fastest that a piece can near an obstacle, mm for each radian.

    What a swing brings toward a half-space is the share of its normal across the die's axis; toward a cylinder about
    that axis it brings nothing.
    """
    swinging = tube.swinging[piece]
    rate = tube.rates_mm_per_rad()[piece]
    upright = np.hypot(obstacles.axes[obstacle, 2, 0], obstacles.axes[obstacle, 2, 1])
    flat = obstacles.kinds[obstacle] == FLAT
    ahead = np.abs(obstacles.axes[obstacle, 2, 0])
    rate = np.where(flat, rate * np.where(swinging, upright, ahead), rate)
    off_axis = np.hypot(obstacles.middles_mm[obstacle, 0], obstacles.middles_mm[obstacle, 1])
    about = (obstacles.kinds[obstacle] == ROUND) & (upright < 1e-9) & (off_axis < 1e-9) & swinging
    rate = np.where(about, 0.0, rate)
    follows = obstacles.follows[obstacle]
    return np.where(follows, np.where(swinging, rate + tube.clr_mm, 0.0), rate)


def _screened(
    tube: MovingTube, obstacles: Obstacles, group_of: NDArray[np.int64], now: _Stretches, best: _Best
) -> NDArray[np.bool_]:
    """Which stretches can hold a least clearance, by the middle of each piece alone."""
    start, end = tube.placed(now.piece, now.middle_rad)
    follow = _followed(tube, obstacles, now.obstacle, now.middle_rad)
    lines = seen_locally(obstacles, now.obstacle, start - follow, end - follow)
    clearance = _disc_clearance(lines, np.full(len(now), 0.5), tube.radii_mm[now.piece])
    group = group_of[now.obstacle]
    best.take(group, clearance, now, (start + end) / 2.0)
    half_length = np.linalg.norm(end - start, axis=1) / 2.0
    lowest = (
        lines.at(np.full(len(now), 0.5))[0] - tube.radii_mm[now.piece] - half_length - now.rate * now.half_rad
    )
    kept: NDArray[np.bool_] = lowest < best.clearance[group] - best.close_enough(group)
    return kept


def _batches(stretches: _Stretches) -> list[_Stretches]:
    """Stretches in lots that fit the memory, the most promising last so that it is taken first."""
    count = -(-len(stretches) // _BATCH)
    if count == 1:
        return [stretches]
    return [stretches.kept(np.arange(len(stretches)) % count == lot) for lot in range(count)]

"""The least clearance of swinging and sliding tube to convex obstacles over a whole swing, with proof between samples.

No point of a piece moves faster than its rate, so that over a stretch of the swing the clearance cannot fall below
its value in the middle less rate times half the stretch. Stretches that cannot hold the least clearance are dropped,
the others halved, until none is left (branch and bound after J. S. Piyavskii, USSR Comput. Math. Math. Phys. 12
(1972) 57).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.room.fields import FLAT, ROUND, Obstacles, seen_locally
from hoopwright.bender.room.moving import MovingTube, clearances_at, disc_clearance, followed
from hoopwright.geometry import Points, Vector

CLOSE_MM = 0.1
"""Least clearances are proven to this, or to `CLOSE_SHARE` of themselves where that is more."""
CLOSE_SHARE = 0.002

_FIRST_STRETCHES = 6
_BATCH = 60_000


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
    follow = followed(tube, obstacles, now.obstacle, now.middle_rad)
    lines = seen_locally(obstacles, now.obstacle, start - follow, end - follow)
    clearance = disc_clearance(lines, np.full(len(now), 0.5), tube.radii_mm[now.piece])
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

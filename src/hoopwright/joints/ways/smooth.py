"""Making a found way shorter: a stretch between two of its places is replaced by a straight one that is free too."""

import itertools
from collections.abc import Sequence

import numpy as np

from hoopwright.shell.moving import BallBody, Pose, Surroundings, between, free_share

_TRIALS = 150


def shortened(
    around: Surroundings, body: BallBody, poses: Sequence[Pose], *, seed: int, trials: int = _TRIALS
) -> tuple[Pose, ...]:
    """The way with what is roundabout cut off; the first and the last pose stay.

    Args:
        around: What it passes.
        body: What is moved.
        poses: The way.
        seed: Of the random numbers.
        trials: How many stretches are tried.
    """
    way = list(poses)
    random = np.random.default_rng(seed)
    for _ in range(trials):
        if len(way) < 3:
            break
        lengths = np.cumsum([0.0, *(motion_mm(body, a, b) for a, b in itertools.pairwise(way))])
        first, second = np.sort(random.uniform(0.0, lengths[-1], 2))
        i, j = (
            int(np.clip(np.searchsorted(lengths, x, side="right") - 1, 0, len(way) - 2))
            for x in (first, second)
        )
        if i == j:
            continue
        start = between(way[i], way[i + 1], (first - lengths[i]) / max(lengths[i + 1] - lengths[i], 1e-9))
        end = between(way[j], way[j + 1], (second - lengths[j]) / max(lengths[j + 1] - lengths[j], 1e-9))
        old = (lengths[j] - first) + (second - lengths[j])
        if motion_mm(body, start, end) < 0.98 * old and free_share(around, body, start, end) == 1.0:
            way[i + 1 : j + 1] = [start, end]
    return tuple(way)


def motion_mm(body: BallBody, start: Pose, end: Pose) -> float:
    """How far the farthest ball moves at most from pose to pose."""
    dot = min(1.0, abs(float(start[3:] @ end[3:])))
    return float(np.linalg.norm(end[:3] - start[:3])) + 2.0 * float(np.arccos(dot)) * body.farthest_mm

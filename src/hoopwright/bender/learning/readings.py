"""Samples and logged bends as one list of readings."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bender.learning.bends import BendReading
from hoopwright.bender.learning.moments import Flags, Moments, Numbers, Vector, design_rows, sum_up
from hoopwright.bender.learning.steels import LinePrior
from hoopwright.bender.samples import Samples


@dataclass(frozen=True, kw_only=True, eq=False)
class Readings:
    """Angles under load and after release, samples first, then the log in order of time.

    Args:
        keys: What each is known by.
        batches: Names of the batches, the samples' first.
        batch: Number of each reading's batch, shape (n,).
        command_deg: Shape (n,).
        released_deg: Shape (n,).
        bend_count: Logged bends before each one, shape (n,).
        sampled: How many of them, at the head, are samples.
    """

    keys: tuple[str, ...]
    batches: tuple[str, ...]
    batch: Numbers
    command_deg: Vector
    released_deg: Vector
    bend_count: Vector
    sampled: int

    def rows(self) -> Vector:
        """Their equations, shape (n, 5)."""
        return design_rows(self.command_deg, self.bend_count)

    def values(self, prior: LinePrior) -> Vector:
        """Springback less what was expected before any bend, shape (n,)."""
        values: Vector = self.command_deg - self.released_deg - self.rows() @ prior.mean_deg
        return values

    def moments(self, prior: LinePrior, counted: Flags) -> Moments:
        """The sums over those that count, shape of `counted` (n,)."""
        kept = np.flatnonzero(counted)
        rows, values = self.rows()[kept], self.values(prior)[kept]
        return sum_up(rows, values, self.batch[kept], len(self.batches))


def list_readings(samples: Samples, bends: Sequence[BendReading]) -> Readings:
    """The readings of samples and of bends that are in order of time."""
    names = dict.fromkeys((samples.batch, *(bend.batch for bend in bends)))
    number = {name: index for index, name in enumerate(names)}
    angles = samples.angles
    return Readings(
        keys=(*(f"angle sample {index}" for index in range(1, len(angles) + 1)), *(b.key for b in bends)),
        batches=tuple(names),
        batch=np.array([0] * len(angles) + [number[bend.batch] for bend in bends], dtype=np.intp),
        command_deg=np.array([*(one.command_deg for one in angles), *(bend.command_deg for bend in bends)]),
        released_deg=np.array(
            [*(one.released_deg for one in angles), *(bend.released_deg for bend in bends)]
        ),
        bend_count=np.array([0.0] * len(angles) + list(range(len(bends))), dtype=float),
        sampled=len(angles),
    )

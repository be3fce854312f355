"""Which bend, of which angle, would narrow the bands most, and whether a batch wants a sample first."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bender.learning.learn import Learnt
from hoopwright.bender.learning.mixture import Vector
from hoopwright.bender.learning.moments import GROWTH, design_rows
from hoopwright.bender.learning.posterior import AtNode
from hoopwright.bender.next_sample import CANDIDATE_ANGLES_DEG

NEEDED_DEG = (10.0, 45.0, 90.0)
NARROWER_DEG = 0.15
"""By so much must a sample narrow half a band to be worth the tube; common practice, no source."""
_BAND = 1.96


@dataclass(frozen=True, kw_only=True)
class NextBend:
    """The sample to bend next.

    Args:
        batch: Of which batch.
        command_deg: Command to bend it to.
        before_deg: Half bands now at 10, 45 and 90 degrees.
        after_deg: Half bands to expect with the sample.
        worth_it: Whether it narrows any of them by 0.15 degrees or more.
    """

    batch: str
    command_deg: float
    before_deg: tuple[float, ...]
    after_deg: tuple[float, ...]
    worth_it: bool

    @property
    def sentence(self) -> str:
        """In words."""
        name = f" of batch '{self.batch}'" if self.batch else ""
        if not self.worth_it:
            return f"No sample{name} narrows any band by {NARROWER_DEG:g}°; log what you bend."
        parts = [
            f"at {angle:g}° from ± {before:.2f}° to ± {after:.2f}°"
            for angle, before, after in zip(NEEDED_DEG, self.before_deg, self.after_deg, strict=True)
        ]
        return f"Bend a sample{name} to {self.command_deg:g}° under load first: band {', '.join(parts)}."


def best_next_bend(learnt: Learnt, *, batch: str | None = None) -> NextBend:
    """The angle whose reading would narrow the bands most, summed as squares.

    In a linear fit what a reading will narrow does not hang on what it will say, so it is known beforehand.

    Args:
        learnt: What was learnt.
        batch: The batch that is to be bent; None for that of the samples.
    """
    name = learnt.samples.batch if batch is None else batch
    number = learnt.batch_number(name)
    rows = design_rows(np.array([*NEEDED_DEG, *CANDIDATE_ANGLES_DEG]), np.array(learnt.next_count))
    needed, posterior = len(NEEDED_DEG), learnt.posterior
    before = np.zeros(needed)
    after = np.zeros((len(CANDIDATE_ANGLES_DEG), needed))
    for fit, weight in zip(posterior.fits, posterior.weights, strict=True):
        line = line_covariance(fit, rows, number)
        own = np.diag(line)
        noise = fit.scatter_deg**2
        narrowed = line[needed:, :needed] ** 2 / (own[needed:, None] + noise)
        before += weight * (own[:needed] + noise)
        after += weight * (own[:needed] - narrowed + noise)
    best = int(np.argmin(after.sum(axis=1)))
    half_before, half_after = _BAND * np.sqrt(before), _BAND * np.sqrt(after[best])
    return NextBend(
        batch=name,
        command_deg=CANDIDATE_ANGLES_DEG[best],
        before_deg=tuple(float(value) for value in half_before),
        after_deg=tuple(float(value) for value in half_after),
        worth_it=bool(np.max(half_before - half_after) >= NARROWER_DEG),
    )


def line_covariance(fit: AtNode, rows: Vector, number: int) -> Vector:
    """Covariance of the line at several commands of one batch, shape (n, n); number -1 is a new batch."""
    grown = rows[:, GROWTH]
    own_variance = fit.batch_deg**2 if number < 0 else fit.own_variance[number]
    effective = rows if number < 0 else rows - grown[:, None] * fit.pulls[number]
    covariance: Vector = effective @ fit.covariance @ effective.T + np.outer(grown, grown) * own_variance
    return covariance

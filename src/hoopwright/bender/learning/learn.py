"""Samples and logged bends to what is known of a die, tube and batch now."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bender.learning.bends import BendLog, BendReading, tidy_log
from hoopwright.bender.learning.left_out import Screened, screen
from hoopwright.bender.learning.moments import Flags
from hoopwright.bender.learning.posterior import Posterior
from hoopwright.bender.learning.readings import Readings, list_readings
from hoopwright.bender.learning.steels import LinePrior, line_prior
from hoopwright.bender.samples import LARGEST_COMMAND_DEG, Samples
from hoopwright.findings import Finding

SCATTERED = 3.0
"""Times the stated scatter from which readings are called contradicting; common practice, no source."""
SURE_SHARE = 0.95


@dataclass(frozen=True, kw_only=True, eq=False)
class Learnt:
    """What samples and logged bends say together.

    Args:
        samples: The sample bends.
        logged: The log as it was given.
        bends: The logged bends as they were taken, each once, in order of time.
        prior: What was believed of the springback before the first.
        readings: Samples and bends as one list.
        screened: The fit, and which readings it counts.
        findings: What was wrong with the list, and which readings were set aside.
    """

    samples: Samples
    logged: tuple[BendReading, ...]
    bends: tuple[BendReading, ...]
    prior: LinePrior
    readings: Readings
    screened: Screened
    findings: tuple[Finding, ...] = ()

    @property
    def posterior(self) -> Posterior:
        """The learnt line."""
        return self.screened.posterior

    @property
    def counted(self) -> Flags:
        """Which readings were learnt from, shape (n,)."""
        return self.screened.counted

    @property
    def next_count(self) -> float:
        """Bends logged so far: the next one's place along the drift."""
        return float(len(self.bends))

    def batch_number(self, name: str) -> int:
        """Number of a batch that bends were read of; -1 for one that is new."""
        for index, known in enumerate(self.readings.batches):
            if known == name and bool(np.any(self.readings.batch[self.counted] == index)):
                return index
        return -1


def learn(
    samples: Samples,
    bends: Sequence[BendReading] = (),
    *,
    clr_mm: float | None = None,
    die_reach_deg: float = LARGEST_COMMAND_DEG,
) -> Learnt:
    """The learnt calibration: theory as first belief, samples over it, then every logged bend.

    Args:
        samples: Sample bends; without angles the theory alone is what is known at first.
        bends: Bends as they were logged.
        clr_mm: Finished radius, if known, for the theory.
        die_reach_deg: Greatest angle that the die reaches under load.

    Raises:
        UserError: `LEARN-001` to `LEARN-003` for input that cannot be.
    """
    log = tidy_log(bends, die_reach_deg=die_reach_deg)
    return _learn(samples, line_prior(samples, clr_mm=clr_mm), log)


def relearn(learnt: Learnt, bends: Sequence[BendReading]) -> Learnt:
    """The calibration from the same samples and belief with other bends."""
    return _learn(learnt.samples, learnt.prior, tidy_log(bends))


def refine(learnt: Learnt, *bends: BendReading) -> Learnt:
    """The calibration with further bends; the same as if all had been there from the start.

    Raises:
        UserError: as `learn`.
    """
    return relearn(learnt, (*learnt.logged, *bends))


def _learn(samples: Samples, prior: LinePrior, log: BendLog) -> Learnt:
    readings = list_readings(samples, log.bends)
    screened = screen(prior, readings)
    return Learnt(
        samples=samples,
        logged=log.listed,
        bends=log.bends,
        prior=prior,
        readings=readings,
        screened=screened,
        findings=(*log.findings, *_said_of(readings, screened)),
    )


def _said_of(readings: Readings, screened: Screened) -> tuple[Finding, ...]:
    """Readings that were set aside, or that contradict one another."""
    if screened.contradicting or _scatters(screened) > SURE_SHARE:
        return (_contradiction(readings, screened),)
    counts = np.bincount(readings.batch, minlength=len(readings.batches))
    return tuple(
        _set_aside(readings, screened, int(index), alone=counts[readings.batch[index]] == 1)
        for index in np.flatnonzero(~screened.counted)
    )


def _set_aside(readings: Readings, screened: Screened, index: int, *, alone: bool) -> Finding:
    off, key = screened.off_deg[index], readings.keys[index]
    batch = readings.batches[readings.batch[index]]
    todo = "Measure it again if it is still at hand; look for a wrong row, a slip, or the included angle."
    if alone:
        todo = (
            f"It is the only bend of batch '{batch}': bend one more of it to tell a slip from another steel."
        )
    return Finding(
        code="LEARN-010",
        sentence=f"'{key}' is not learnt from: {readings.command_deg[index]:g}° under load left "
        f"{readings.released_deg[index]:g}°, {abs(off):.1f}° {'less' if off > 0 else 'more'} than the others let "
        f"expect (by chance {_chance(screened.rarity_share[index])}).",
        todo=todo,
        objects=(key,),
        measured=float(off),
        unit="deg",
    )


def _chance(share: float) -> str:
    return f"1 in {round(1.0 / share):,}" if share > 1e-7 else "less than 1 in 10 million"


def _scatters(screened: Screened) -> float:
    """Probability that the readings scatter far more than was stated."""
    found = screened.posterior
    far = found.nodes.scatter_deg > SCATTERED * found.prior.scatter_sd_deg
    return float(found.weights[far].sum())


def _contradiction(readings: Readings, screened: Screened) -> Finding:
    found = screened.posterior
    scatter = float(found.weights @ found.nodes.scatter_deg)
    worst = np.argsort(screened.rarity_share)[:4]
    listed = ", ".join(f"'{readings.keys[index]}' {screened.off_deg[index]:+.1f}°" for index in worst)
    return Finding(
        code="LEARN-011",
        sentence=f"The readings contradict one another: they lie {scatter:.2g}° about the line where "
        f"{found.prior.scatter_sd_deg:g}° was stated, too many to call any of them wrong. Farthest off: {listed}.",
        todo="Look for mixed batches under one name, exchanged columns or included angles; bend 20 and 90 again.",
        objects=tuple(readings.keys[index] for index in worst),
        measured=scatter,
        limit=SCATTERED * found.prior.scatter_sd_deg,
        unit="deg",
    )

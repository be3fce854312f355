"""A drift along the log and a sudden change, noticed with their numbers."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from hoopwright.bender.learning.ahead import one_step_ahead
from hoopwright.bender.learning.batches import batch_findings
from hoopwright.bender.learning.learn import Learnt
from hoopwright.bender.learning.mixture import Mixture
from hoopwright.bender.learning.moments import DRIFT
from hoopwright.bender.learning.saying import (
    MATTERS_DEG,
    SURE_SHARE,
    beyond_what_matters,
    sure_in_words,
)
from hoopwright.findings import Finding

RECENT_BENDS = 8
RECENT_LIMIT_SCORE = 3.3
"""Of 1000 benders without any change one is called changed, for each time of looking."""


@dataclass(frozen=True, kw_only=True)
class DriftNotice:
    """How the springback changed over the bends that were logged.

    Args:
        bend_count: Bends logged.
        grown_deg: Springback now more than at the first, at every angle.
        grown_sd_deg: Its standard deviation.
        sure_share: Probability that it changed by more than 0.3 degrees, either way.
        drifting: Whether that is sure enough to say so.
    """

    bend_count: int
    grown_deg: float
    grown_sd_deg: float
    sure_share: float
    drifting: bool


def drift_notice(learnt: Learnt) -> DriftNotice:
    """How far the springback has moved along the log."""
    span = max(len(learnt.bends) - 1, 0) / 100.0
    fits = learnt.posterior.fits
    grown = Mixture(
        weights=learnt.posterior.weights,
        means=span * np.array([fit.mean[DRIFT] for fit in fits]),
        sds=np.maximum(span * np.sqrt(np.array([fit.covariance[DRIFT, DRIFT] for fit in fits])), 1e-12),
    )
    sure = float(beyond_what_matters(grown))
    return DriftNotice(
        bend_count=len(learnt.bends),
        grown_deg=float(grown.mean()),
        grown_sd_deg=float(grown.sd()),
        sure_share=sure,
        drifting=sure >= SURE_SHARE,
    )


def notice_findings(learnt: Learnt, foretold: Mixture | None = None) -> tuple[Finding, ...]:
    """What a person must hear of batches, drift and change.

    Args:
        learnt: What was learnt.
        foretold: `foretold_in_turn`, where it is at hand.
    """
    drift = drift_notice(learnt)
    return (
        *batch_findings(learnt),
        *((_drifting(drift),) if drift.drifting else ()),
        *_recent_change(learnt, foretold),
    )


def _drifting(drift: DriftNotice) -> Finding:
    return Finding(
        code="LEARN-031",
        sentence=f"Over {drift.bend_count} bends the springback has "
        f"{'grown' if drift.grown_deg > 0.0 else 'shrunk'} by {abs(drift.grown_deg):.1f} ± "
        f"{1.96 * drift.grown_sd_deg:.1f}° at every angle ({sure_in_words(drift.sure_share)} that it is over "
        f"{MATTERS_DEG:g}°).",
        todo="Commands follow it. Look for wear: pins, bushes, the die's seat, the zero of the gauge.",
        measured=drift.grown_deg,
        limit=MATTERS_DEG,
        unit="deg",
    )


def _recent_change(learnt: Learnt, foretold: Mixture | None) -> tuple[Finding, ...]:
    """The last bends, each against what was foretold for it: independent standard scores if nothing changed."""
    recent = [index for index in np.flatnonzero(learnt.counted) if index >= learnt.readings.sampled]
    if len(recent) < RECENT_BENDS + 2:
        return ()
    foretold = foretold or foretold_in_turn(learnt)
    chosen = recent[-RECENT_BENDS:]
    measured = (learnt.readings.command_deg - learnt.readings.released_deg)[chosen]
    last = Mixture(weights=foretold.weights[chosen], means=foretold.means[chosen], sds=foretold.sds[chosen])
    scores = ndtri(np.clip(last.below(measured), 1e-9, 1.0 - 1e-9))
    score = float(scores.sum()) / math.sqrt(RECENT_BENDS)
    if abs(score) < RECENT_LIMIT_SCORE:
        return ()
    off = float(np.mean(measured - last.mean()))
    return (
        Finding(
            code="LEARN-032",
            sentence=f"The last {RECENT_BENDS} bends sprang back {abs(off):.1f}° {'more' if off > 0.0 else 'less'} "
            f"on average than was foretold for each ({abs(score):.1f} times what chance does; limit "
            f"{RECENT_LIMIT_SCORE:g}).",
            todo="Something changed: another batch under the old name, the gauge's zero, a loose die. Bend 20 and 90 "
            "as samples again; if die or machine were changed, begin a new log with them.",
            measured=off,
            unit="deg",
        ),
    )


def foretold_in_turn(learnt: Learnt) -> Mixture:
    """Springback of each reading as it was to be expected from those before it, shape (n, K)."""
    readings, prior = learnt.readings, learnt.prior
    rows = readings.rows()
    expected, _ = one_step_ahead(
        prior,
        rows,
        readings.values(prior),
        readings.batch,
        learnt.posterior.nodes,
        counted=learnt.counted,
    )
    return Mixture(
        weights=expected.weights, means=expected.means + (rows @ prior.mean_deg)[:, None], sds=expected.sds
    )

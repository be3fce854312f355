"""A batch that behaves differently, a drift, a sudden change: noticed, with numbers."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from hoopwright.bender.learning.ahead import one_step_ahead
from hoopwright.bender.learning.learn import Learnt
from hoopwright.bender.learning.mixture import Mixture, Vector
from hoopwright.bender.learning.moments import DRIFT
from hoopwright.findings import Finding, Severity

MATTERS_DEG = 0.3
"""At 90 degrees; less is not worth a word. Common practice, no source."""
SURE_SHARE = 0.95
_AS_FAR, _FEW, _TIE_DEG = 0.8, 30, 1e-6
_MOST_NAMED = 5
ENOUGH_BENDS = 3
RECENT_BENDS = 8
RECENT_LIMIT_SCORE = 3.3
"""Of 1000 benders without any change one is called changed, for each time of looking."""


@dataclass(frozen=True, kw_only=True)
class BatchNotice:
    """How a batch compares with the others.

    Args:
        batch: Its name.
        bend_count: Readings of it that count.
        off_deg: Springback at 90 more than that of the others, each other reading with one vote.
        off_sd_deg: Its standard deviation.
        sure_share: Probability that it is off by more than 0.3 degrees at 90, either way.
        different: Whether that is sure enough to say so.
    """

    batch: str
    bend_count: int
    off_deg: float
    off_sd_deg: float
    sure_share: float
    different: bool


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


def batch_notices(learnt: Learnt) -> tuple[BatchNotice, ...]:
    """Each batch against the others, in the order in which they came; none where there is only one.

    A batch that was found to be different has no vote in what the others do, so that it alone is called so.
    """
    counts = np.bincount(
        learnt.readings.batch[learnt.counted], minlength=len(learnt.readings.batches)
    ).astype(float)
    if np.count_nonzero(counts) < 2:
        return ()
    far = _off_the_middle(learnt, counts)
    votes, different = counts.copy(), np.zeros(len(counts), dtype=bool)
    off, sure = _against(learnt, counts, votes)
    while (fresh := _farthest(far, sure, votes)).any():
        different |= fresh
        votes = np.where(fresh, 0.0, votes)
        off, sure = _against(learnt, counts, votes)
    means, sds = off.mean(), off.sd()
    return tuple(
        BatchNotice(
            batch=name,
            bend_count=int(counts[index]),
            off_deg=float(means[index]),
            off_sd_deg=float(sds[index]),
            sure_share=float(sure[index]),
            different=bool(different[index]),
        )
        for index, name in enumerate(learnt.readings.batches)
        if counts[index]
    )


def _against(learnt: Learnt, counts: Vector, votes: Vector) -> tuple[Mixture, Vector]:
    """Each batch against those that vote, and how sure it is that it is off by more than matters."""
    off = _off_the_others(learnt, votes)
    return off, np.where(counts > 0.0, _beyond(off), 0.0)


def _off_the_middle(learnt: Learnt, counts: Vector) -> Vector:
    """How far each batch's growth lies from the middle one of all, without sign, shape (B,)."""
    found = learnt.posterior
    growths = np.array([fit.own - fit.pulls @ fit.mean for fit in found.fits])
    growth = found.weights @ growths
    return np.abs(growth - np.median(growth[counts > 0.0]))


def _farthest(far: Vector, sure: Vector, votes: Vector) -> Vector:
    """The voting batch farthest from the middle of those that are surely off, as a mask.

    Of two as far it is the later one: the calibration began with the earlier. Among many batches all that are
    nearly as far are taken at once.
    """
    fresh: Vector = (sure >= SURE_SHARE) & (votes > 0.0)
    if np.count_nonzero(votes) < 2 or not fresh.any():
        return np.zeros_like(fresh)
    farthest = far[fresh].max()
    if len(votes) > _FEW:
        return fresh & (far >= _AS_FAR * farthest)
    last = np.flatnonzero(fresh & (far >= farthest - _TIE_DEG))[-1]
    return np.arange(len(far)) == last


def _off_the_others(learnt: Learnt, votes: Vector) -> Mixture:
    """Growth of each batch less that of the others, each with its votes, shape (B, K)."""
    shares = 1.0 / np.maximum(votes.sum() - votes, 1.0)
    means, variances = [], []
    for fit in learnt.posterior.fits:
        own = fit.own - shares * (votes @ fit.own - votes * fit.own)
        pulls = fit.pulls - shares[:, None] * (votes @ fit.pulls - votes[:, None] * fit.pulls)
        squared = votes**2 * fit.own_variance
        means.append(own - pulls @ fit.mean)
        variances.append(
            fit.own_variance
            + shares**2 * (squared.sum() - squared)
            + np.einsum("bi,ij,bj->b", pulls, fit.covariance, pulls)
        )
    sds = np.sqrt(np.stack(variances, axis=-1))
    return Mixture(weights=learnt.posterior.weights, means=np.stack(means, axis=-1), sds=sds)


def _beyond(off: Mixture) -> Vector:
    """Probability of more than what matters, either way."""
    return off.below(-MATTERS_DEG) + 1.0 - off.below(MATTERS_DEG)


def drift_notice(learnt: Learnt) -> DriftNotice:
    """How far the springback has moved along the log."""
    span = max(len(learnt.bends) - 1, 0) / 100.0
    fits = learnt.posterior.fits
    grown = Mixture(
        weights=learnt.posterior.weights,
        means=span * np.array([fit.mean[DRIFT] for fit in fits]),
        sds=np.maximum(span * np.sqrt(np.array([fit.covariance[DRIFT, DRIFT] for fit in fits])), 1e-12),
    )
    sure = float(_beyond(grown))
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
        *_different_batches(learnt),
        *((_drifting(drift),) if drift.drifting else ()),
        *_recent_change(learnt, foretold),
    )


def _different_batches(learnt: Learnt) -> Iterator[Finding]:
    """The latest of them; a long log has many that were used up long ago."""
    different = [one for one in batch_notices(learnt) if one.different]
    yield from (_different(one) for one in different[-_MOST_NAMED:])
    if len(different) > _MOST_NAMED:
        yield Finding(
            code="LEARN-033",
            severity=Severity.NOTE,
            sentence=f"{len(different) - _MOST_NAMED} earlier batches differed from the others too.",
        )


def _different(notice: BatchNotice) -> Finding:
    few = notice.bend_count < ENOUGH_BENDS
    return Finding(
        code="LEARN-030",
        sentence=f"Batch '{notice.batch or 'without a name'}' springs back {abs(notice.off_deg):.1f} ± "
        f"{1.96 * notice.off_sd_deg:.1f}° {'more' if notice.off_deg > 0.0 else 'less'} at 90° than the others "
        f"({bends_in_words(notice.bend_count)}; {sure_in_words(notice.sure_share)} that it is over {MATTERS_DEG:g}°).",
        todo="Bend one more sample of it at 90 first: with so few bends a misread one looks the same."
        if few
        else "Its own bends are used for it: name the batch with every command.",
        objects=(notice.batch,),
        measured=notice.off_deg,
        limit=MATTERS_DEG,
        unit="deg",
    )


def bends_in_words(count: int) -> str:
    """`1 bend`, `2 bends`."""
    return f"{count} bend{'' if count == 1 else 's'}"


def sure_in_words(share: float) -> str:
    """A probability without ever claiming all of it."""
    return "over 99% sure" if share > 0.99 else f"{share:.0%} sure"


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
            "as samples again.",
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

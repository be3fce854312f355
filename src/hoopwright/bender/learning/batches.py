"""A batch that behaves differently from the others, noticed with its numbers."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hoopwright.bender.learning.learn import Learnt
from hoopwright.bender.learning.mixture import Mixture, Vector
from hoopwright.bender.learning.moments import Flags
from hoopwright.bender.learning.saying import (
    MATTERS_DEG,
    SURE_SHARE,
    bends_in_words,
    beyond_what_matters,
    sure_in_words,
)
from hoopwright.findings import Finding, Severity

ENOUGH_BENDS = 3
_AS_FAR, _FEW, _TIE_DEG = 0.8, 30, 1e-6
_MOST_NAMED = 5


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
    return off, np.where(counts > 0.0, beyond_what_matters(off), 0.0)


def _off_the_middle(learnt: Learnt, counts: Vector) -> Vector:
    """How far each batch's growth lies from the middle one of all, without sign, shape (B,)."""
    found = learnt.posterior
    growths = np.array([fit.own - fit.pulls @ fit.mean for fit in found.fits])
    growth = found.weights @ growths
    far: Vector = np.abs(growth - np.median(growth[counts > 0.0]))
    return far


def _farthest(far: Vector, sure: Vector, votes: Vector) -> Flags:
    """The voting batch farthest from the middle of those that are surely off, as a mask.

    Of two as far it is the later one: the calibration began with the earlier. Among many batches all that are
    nearly as far are taken at once.
    """
    fresh: Flags = (sure >= SURE_SHARE) & (votes > 0.0)
    if np.count_nonzero(votes) < 2 or not fresh.any():
        return np.zeros_like(fresh)
    farthest = far[fresh].max()
    if len(votes) > _FEW:
        fresh &= far >= _AS_FAR * farthest
        return fresh
    last = np.flatnonzero(fresh & (far >= farthest - _TIE_DEG))[-1]
    later: Flags = np.arange(len(far)) == last
    return later


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


def batch_findings(learnt: Learnt) -> Iterator[Finding]:
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

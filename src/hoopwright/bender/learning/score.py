"""How well bends that were not seen are foretold: the only score."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bender.learning.changes import foretold_in_turn
from hoopwright.bender.learning.commands import HIGH_SHARE, LOW_SHARE
from hoopwright.bender.learning.learn import Learnt, relearn
from hoopwright.bender.learning.left_out import expected_without
from hoopwright.bender.learning.mixture import Mixture, Vector
from hoopwright.bender.learning.moments import Numbers

_WIDTHS = 200


@dataclass(frozen=True, kw_only=True)
class ScoreRow:
    """A score over unseen bends.

    Args:
        name: How they were held out, in words.
        bend_count: How many.
        held_count: How many lay in their 95 % band.
        rms_deg: Root mean square error of the foretold angle; None without a bend.
        set_aside_count: How many of them were not learnt from.
        counted_rms_deg: The error without those; None where none is left.
        half_band_deg: Half of the bands' width, on average; None without a bend.
        fixed_rms_deg: The same error with the samples alone, nothing learnt from the log; None where that is
            no comparison.
    """

    name: str
    bend_count: int
    held_count: int
    rms_deg: float | None
    half_band_deg: float | None
    set_aside_count: int = 0
    counted_rms_deg: float | None = None
    fixed_rms_deg: float | None = None

    @property
    def held_share(self) -> float | None:
        """Share that lay in their band; None without a bend."""
        return self.held_count / self.bend_count if self.bend_count else None


def score(learnt: Learnt, foretold: Mixture | None = None) -> tuple[ScoreRow, ...]:
    """Each reading left out in turn; each logged bend from those before it; first bends of a batch among them.

    Readings that were set aside are foretold and counted like any other.

    Args:
        learnt: What was learnt.
        foretold: `foretold_in_turn`, where it is at hand.
    """
    readings = learnt.readings
    everything = np.arange(len(readings.keys))
    logged = everything[readings.sampled :]
    ahead = foretold or foretold_in_turn(learnt)
    fixed = _samples_alone(learnt)
    _, first = np.unique(readings.batch, return_index=True)
    firsts = np.intersect1d(first, logged)
    firsts = firsts[firsts > 0]
    left_out = expected_without(learnt.posterior, readings, learnt.counted)
    return (
        _row("each left out in turn", learnt, left_out, everything, None),
        _row("each logged bend, from those before it", learnt, ahead, logged, fixed),
        _row("first bends of a batch among them", learnt, ahead, firsts, fixed),
    )


def _row(name: str, learnt: Learnt, foretold: Mixture, chosen: Numbers, fixed: Vector | None) -> ScoreRow:
    measured = (learnt.readings.command_deg - learnt.readings.released_deg)[chosen]
    if len(chosen) == 0:
        return ScoreRow(name=name, bend_count=0, held_count=0, rms_deg=None, half_band_deg=None)
    weights = np.broadcast_to(foretold.weights, foretold.means.shape)[chosen]
    expected = Mixture(weights=weights, means=foretold.means[chosen], sds=foretold.sds[chosen])
    below = expected.below(measured)
    some = slice(None, None, max(1, len(chosen) // _WIDTHS))
    shown = Mixture(weights=weights[some], means=expected.means[some], sds=expected.sds[some])
    width = shown.quantile(HIGH_SHARE) - shown.quantile(LOW_SHARE)
    error, kept = measured - expected.mean(), learnt.counted[chosen]
    return ScoreRow(
        name=name,
        bend_count=len(chosen),
        held_count=int(np.sum((below > LOW_SHARE) & (below < HIGH_SHARE))),
        rms_deg=_rms(error),
        set_aside_count=int(np.sum(~kept)),
        counted_rms_deg=_rms(error[kept]) if kept.any() else None,
        half_band_deg=float(np.mean(width)) / 2.0,
        fixed_rms_deg=None if fixed is None else _rms(measured - fixed[chosen]),
    )


def _samples_alone(learnt: Learnt) -> Vector:
    """Springback of every reading as the samples alone foretell it."""
    alone = relearn(learnt, ())
    rows = learnt.readings.rows()
    batch = np.where(learnt.readings.batch == 0, alone.batch_number(learnt.samples.batch), -1)
    return alone.posterior.springback(rows, batch).mean()


def _rms(errors: Vector) -> float:
    return float(np.sqrt(np.mean(errors**2)))

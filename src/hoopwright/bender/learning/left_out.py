"""Each reading against all the others, and those that do not fit them."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bender.learning.mixture import Mixture, Vector, log_normal, weights_of
from hoopwright.bender.learning.moments import Flags, Numbers
from hoopwright.bender.learning.posterior import Posterior, sharp_posterior
from hoopwright.bender.learning.readings import Readings
from hoopwright.bender.learning.steels import LinePrior

SET_ASIDE_SHARE = 5e-4
"""A reading this improbable, given all the others, is not learnt from."""
LOST_BY_CHANCE = 0.05
"""Of a long list, so many good readings at most are lost by chance."""
MOST_SET_ASIDE_SHARE = 0.2
"""With more than that the readings contradict one another, and none can be called the wrong one."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Screened:
    """What was learnt once single readings that fit nothing are set aside.

    Args:
        posterior: The fit of those that count.
        counted: Which count, shape (n,).
        off_deg: Springback less what all the others that count let expect, shape (n,).
        rarity_share: Probability of lying that far off or farther, shape (n,).
        contradicting: Whether too many would have to be set aside; then all count.
    """

    posterior: Posterior
    counted: Flags
    off_deg: Vector
    rarity_share: Vector
    contradicting: bool


def expected_without(found: Posterior, readings: Readings, counted: Flags) -> Mixture:
    """What each springback is expected to be from all others that count, shape (n, K); exact at each node.

    Source: textbook leave-one-out identity of linear least squares: residual and variance over 1 - leverage.
    """
    rows, measured = readings.rows(), readings.command_deg - readings.released_deg
    line = found.springback(rows, readings.batch, scatter=False)
    scatter = found.nodes.scatter_deg
    leverage = np.minimum((line.sds / scatter) ** 2, 1.0 - 1e-9)
    free = 1.0 - leverage
    means = measured[:, None] - (measured[:, None] - line.means) / free
    sds = scatter / np.sqrt(free)
    logs = np.log(np.maximum(found.weights, 1e-300)) - log_normal(measured[:, None], means, sds)
    outside = found.springback(rows, readings.batch)
    inside = counted[:, None]
    return Mixture(
        weights=np.where(inside, weights_of(logs), outside.weights),
        means=np.where(inside, means, outside.means),
        sds=np.where(inside, sds, outside.sds),
    )


def screen(prior: LinePrior, readings: Readings) -> Screened:
    """Learn, set aside the reading that fits the others worst, and learn again until all fit.

    The outcome depends on the readings alone, not on when each came in: one that was set aside counts again
    once others of its batch bear it out.
    """
    everything = np.ones(len(readings.keys), dtype=bool)
    counted = everything.copy()
    most = int(MOST_SET_ASIDE_SHARE * len(counted) + 1.0) if len(counted) > 1 else 0
    while True:
        found = sharp_posterior(prior, readings.moments(prior, counted))
        off, rarity = _compare(found, readings, counted)
        rare = np.where(counted, rarity, 1.0)
        limit = min(SET_ASIDE_SHARE, LOST_BY_CHANCE / max(len(rare), 1))
        if rare.min(initial=1.0) >= limit:
            return Screened(
                posterior=found, counted=counted, off_deg=off, rarity_share=rarity, contradicting=False
            )
        if np.sum(~counted) >= most:
            found = sharp_posterior(prior, readings.moments(prior, everything))
            off, rarity = _compare(found, readings, everything)
            return Screened(
                posterior=found, counted=everything, off_deg=off, rarity_share=rarity, contradicting=True
            )
        counted[_worst(rare, limit)] = False


def _compare(found: Posterior, readings: Readings, counted: Flags) -> tuple[Vector, Vector]:
    expected = expected_without(found, readings, counted)
    measured = readings.command_deg - readings.released_deg
    below = expected.below(measured)
    rarity: Vector = 2.0 * np.minimum(below, 1.0 - below)
    return measured - expected.mean(), rarity


def _worst(rare: Vector, limit: float) -> Numbers:
    """The rarest, and with it, so that thousands take no thousand rounds, those that are nearly as rare."""
    many = max(1, len(rare) // 500)
    order = np.argsort(rare)[:many]
    return order[rare[order] < limit]

"""The learnt line: a linear fit with a deviation for each batch, averaged over scatter and batch spread.

For given scatter s of one reading and spread t between batches everything is normal and exact: the batches
are eliminated one by one, which leaves five unknowns however many batches there are. The two that do not
enter linearly, s and t, are averaged over nodes with the weight that the readings give to each.
"""

from dataclasses import dataclass

import numpy as np

from hoopwright.bender.learning.mixture import Mixture, Vector, weights_of
from hoopwright.bender.learning.moments import GROWTH, Moments, Numbers
from hoopwright.bender.learning.steels import LinePrior

SCATTER_WORTH = 4.0
"""The stated scatter counts as much as this many readings about a known line; common practice, no source."""
BATCH_SD_DEG, BATCH_SD_SPREAD = 0.25, 0.8
"""Spread between batches at 90 degrees, and that of its logarithm: a tenth of the yield within one order, far more
where another grade is delivered; common practice, no source."""
MOST_BATCH_SD_DEG = 1.5
"""From the softest tube steel to the hardest is about 2 degrees at 90, by the theory."""
_SCATTER_NODES, _BATCH_NODES = 19, 9
_SCATTER_KEPT, _BATCH_KEPT = 1e-5, 2e-3
_HALF = float(np.log(2.0))  # the trapezoidal rule over the batch spread, which is cut off at its greatest
_FARTHER, _NEARLY, _MOST_MOVES = 3.0, 0.3, 8


@dataclass(frozen=True, kw_only=True, eq=False)
class Nodes:
    """Pairs of scatter and spread at which the fit is exact, each field of shape (K,).

    Args:
        scatter_deg: Standard deviation of one reading.
        batch_deg: Standard deviation between batches.
        log_prior: Logarithm of the prior of each pair, with the weight of its place in the sum.
    """

    scatter_deg: Vector
    batch_deg: Vector
    log_prior: Vector


@dataclass(frozen=True, kw_only=True, eq=False)
class AtNode:
    """The exact fit at one node.

    Args:
        mean: Unknowns less their prior mean, shape (..., 5).
        covariance: Shape (..., 5, 5).
        log_evidence: Logarithm of the density of the readings, shape (...).
        pulls: What a batch's growth owes to the unknowns, shape (..., B, 5).
        own: Growth of a batch beyond that, shape (..., B).
        own_variance: Its variance, shape (..., B).
        scatter_deg: The node's scatter.
        batch_deg: The node's spread between batches.
    """

    mean: Vector
    covariance: Vector
    log_evidence: Vector
    pulls: Vector
    own: Vector
    own_variance: Vector
    scatter_deg: float
    batch_deg: float

    def predict(self, rows: Vector, batch: Numbers) -> tuple[Vector, Vector]:
        """Mean less that of the prior, and variance without scatter, for rows (..., n, 5); batch -1 is a new one."""
        new = batch < 0
        grown = rows[..., GROWTH]
        pulls = np.where(new[:, None], 0.0, self.pulls[..., batch, :])
        own = np.where(new, 0.0, self.own[..., batch])
        variance = np.where(new, self.batch_deg**2, self.own_variance[..., batch])
        effective = rows - grown[..., None] * pulls
        mean = np.einsum("...ni,...i->...n", effective, self.mean) + grown * own
        line = np.einsum("...ni,...ij,...nj->...n", effective, self.covariance, effective)
        return mean, line + grown**2 * variance


def first_nodes(stated_sd_deg: float) -> Nodes:
    """Nodes that cover what is believed of scatter and batch spread before any bend."""
    scatter = stated_sd_deg * np.geomspace(0.3, 6.0, _SCATTER_NODES)
    batch = np.geomspace(BATCH_SD_DEG**2 / MOST_BATCH_SD_DEG, MOST_BATCH_SD_DEG, _BATCH_NODES)
    return nodes_at(scatter, batch, stated_sd_deg)


def nodes_at(scatter_deg: Vector, batch_deg: Vector, stated_sd_deg: float) -> Nodes:
    """Every pair of the two, with its prior: inverse gamma of the squared scatter, log-normal batch spread."""
    scatter, batch = (one.ravel() for one in np.meshgrid(scatter_deg, batch_deg, indexing="ij"))
    squared = (stated_sd_deg / scatter) ** 2
    log_prior = 0.5 * SCATTER_WORTH * (np.log(squared) - squared)
    log_prior = log_prior - 0.5 * (np.log(batch / BATCH_SD_DEG) / BATCH_SD_SPREAD) ** 2
    at_edge = (batch == batch.min()) | (batch == batch.max())
    return Nodes(scatter_deg=scatter, batch_deg=batch, log_prior=log_prior - np.where(at_edge, _HALF, 0.0))


def better_nodes(nodes: Nodes, weights: Vector, stated_sd_deg: float) -> Nodes:
    """As many nodes again where the weight is: closer about a narrow part, farther out where it lies at an edge."""
    scatter = _axis(nodes.scatter_deg, weights, _SCATTER_NODES, _SCATTER_KEPT)
    batch = _axis(nodes.batch_deg, weights, _BATCH_NODES, _BATCH_KEPT)
    batch = np.geomspace(
        min(batch[0], MOST_BATCH_SD_DEG / 2.0), min(batch[-1], MOST_BATCH_SD_DEG), _BATCH_NODES
    )
    return nodes_at(scatter, batch, stated_sd_deg)


def _axis(values: Vector, weights: Vector, count: int, least_share: float) -> Vector:
    levels = np.unique(values)
    shares = np.array([weights[values == level].sum() for level in levels])
    (kept,) = np.nonzero(shares > least_share)
    first, last = int(kept[0]), int(kept[-1])
    low = levels[first - 1] if first > 0 else levels[0] / _FARTHER
    high = levels[last + 1] if last + 1 < len(levels) else levels[-1] * _FARTHER
    axis: Vector = np.geomspace(low, high, count)
    return axis


def fit_at(prior: LinePrior, moments: Moments, scatter_deg: float, batch_deg: float) -> AtNode:
    """The exact fit of readings whose values are springback less the prior's mean line.

    Source: textbook linear model with normal priors; batches eliminated by the Schur complement.
    """
    variance = scatter_deg**2
    stiffness = moments.rows_rows[..., GROWTH, GROWTH] + variance / batch_deg**2
    pulls = moments.rows_rows[..., GROWTH, :] / stiffness[..., None]
    own = moments.rows_values[..., GROWTH] / stiffness
    across = moments.rows_rows[..., GROWTH, :]
    information = np.sum(moments.rows_rows - across[..., :, None] * pulls[..., None, :], axis=-3)
    right = np.sum(moments.rows_values - across * own[..., None], axis=-2) / variance
    precision = np.diag(prior.sd_deg**-2) + information / variance
    covariance = np.linalg.inv(precision)
    mean = np.einsum("...ij,...j->...i", covariance, right)
    squares = np.sum(moments.values_values - moments.rows_values[..., GROWTH] * own, axis=-1) / variance
    misfit = squares - np.einsum("...i,...i->...", right, mean)
    log_evidence = -0.5 * (
        moments.count.sum() * np.log(2.0 * np.pi * variance)
        + np.sum(np.log(stiffness * batch_deg**2 / variance), axis=-1)
        + np.linalg.slogdet(precision)[1]
        + 2.0 * np.sum(np.log(prior.sd_deg))
        + misfit
    )
    return AtNode(
        mean=mean,
        covariance=covariance,
        log_evidence=log_evidence,
        pulls=pulls,
        own=own,
        own_variance=variance / stiffness,
        scatter_deg=scatter_deg,
        batch_deg=batch_deg,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Posterior:
    """The fit at every node, and how much each counts.

    Args:
        prior: What was believed before.
        nodes: The nodes.
        fits: One for each node.
        weights: Shape (..., K).
    """

    prior: LinePrior
    nodes: Nodes
    fits: tuple[AtNode, ...]
    weights: Vector

    def springback(self, rows: Vector, batch: Numbers, *, scatter: bool = True) -> Mixture:
        """Springback of bends to come, with the scatter of one reading or of the line alone, shape (..., n)."""
        pairs = [fit.predict(rows, batch) for fit in self.fits]
        means = np.stack([mean for mean, _ in pairs], axis=-1) + (rows @ self.prior.mean_deg)[..., None]
        variances = np.stack([variance for _, variance in pairs], axis=-1)
        if scatter:
            variances = variances + self.nodes.scatter_deg**2
        return Mixture(weights=self.weights[..., None, :], means=means, sds=np.sqrt(variances))


def posterior(prior: LinePrior, moments: Moments, nodes: Nodes) -> Posterior:
    """The fit of the readings at given nodes."""
    pairs = zip(nodes.scatter_deg, nodes.batch_deg, strict=True)
    fits = tuple(fit_at(prior, moments, float(scatter), float(batch)) for scatter, batch in pairs)
    log_weights = np.stack([fit.log_evidence for fit in fits], axis=-1) + nodes.log_prior
    return Posterior(prior=prior, nodes=nodes, fits=fits, weights=weights_of(log_weights))


def sharp_posterior(prior: LinePrior, moments: Moments) -> Posterior:
    """The fit with nodes that were moved to where the readings put the weight."""
    found = posterior(prior, moments, first_nodes(prior.scatter_sd_deg))
    for _ in range(_MOST_MOVES):
        nodes = better_nodes(found.nodes, found.weights, prior.scatter_sd_deg)
        settled = _nearly_the_same(nodes, found.nodes)
        found = posterior(prior, moments, nodes)
        if settled:
            break
    return found


def _nearly_the_same(one: Nodes, other: Nodes) -> bool:
    ends = [
        np.log(
            [nodes.scatter_deg.min(), nodes.scatter_deg.max(), nodes.batch_deg.min(), nodes.batch_deg.max()]
        )
        for nodes in (one, other)
    ]
    return bool(np.max(np.abs(ends[0] - ends[1])) < _NEARLY)

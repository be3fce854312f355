"""Each reading foretold from those before it, all at once: the honest test of a fit that learns."""

import numpy as np

from hoopwright.bender.learning.mixture import Mixture, Vector, log_normal, weights_of
from hoopwright.bender.learning.moments import GROWTH, Flags, Numbers, sums_before
from hoopwright.bender.learning.posterior import Nodes
from hoopwright.bender.learning.steels import LinePrior


def one_step_ahead(
    prior: LinePrior, rows: Vector, values: Vector, batch: Numbers, nodes: Nodes, *, counted: Flags
) -> tuple[Mixture, Vector]:
    """What was to be expected of each reading from those before it alone.

    Args:
        prior: What was believed before the first.
        rows: In order of time, shape (..., n, 5).
        values: Springback less the prior's mean line, shape (..., n).
        batch: Shape (n,).
        nodes: The nodes.
        counted: Which are learnt from, shape (n,); the others are foretold all the same.

    Returns:
        The expectation of each value, shape (..., n), and the logarithm of the evidence of all at each node.
    """
    learnt = counted[:, None] * rows
    outer = learnt[..., :, None] * rows[..., None, :]
    along = learnt * values[..., None]
    before = (sums_before(outer, batch, trailing=2), sums_before(along, batch, trailing=1))
    totals = (np.cumsum(outer, axis=-3) - outer, np.cumsum(along, axis=-2) - along)
    means, sds, logs = [], [], []
    for scatter, spread in zip(nodes.scatter_deg, nodes.batch_deg, strict=True):
        mean, variance = _expected(prior, rows, (outer, along), before, totals, (scatter, spread))
        sd = np.sqrt(variance + scatter**2)
        means.append(mean)
        sds.append(sd)
        logs.append(counted * log_normal(values, mean, sd))
    stacked = np.stack(logs, axis=-1)
    summed = np.cumsum(stacked, axis=-2)
    weights = weights_of(summed - stacked + nodes.log_prior)
    mixture = Mixture(weights=weights, means=np.stack(means, axis=-1), sds=np.stack(sds, axis=-1))
    return mixture, stacked.sum(axis=-2)


def _expected(
    prior: LinePrior,
    rows: Vector,
    own: tuple[Vector, Vector],
    before: tuple[Vector, Vector],
    totals: tuple[Vector, Vector],
    node: tuple[float, float],
) -> tuple[Vector, Vector]:
    """Mean and variance of each value from the readings before it, at one node."""
    variance, ease = node[0] ** 2, node[0] ** 2 / node[1] ** 2
    lost_rows, lost_values = _lost(before[0], before[1], ease)
    more_rows, more_values = _lost(before[0] + own[0], before[1] + own[1], ease)
    added_rows, added_values = more_rows - lost_rows, more_values - lost_values
    information = totals[0] - (np.cumsum(added_rows, axis=-3) - added_rows)
    right = (totals[1] - (np.cumsum(added_values, axis=-2) - added_values)) / variance
    covariance = np.linalg.inv(np.diag(prior.sd_deg**-2) + information / variance)
    mean = np.einsum("...ij,...j->...i", covariance, right)
    stiffness = before[0][..., GROWTH, GROWTH] + ease
    grown = rows[..., GROWTH]
    effective = rows - (grown / stiffness)[..., None] * before[0][..., GROWTH, :]
    line = np.einsum("...i,...ij,...j->...", effective, covariance, effective)
    expected = np.einsum("...i,...i->...", effective, mean) + grown * before[1][..., GROWTH] / stiffness
    return expected, line + grown**2 * variance / stiffness


def _lost(rows_rows: Vector, rows_values: Vector, ease: float) -> tuple[Vector, Vector]:
    """What a batch's own deviation takes from its readings' say on the line."""
    across = rows_rows[..., GROWTH, :]
    share = across / (rows_rows[..., GROWTH, GROWTH] + ease)[..., None]
    return across[..., :, None] * share[..., None, :], share * rows_values[..., GROWTH, None]

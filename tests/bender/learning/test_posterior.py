"""The fit against dense algebra, scipy's least squares and Student's t; a bend at a time against all at once."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares
from scipy.stats import multivariate_normal, t

from hoopwright.bender.learning.ahead import one_step_ahead
from hoopwright.bender.learning.mixture import Mixture
from hoopwright.bender.learning.moments import GROWTH, design_rows, sum_up
from hoopwright.bender.learning.posterior import (
    MOST_BATCH_SD_DEG,
    SCATTER_WORTH,
    first_nodes,
    fit_at,
    nodes_at,
    posterior,
    sharp_posterior,
)
from hoopwright.bender.learning.steels import LinePrior

PRIOR = LinePrior(
    mean_deg=np.array([0.8, 2.0, 0.1, 0.0, 0.0]),
    sd_deg=np.array([0.8, 0.7, 0.5, 0.4, 0.2]),
    scatter_sd_deg=0.25,
)
FLAT = LinePrior(mean_deg=np.zeros(5), sd_deg=np.full(5, 1e4), scatter_sd_deg=0.25)


def bends(count, batches=3, seed=0):
    rng = np.random.default_rng(seed)
    batch = rng.integers(0, batches, count)
    rows = design_rows(rng.uniform(3.0, 110.0, count), np.arange(count))
    values = rows @ [0.2, 0.5, -0.3, 0.2, 0.1] + rng.normal(0.0, 0.4, batches)[batch] * rows[:, GROWTH]
    return rows, values + rng.normal(0.0, 0.25, count), batch


def dense(prior, rows, batch, scatter, spread):
    """Covariance of the readings, and of the line at the readings, without eliminating anything."""
    line = rows @ np.diag(prior.sd_deg**2) @ rows.T
    line += spread**2 * np.outer(rows[:, GROWTH], rows[:, GROWTH]) * (batch[:, None] == batch[None, :])
    return line + scatter**2 * np.eye(len(rows)), line


@given(count=st.integers(1, 30), seed=st.integers(0, 10_000))
@settings(max_examples=30, deadline=None)
def test_fit_and_evidence_are_those_of_one_large_normal_distribution(count, seed):
    rows, values, batch = bends(count + 2, seed=seed)
    scatter, spread = 0.3, 0.4
    covariance, line = dense(PRIOR, rows, batch, scatter, spread)
    known = slice(0, count)
    gain = line[count:, known] @ np.linalg.inv(covariance[known, known])
    expected = gain @ values[known]
    variance = np.diag(line[count:, count:] - gain @ line[known, count:])
    fit = fit_at(PRIOR, sum_up(rows[known], values[known], batch[known], 3), scatter, spread)
    mean, ours = fit.predict(rows[count:], batch[count:])
    np.testing.assert_allclose(mean, expected, atol=1e-8)
    np.testing.assert_allclose(ours, variance, atol=1e-8)
    density = multivariate_normal(np.zeros(count), covariance[known, known]).logpdf(values[known])
    assert fit.log_evidence == pytest.approx(density, abs=1e-7)


def test_a_new_batch_has_the_whole_spread_between_batches():
    rows, values, batch = bends(20)
    fit = fit_at(PRIOR, sum_up(rows, values, batch, 3), 0.25, 0.4)
    empty = fit_at(PRIOR, sum_up(rows, values, batch, 4), 0.25, 0.4)
    ask = design_rows(np.array([90.0]), np.array([20.0]))
    for number, found in ((-1, fit), (3, empty)):
        mean, variance = found.predict(ask, np.array([number]))
        assert (mean, variance) == (
            pytest.approx(fit.predict(ask, np.array([-1]))[0]),
            pytest.approx(variance),
        )
        assert variance[0] > 0.4**2
    assert fit.predict(ask, np.array([0]))[1][0] < 0.4**2


@given(order=st.permutations(range(14)))
@settings(max_examples=20, deadline=None)
def test_a_bend_at_a_time_gives_what_all_at_once_give(order):
    rows, values, batch = bends(14)
    at_once = sum_up(rows, values, batch, 3)
    one_by_one = sum_up(rows[:0], values[:0], batch[:0], 3)
    for index in order:
        one = slice(index, index + 1)
        one_by_one = one_by_one + sum_up(rows[one], values[one], batch[one], 3)
    ask = design_rows(np.array([5.0, 90.0]), np.array([14.0]))
    results = [
        posterior(PRIOR, moments, first_nodes(0.25)).springback(ask, np.array([1, -1]))
        for moments in (at_once, one_by_one)
    ]
    np.testing.assert_allclose(results[0].mean(), results[1].mean(), rtol=1e-9)
    np.testing.assert_allclose(results[0].sd(), results[1].sd(), rtol=1e-9)


def test_the_evidence_is_the_product_of_what_was_foretold_in_turn():
    """Two ways to one number: determinants of all, and one density after another."""
    rows, values, batch = bends(25)
    nodes = first_nodes(0.25)
    foretold, logs = one_step_ahead(PRIOR, rows, values, batch, nodes, counted=np.ones(25, dtype=bool))
    whole = posterior(PRIOR, sum_up(rows, values, batch, 3), nodes)
    np.testing.assert_allclose(logs, [fit.log_evidence for fit in whole.fits], atol=1e-7)
    assert foretold.means.shape == (25, len(nodes.scatter_deg))


@pytest.mark.parametrize("cut", [0, 1, 7, 19])
def test_foretold_in_turn_is_a_fit_to_those_before(cut):
    rows, values, batch = bends(20)
    counted = np.ones(20, dtype=bool)
    counted[3] = False
    nodes = first_nodes(0.25)
    foretold, _ = one_step_ahead(PRIOR, rows, values, batch, nodes, counted=counted)
    before = np.flatnonzero(counted[:cut])
    fit = posterior(PRIOR, sum_up(rows[before], values[before], batch[before], 3), nodes)
    expected = fit.springback(rows[cut : cut + 1], batch[cut : cut + 1])
    ours = Mixture(weights=foretold.weights[cut], means=foretold.means[cut], sds=foretold.sds[cut])
    assert ours.mean() + rows[cut] @ PRIOR.mean_deg == pytest.approx(expected.mean()[0], abs=1e-9)
    assert ours.sd() == pytest.approx(expected.sd()[0], abs=1e-9)


def test_with_a_flat_prior_it_is_scipys_least_squares():
    rows, values, _ = bends(30, batches=1)
    found = least_squares(lambda theta: rows @ theta - values, np.zeros(5), method="lm")
    fit = fit_at(FLAT, sum_up(rows, values, np.zeros(30, dtype=int), 1), 0.25, 1e-6)
    np.testing.assert_allclose(fit.mean, found.x, atol=1e-5)
    np.testing.assert_allclose(fit.covariance, 0.25**2 * np.linalg.inv(found.jac.T @ found.jac), rtol=1e-4)


@pytest.mark.parametrize("count", [8, 12, 60])
def test_with_a_flat_prior_the_band_is_students_t(count):
    """Textbook: inverse-gamma scatter and a flat line give t with that many degrees of freedom more."""
    rows, values, _ = bends(count, batches=1)
    nodes = nodes_at(np.geomspace(0.02, 10.0, 600), np.array([1e-6]), 0.25)
    found = posterior(FLAT, sum_up(rows, values, np.zeros(count, dtype=int), 1), nodes)
    ask = design_rows(np.array([75.0]), np.array([count]))
    line, residuals, *_ = np.linalg.lstsq(rows, values, rcond=None)
    freedom = SCATTER_WORTH + count - 5
    leverage = (ask @ np.linalg.inv(rows.T @ rows) @ ask.T)[0, 0]
    scale = np.sqrt((SCATTER_WORTH * 0.25**2 + residuals[0]) / freedom * (1.0 + leverage))
    ours = found.springback(ask, np.array([0]))
    for share in (0.025, 0.3, 0.975):
        expected = float((ask @ line)[0]) + scale * t.ppf(share, freedom)
        assert ours.quantile(share)[0] == pytest.approx(expected, abs=2e-4)


@pytest.mark.parametrize("count", [0, 3, 40, 2000])
def test_the_nodes_are_fine_enough(count):
    """The 19 by 7 nodes of the product against many times as many."""
    rows, values, batch = bends(count)
    moments = sum_up(rows, values, batch, 3)
    ask = design_rows(np.array([5.0, 45.0, 90.0]), np.array([count]))
    numbers = np.array([0, 1, -1])
    ours = sharp_posterior(PRIOR, moments).springback(ask, numbers)
    many = nodes_at(np.geomspace(0.03, 6.0, 300), np.geomspace(0.01, MOST_BATCH_SD_DEG, 60), 0.25)
    fine = posterior(PRIOR, moments, many).springback(ask, numbers)
    np.testing.assert_allclose(ours.mean(), fine.mean(), atol=0.01)
    for share in (0.025, 0.975):
        np.testing.assert_allclose(ours.quantile(share), fine.quantile(share), atol=0.03)


def test_quantiles_are_where_the_probability_lies():
    mixture = Mixture(
        weights=np.array([[0.2, 0.8]]), means=np.array([[0.0, 5.0]]), sds=np.array([[1.0, 0.1]])
    )
    for share in (0.001, 0.1, 0.5, 0.999):
        assert mixture.below(mixture.quantile(share))[0] == pytest.approx(share, abs=1e-9)
    assert mixture.mean()[0] == pytest.approx(4.0)
    assert mixture.sd()[0] == pytest.approx(np.sqrt(0.2 * (1.0 + 16.0) + 0.8 * (0.01 + 1.0)))

"""Radius, start offset and tube used: known figures, scipy as oracle, honest width where nothing is measured."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares

from hoopwright.bender import LegSample, PlainNumbers, Samples, USample
from hoopwright.bender.fit import shape_readings
from hoopwright.bender.learning import learn_shape
from hoopwright.tubes import TubeSize

LEG = LegSample(cut_mm=900.0, mark_mm=300.0, leg_a_mm=471.5, leg_b_mm=536.5)
FULL = Samples(tube=TubeSize(od_mm=45.0, wall_mm=2.5), legs=(LEG,), us=(USample(outside_mm=320.0),))


def test_one_90_and_one_u():
    shape = learn_shape(FULL)
    assert shape.clr.mean_mm == pytest.approx(137.5, abs=0.1)
    assert shape.start_offset.mean_mm == pytest.approx(11.5, abs=0.2)
    assert 90.0 * shape.used_per_deg.mean_mm == pytest.approx(212.0, abs=0.5)
    for number in (shape.clr, shape.start_offset, shape.used_per_deg):
        assert number.low_mm < number.mean_mm < number.high_mm
        assert number.high_mm - number.low_mm == pytest.approx(3.92 * number.sd_mm, rel=0.15)


def test_without_the_u_the_radius_is_wide():
    assert learn_shape(replace(FULL, us=())).clr.sd_mm >= 2.0


def test_many_samples_give_scipys_least_squares_and_the_scatter_that_they_show():
    rng = np.random.default_rng(0)
    truth, half = np.array([140.0, 20.0, 218.0]), 22.5
    legs, us = [], []
    for _ in range(60):
        a = 300.0 + truth[1] + truth[0] + half + rng.normal(0.0, 1.0)
        b = 600.0 - truth[1] - truth[2] + truth[0] + half + rng.normal(0.0, 1.0)
        legs.append(LegSample(cut_mm=900.0, mark_mm=300.0, leg_a_mm=a, leg_b_mm=b))
        us.append(USample(outside_mm=2.0 * truth[0] + 45.0 + rng.normal(0.0, 1.0)))
    samples = replace(FULL, legs=tuple(legs), us=tuple(us))
    readings = shape_readings(samples)
    rows = np.array([one.coefficients for one in readings])
    values = np.array([one.value for one in readings])
    found = least_squares(lambda x: rows @ x - values, truth, method="lm").x
    shape = learn_shape(samples)
    ours = [shape.clr.mean_mm, shape.start_offset.mean_mm, 90.0 * shape.used_per_deg.mean_mm]
    np.testing.assert_allclose(ours, found, atol=0.1)
    assert shape.tape_sd_mm == pytest.approx(1.0, abs=0.15)  # 0.5 was stated


def test_bands_hold_the_truth():
    """300 shops drawn from the belief, one 90 and one U each."""
    rng = np.random.default_rng(1)
    held = np.zeros(3)
    for _ in range(300):
        radius = rng.normal(146.25, 33.75)
        if radius < 60.0:
            radius = 146.25
        offset = rng.normal(25.0, 20.0)
        used = rng.normal(0.99, 0.012) * np.pi / 2.0 * radius
        a, b = 300.0 + offset + radius + 22.5, 600.0 - offset - used + radius + 22.5
        noise = 0.5 * np.sqrt(4.0 / rng.chisquare(4.0)) * rng.standard_normal(3)
        leg = LegSample(cut_mm=900.0, mark_mm=300.0, leg_a_mm=a + noise[0], leg_b_mm=b + noise[1])
        samples = replace(FULL, legs=(leg,), us=(USample(outside_mm=2.0 * radius + 45.0 + noise[2]),))
        shape = learn_shape(samples)
        numbers = (shape.clr, shape.start_offset, shape.used_per_deg)
        for index, (number, true) in enumerate(zip(numbers, (radius, offset, used / 90.0), strict=True)):
            held[index] += number.low_mm < true < number.high_mm
    assert np.all(held / 300 > 0.92), held / 300
    assert np.all(held / 300 < 0.99), held / 300


def test_with_nothing_measured_the_belief_is_given_back():
    shape = learn_shape(replace(FULL, legs=(), us=(), plains=(PlainNumbers(constant_deg=1.0),)))
    assert shape.clr.mean_mm == pytest.approx(3.25 * 45.0)
    assert shape.clr.sd_mm == pytest.approx(0.75 * 45.0)
    assert shape.start_offset.sd_mm == pytest.approx(20.0)
    assert "common practice" in " ".join(shape.words)

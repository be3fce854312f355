"""The theory against stress summed over the section, against the sheet's published cubic, and at its limits."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from hoopwright.bender.learning.elastic_plastic import (
    bending_moment_n_mm,
    kept_share,
    radius_after_release_mm,
)
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize, section_properties

INCH, KSI = 25.4, 6.894757293168361


def summed_moment(width, half_depth, radius, yield_mpa, modulus, breaks=()):
    """Moment by adaptive quadrature of stress x width x distance: knows no closed form."""

    def slice_moment(y):
        return min(modulus * y / radius, yield_mpa) * width(y) * y

    corners = [one for one in (yield_mpa * radius / modulus, *breaks) if 0.0 < one < half_depth]
    return 2.0 * quad(slice_moment, 0.0, half_depth, points=corners, epsabs=0.0, epsrel=1e-10, limit=400)[0]


def tube_width(tube):
    outer, inner = tube.od_mm / 2.0, tube.inside_mm / 2.0
    return lambda y: (
        2.0 * (math.sqrt(max(0.0, outer**2 - y**2)) - (math.sqrt(inner**2 - y**2) if y < inner else 0.0))
    )


@pytest.mark.parametrize("x", [0.0001, 0.05, 0.2, 0.35, 0.5])
def test_the_sum_over_the_section_gives_the_published_cubic_of_a_sheet(x):
    """Textbook, X = yield x radius / (modulus x thickness): Ri/Rf = 4 X^3 - 3 X + 1; 0 at X = 0.5."""
    thickness, modulus, radius = 2.0, 205e3, 50.0
    yield_mpa = x * modulus * thickness / radius
    moment = summed_moment(lambda _y: 1.0, thickness / 2.0, radius, yield_mpa, modulus)
    share = 1.0 - moment * radius / (modulus * thickness**3 / 12.0)
    assert share == pytest.approx(4.0 * x**3 - 3.0 * x + 1.0, abs=1e-9)


@given(
    od=st.floats(20.0, 80.0),
    wall=st.floats(0.03, 0.3),
    tightness=st.floats(1.5, 30.0),
    yield_mpa=st.floats(50.0, 1500.0),
)
def test_the_closed_form_is_the_sum_over_the_section(od, wall, tightness, yield_mpa):
    tube = TubeSize(od_mm=od, wall_mm=max(0.5, wall * od))
    radius, modulus = tightness * od, 205e3
    summed = summed_moment(
        tube_width(tube), od / 2.0, radius, yield_mpa, modulus, breaks=(tube.inside_mm / 2.0,)
    )
    assert bending_moment_n_mm(tube, radius, yield_mpa=yield_mpa) == pytest.approx(summed, rel=1e-7)


# Worked out by another script, by integration of the stress over the section.
ROWS = [
    (1.75 * INCH, 0.095 * INCH, 6.0 * INCH, 70.0 * KSI, 29e3 * KSI, 0.97777, 2.001, 92.047, 6.1364 * INCH),
    (1.5 * INCH, 0.095 * INCH, 4.5 * INCH, 70.0 * KSI, 29e3 * KSI, 0.98037, 1.766, 91.802, 4.5901 * INCH),
    (1.75 * INCH, 0.120 * INCH, 5.5 * INCH, 70.0 * KSI, 29e3 * KSI, 0.97934, 1.860, 91.899, 5.6161 * INCH),
    (45.0, 2.5, 135.0, 235.0, 210e3, 0.99097, 0.813, 90.820, 136.230),
    (38.0, 2.5, 114.0, 500.0, 205e3, 0.98012, 1.789, 91.825, 116.312),
]


@pytest.mark.parametrize(("od", "wall", "radius", "stress", "modulus", "share", "lost", "die", "after"), ROWS)
def test_rows_worked_out(od, wall, radius, stress, modulus, share, lost, die, after):
    tube = TubeSize(od_mm=od, wall_mm=wall)
    ours = kept_share(tube, radius, yield_mpa=stress, modulus_mpa=modulus)
    assert ours == pytest.approx(share, abs=6e-6)
    assert 90.0 * (1.0 - ours) == pytest.approx(lost, abs=6e-4)
    assert 90.0 / ours == pytest.approx(die, abs=6e-4)
    grown = radius_after_release_mm(tube, radius, yield_mpa=stress, modulus_mpa=modulus)
    assert grown == pytest.approx(after, rel=1e-5)


def test_the_arc_keeps_its_length():
    tube = TubeSize(od_mm=1.75 * INCH, wall_mm=0.095 * INCH)
    share = kept_share(tube, 6.0 * INCH, yield_mpa=480.0)
    after = radius_after_release_mm(tube, 6.0 * INCH, yield_mpa=480.0)
    assert after * share == pytest.approx(6.0 * INCH)


def test_a_soft_tube_keeps_all_and_an_elastic_one_nothing():
    tube = TubeSize(od_mm=45.0, wall_mm=2.5)
    assert kept_share(tube, 135.0, yield_mpa=1e-3) == pytest.approx(1.0, abs=1e-6)
    first_yield_radius = 205e3 * 22.5 / 500.0
    assert kept_share(tube, first_yield_radius, yield_mpa=500.0) == pytest.approx(0.0, abs=1e-12)
    assert kept_share(tube, 2.0 * first_yield_radius, yield_mpa=500.0) == 0.0
    assert radius_after_release_mm(tube, 2.0 * first_yield_radius, yield_mpa=500.0) == math.inf


def test_the_moment_lies_between_first_yield_and_full_plasticity():
    tube = TubeSize(od_mm=45.0, wall_mm=2.5)
    section = section_properties(tube)
    radius = 205e3 * 22.5 / 500.0
    assert bending_moment_n_mm(tube, radius, yield_mpa=500.0) == pytest.approx(500.0 * section.z_mm3)
    tight = bending_moment_n_mm(tube, 135.0, yield_mpa=500.0)
    assert 0.999 * 500.0 * section.zp_mm3 < tight < 500.0 * section.zp_mm3


@pytest.mark.parametrize(
    "numbers",
    [
        {"radius_mm": 20.0, "yield_mpa": 500.0},
        {"radius_mm": math.nan, "yield_mpa": 500.0},
        {"radius_mm": 135.0, "yield_mpa": 0.0},
        {"radius_mm": 135.0, "yield_mpa": 70_000.0},
        {"radius_mm": 135.0, "yield_mpa": math.inf},
        {"radius_mm": 135.0, "yield_mpa": 500.0, "modulus_mpa": -1.0},
    ],
)
def test_numbers_that_cannot_be_are_refused(numbers):
    with pytest.raises(UserError) as stopped:
        kept_share(TubeSize(od_mm=45.0, wall_mm=2.5), **numbers)
    assert [finding.code for finding in stopped.value.findings] == ["LEARN-001"]

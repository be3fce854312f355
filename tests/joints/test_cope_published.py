"""Copes against ordinates that pipe fitters' pages print, and against closed forms worked out apart.

Pages: fitterkipurijankari.com, unequal lateral tee (2023-09-24) and equal tee (2023-09-16); fabricatorguide.com, equal
lateral tee (2019-04). They print the ordinate from the base line through the crotch, so greatest less own length here.
"""

import math

import numpy as np
import pytest

from hoopwright.joints.cope import cope_profile, two_tubes


def profile_of(header_mm, branch_mm, angle_deg, offset_mm=0.0, *, wall_mm=None, points=12, cut="outside"):
    branch, header = two_tubes(
        header_od_mm=header_mm,
        branch_od_mm=branch_mm,
        angle_deg=angle_deg,
        offset_mm=offset_mm,
        wall_mm=wall_mm,
    )
    return cope_profile(branch, [header], points=points, cut=cut)


def ordinates(profile):
    return profile.along_mm[0] - profile.along_mm


def test_unequal_lateral_tee_of_4_and_3_in_pipe():
    """Header 114 outside, branch 88 inside, 45°. Printed 22.95 at 45° is a slip: the same page has 25.95 at 315°."""
    profile = profile_of(114.0, 96.0, 45.0, wall_mm=4.0, points=16, cut="radial")
    printed = [0.0, 6.94, 25.95, 51.26, 73.36, 84.94, 88.18, 88.24, 88.0]
    # the page cuts digits off instead of rounding
    assert ordinates(profile)[:9] == pytest.approx(printed, abs=0.0101)
    assert np.all(ordinates(profile)[:9] - printed > -1e-9)


def test_equal_tee_of_10_in_pipe():
    profile = profile_of(273.0, 273.0, 90.0, wall_mm=5.0, points=16, cut="radial")
    assert ordinates(profile)[[2, 4]] == pytest.approx([36.56, 99.89], abs=0.0101)
    assert ordinates(profile)[[1, 3]] == pytest.approx([9.615, 74.271], abs=0.001)


@pytest.mark.parametrize(
    ("angle_deg", "long_factor", "short_factor"),
    [
        (45.0, 1.2071, 0.2071),  # printed
        (60.0, 0.86603, 0.28868),  # the others worked out
        (30.0, 1.86603, 0.13397),
        (22.5, 2.51367, 0.09946),
        (90.0, 0.5, 0.5),
    ],
)
def test_factors_of_equal_laterals(angle_deg, long_factor, short_factor):
    profile = profile_of(100.0, 100.0, angle_deg)
    assert profile.along_mm[0] / 100.0 == pytest.approx(long_factor, abs=6e-6 if angle_deg != 45 else 5e-5)
    assert profile.along_mm[6] / 100.0 == pytest.approx(short_factor, abs=6e-6 if angle_deg != 45 else 5e-5)
    assert profile.depth_mm == pytest.approx(profile.along_mm[0], abs=1e-9)


@pytest.mark.parametrize(
    ("header_in", "branch_in", "worked_out"),
    [(6.0, 2.0, [0.0245, 0.0845, 0.1458, 0.1716]), (1.5, 1.5, [0.0571, 0.2197, 0.4630, 0.7500])],
)
def test_square_branches_in_inches(header_in, branch_in, worked_out):
    profile = profile_of(header_in * 25.4, branch_in * 25.4, 90.0, points=16)
    assert ordinates(profile)[1:5] / 25.4 == pytest.approx(worked_out, abs=5.1e-5)


@pytest.mark.parametrize(
    ("header_mm", "branch_mm", "angle_deg", "worked_out"),
    [
        (45.0, 45.0, 90.0, [22.5, 19.4856, 11.25, 0, 11.25, 19.4856, 22.5]),
        (45.0, 45.0, 60.0, [12.9904, 11.25, 6.4952, 0, 19.4856, 33.75, 38.9711]),
        (45.0, 40.0, 45.0, [11.8198, 11.1839, 10.3101, 14.5774, 30.3101, 45.8249, 51.8198]),
        (38.0, 38.0, 30.0, [5.0910, 4.4090, 2.5455, 0, 35.4545, 61.4090, 70.9090]),
    ],
)
def test_lengths_every_30_degrees_from_the_toe(header_mm, branch_mm, angle_deg, worked_out):
    along = profile_of(header_mm, branch_mm, angle_deg).along_mm
    assert along[6::-1] == pytest.approx(worked_out, abs=5.1e-5)
    assert along[6:] == pytest.approx(worked_out[:-1], abs=5.1e-5)


def test_wall_cut_straight_in():
    """45 x 2.5 on 45 at 60°: the farther of outside and inside, from the toe."""
    made = profile_of(45.0, 45.0, 60.0, wall_mm=2.5, cut="square")
    assert made.along_mm[6::-1] == pytest.approx(
        [14.434, 13.274, 10.810, 11.902, 22.357, 33.750, 38.971], abs=5.1e-4
    )
    assert made.outside_mm[6::-1] == pytest.approx(
        [12.990, 11.250, 6.495, 0, 19.486, 33.75, 38.971], abs=5.1e-4
    )
    inside = profile_of(45.0, 45.0, 60.0, wall_mm=2.5, cut="radial").along_mm
    assert inside[6::-1] == pytest.approx(
        [14.434, 13.274, 10.810, 11.902, 22.357, 33.274, 37.528], abs=5.1e-4
    )


@pytest.mark.parametrize(("angle_deg", "most_mm"), [(90.0, 0.001), (60.0, 0.03), (30.0, 0.06)])
@pytest.mark.parametrize(("branch_mm", "offset_mm"), [(45.0, 0.0), (38.0, 0.0), (38.0, 3.0)])
def test_the_wall_between_its_skins_stands_in_by_next_to_nothing(angle_deg, most_mm, branch_mm, offset_mm):
    """Between outside and inside skin the need of a square cut is a hair more than at both: how much, is stated."""
    walls = np.linspace(0.4, 2.4, 11)
    both, *between = (
        profile_of(45.0, branch_mm, angle_deg, offset_mm, wall_mm=wall_mm, cut=cut, points=360).along_mm
        for wall_mm, cut in [(2.5, "square"), *((wall_mm, "radial") for wall_mm in walls)]
    )
    assert -1e-9 <= np.max(np.max(between, axis=0) - both) < most_mm


@pytest.mark.parametrize("offset_mm", [-3.0, 0.0, 2.0, 3.5])
@pytest.mark.parametrize("angle_deg", [90.0, 55.0, 20.0])
def test_closed_form_with_an_offset(angle_deg, offset_mm):
    around = np.radians(np.arange(24) * 15.0)
    angle = math.radians(angle_deg)
    root = np.sqrt(22.5**2 - (offset_mm + 19.0 * np.sin(around)) ** 2)
    worked_out = (root + 19.0 * np.cos(around) * math.cos(angle)) / math.sin(angle)
    profile = profile_of(45.0, 38.0, angle_deg, offset_mm, points=24)
    assert profile.along_mm == pytest.approx(worked_out, abs=2e-4 if offset_mm == 3.5 else 1e-9)
    assert profile.overhang_mm == pytest.approx(0.0, abs=1e-9)


def test_depth_does_not_hang_on_the_points():
    depths = [profile_of(45.0, 38.0, 55.0, 3.0, points=points).depth_mm for points in (3, 7, 12, 360, 7200)]
    assert depths == pytest.approx([depths[-1]] * 5, abs=1e-6)
    assert profile_of(45.0, 45.0, 37.0, points=7).depth_mm == pytest.approx(
        22.5 / math.tan(math.radians(18.5)), abs=1e-4
    )


def test_rules_of_thumb_that_are_wrong():
    """fabricatorguide.com, 2019-06: branch squared over four headers, and two fifths of the diameter."""
    assert profile_of(168.0, 114.0, 90.0).depth_mm == pytest.approx(22.30, abs=0.005)  # the rule: 19.33
    assert profile_of(114.3, 114.3, 90.0).depth_mm == pytest.approx(57.15, abs=1e-4)  # the rule: 45.72

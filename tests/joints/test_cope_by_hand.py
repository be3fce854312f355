"""Hole saw and straight saw cuts: what they leave is held against the profile itself."""

import numpy as np
import pytest

from hoopwright.geometry import fillet_path
from hoopwright.joints.cope import (
    Branch,
    Header,
    cope_profile,
    hole_saw,
    saw_cuts,
    straight_header,
    two_tubes,
)


def joint(header_mm=45.0, branch_mm=38.0, angle_deg=55.0, offset_mm=0.0):
    branch, header = two_tubes(
        header_od_mm=header_mm, branch_od_mm=branch_mm, angle_deg=angle_deg, offset_mm=offset_mm
    )
    return branch, header, cope_profile(branch, [header])


def height_of(cut, around_deg):
    """Where a straight cut crosses the outside of the branch, from what is told of it."""
    rise = cut.deepest_mm - cut.sides_mm
    return cut.sides_mm + rise * np.cos(np.radians(around_deg - cut.clock_deg))


@pytest.mark.parametrize("angle_deg", [90.0, 60.0, 35.0])
def test_equal_tubes_need_two_straight_cuts_and_no_file(angle_deg):
    """By geometry: the planes halve the angles between the axes, so they stand at half the angles from the branch."""
    _, _, profile = joint(45.0, 45.0, angle_deg)
    made = saw_cuts(profile, 45.0)
    assert made.left_on_mm == pytest.approx(0.0, abs=1e-6)
    heel, toe = made.cuts
    assert heel.from_square_deg == pytest.approx(90.0 - angle_deg / 2.0)
    assert toe.from_square_deg == pytest.approx(angle_deg / 2.0)
    assert heel.clock_deg == pytest.approx(0.0, abs=1e-6)
    assert toe.clock_deg == pytest.approx(180.0)
    assert heel.sides_mm == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("branch_mm", "angle_deg", "offset_mm"), [(38.0, 55.0, 0.0), (38.0, 90.0, 3.0), (25.0, 40.0, -6.0)]
)
def test_saw_cuts_take_nothing_too_much_and_leave_what_they_say(branch_mm, angle_deg, offset_mm):
    _, _, profile = joint(45.0, branch_mm, angle_deg, offset_mm)
    made = saw_cuts(profile, branch_mm)
    reached = np.maximum(*(height_of(cut, profile.around_deg) for cut in made.cuts))
    left = profile.along_mm - reached
    assert left.min() > -1e-6
    assert left.max() == pytest.approx(made.left_on_mm, abs=1e-6)
    for cut in made.cuts:
        rise = (cut.deepest_mm - cut.sides_mm) / (branch_mm / 2.0)
        assert np.degrees(np.arctan(rise)) == pytest.approx(cut.from_square_deg, abs=1e-9)


def test_no_other_pair_of_planes_leaves_less():
    """The least that can be left, by trying: tangents of the section's hyperbola on a fine grid."""
    _, _, profile = joint(45.0, 38.0, 90.0)
    x = 19.0 * np.cos(np.radians(profile.around_deg[:91]))
    along = profile.along_mm[:91]
    best = min(
        np.max(along - (height + slope * x))
        for slope in np.linspace(0.0, 1.0, 401)
        for height in [np.min(along - slope * x)]
    )
    assert saw_cuts(profile, 38.0).left_on_mm == pytest.approx(best, abs=2e-3)


def test_a_branch_on_two_headers_can_be_sawn():
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=60.0)
    third = straight_header(name="third", through_mm=[0, 0, 5], direction=[0.2, 1.0, 0.7], od_mm=45.0)
    profile = cope_profile(branch, [header, third])
    made = saw_cuts(profile, 38.0)
    reached = np.maximum(*(height_of(cut, profile.around_deg) for cut in made.cuts))
    assert (profile.along_mm - reached).min() > -1e-6
    assert 0.0 < made.left_on_mm < 25.0


def test_no_saw_cuts_where_part_is_not_cut():
    _, _, profile = joint(offset_mm=5.0)
    assert saw_cuts(profile, 38.0) is None


def test_a_saw_of_the_header_s_size_makes_the_whole_cope():
    branch, header, _ = joint(offset_mm=2.0)
    made = hole_saw(branch, [header])
    assert made.does_it
    assert made.alone
    assert (made.saw_mm, made.angle_deg, made.from_square_deg) == (
        45.0,
        pytest.approx(55.0),
        pytest.approx(35.0),
    )
    assert made.offset_mm == pytest.approx(2.0)
    assert made.along_mm == pytest.approx(0.0, abs=1e-6)
    assert made.gap_mm == pytest.approx(0.0, abs=1e-6)


def test_travel_through_a_square_and_a_slanted_branch():
    """By geometry: square through a branch is its diameter; on equal tubes at an angle, diameter over its sine."""
    branch, header, _ = joint(angle_deg=90.0)
    assert hole_saw(branch, [header]).depth_mm == pytest.approx(38.0)
    branch, header, _ = joint(45.0, 45.0, 60.0)
    assert hole_saw(branch, [header]).depth_mm == pytest.approx(45.0 / np.sin(np.radians(60.0)), abs=1e-6)


def test_the_best_of_the_saws_at_hand():
    branch, header, profile = joint()
    made = hole_saw(branch, [header], saws_mm=(38.0, 51.0, 46.0))
    assert made.saw_mm == 46.0
    # by hand: the same branch on a header of 46, seated where it first touches the one of 45
    _, larger = two_tubes(header_od_mm=46.0, branch_od_mm=38.0, angle_deg=55.0)
    apart = profile.along_mm - cope_profile(branch, [larger]).along_mm
    assert made.gap_mm == pytest.approx(np.ptp(apart))
    assert made.along_mm == pytest.approx(apart.max())


def test_a_saw_too_small_or_two_headers_and_why():
    branch, header, _ = joint(45.0, 45.0, 90.0)
    small = hole_saw(branch, [header], saws_mm=(38.0,))
    assert not small.does_it
    assert "does not reach both sides" in small.why_not
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=60.0)
    third = straight_header(name="third", through_mm=[0, 0, 5], direction=[0.2, 1.0, 0.7], od_mm=45.0)
    for index in (0, 1):
        part = hole_saw(branch, [header, third], header_index=index)
        assert not part.does_it
        assert not part.alone
        assert part.gap_mm == pytest.approx(0.0, abs=1e-6)


def test_on_a_bend_a_saw_leaves_what_the_bend_curves_away():
    """A saw of the tube's size on the outside of a bend: at the ends of the cut the bend falls away by its sagitta."""
    path = fillet_path([(0, 0, 0), (0, 0, 600), (600, 0, 600)], [137.5])
    arc = path.pieces[1]
    middle = np.array([arc.length_mm / 2.0])
    place, tangent = arc.at(middle)[0], arc.direction_at(middle)[0]
    out = (place - arc.centre_mm) / arc.radius_mm
    branch = Branch(origin_mm=place, direction=out, datum=tangent, od_mm=38.0)
    made = hole_saw(branch, [Header(name="bent", path=path, od_mm=45.0)])
    sagitta_mm = 160.0 - np.sqrt(160.0**2 - 19.0**2)
    assert made.gap_mm == pytest.approx(sagitta_mm, abs=0.15)
    assert not made.does_it
    assert "gap of 1.1 mm" in made.why_not

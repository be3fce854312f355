"""Corners of a cut between its generators, by hand and against the cut at a hundred thousand places."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar
from hoopwright.geometry import Plane
from hoopwright.jobs.cope_papers import cope_wrap
from hoopwright.jobs.copes import cope
from hoopwright.joints.cope import cope_profile, straight_header, two_tubes
from hoopwright.joints.cope.cutting import scene_of
from hoopwright.joints.cope.profile import along_by
from hoopwright.joints.landing.leg_cut import leg_cut
from hoopwright.joints.meet.datum import datum_along
from hoopwright.papers.wrap_shape import wrap_shape
from hoopwright.tubes import TubeSize


def made(header_mm, branch_mm, angle_deg, offset_mm=0.0):
    return cope(header_od_mm=header_mm, branch_od_mm=branch_mm, angle_deg=angle_deg, offset_mm=offset_mm)


def printed_depth_mm(wrap):
    shape = wrap_shape(wrap)
    return shape.highest_mm - shape.lowest_mm


@pytest.mark.parametrize(
    "numbers",
    [(45, 38, 55, 5), (38, 45, 60, 0), (45, 45, 60, 0), (45, 45, 60, 2), (45, 38, 55, 3.2), (45, 38, 5, 0)],
)
def test_the_wrap_is_as_deep_as_the_cope_is_said_to_be(numbers):
    one = made(*numbers)
    assert printed_depth_mm(cope_wrap(one)) == pytest.approx(one.profile.depth_mm, abs=1e-6)


def test_the_edge_of_an_overhang_by_hand():
    """The skins part where r sin(around) + offset = R; there the generator touches r cos(around) / tan(angle) along."""
    branch, header, angle, offset = 19.0, 22.5, math.radians(55.0), 5.0
    around = math.degrees(math.asin((header - offset) / branch))
    along = branch * math.cos(math.radians(around)) / math.tan(angle)
    corners = dict(made(45, 38, 55, 5).whole.corners)
    for at_deg, length in ((around, along), (180.0 - around, -along)):
        nearest = min(corners, key=lambda one: abs(one - at_deg))
        assert nearest == pytest.approx(at_deg, abs=1e-6)
        assert corners[nearest] == pytest.approx(length, abs=1e-3)


@pytest.mark.parametrize("turned_deg", [0.0, 0.31, 0.5, 17.77])
def test_a_line_through_generators_and_corners_lies_on_a_cut_to_two_headers(turned_deg):
    branch, first = two_tubes(header_od_mm=45.0, branch_od_mm=45.0, angle_deg=60.0)
    turn = math.radians(70.0 + turned_deg)
    second = straight_header(
        name="second", through_mm=[0, 0, 0], direction=[math.cos(turn), math.sin(turn), 0.3], od_mm=50.0
    )
    profile = cope_profile(branch, [first, second])
    dense = np.arange(100_000) * 360.0 / 100_000
    true = along_by(scene_of(branch, [first, second], profile.meetings, profile.around_deg), "outside")(dense)
    places = np.array([*zip(profile.around_deg, profile.along_mm, strict=True), *profile.corners])
    order = np.argsort(places[:, 0])
    line = np.interp(dense, *places[order].T, period=360.0)
    assert len(profile.corners) >= 2
    # chords of one degree of a smooth line are within 0.01; a clipped corner is not
    assert np.abs(line - true).max() < 0.01
    clipped = np.interp(dense, profile.around_deg, profile.along_mm, period=360.0)
    assert np.abs(clipped - true).max() > 0.03


def test_a_smooth_cut_has_no_corners_but_its_longest_and_deepest_places():
    assert len(made(45, 38, 55, 2.0).whole.corners) <= 2


def test_a_leg_sawn_to_stand_is_printed_to_its_longest_place():
    bar = Bar(
        name="T",
        nodes_mm=((0.0, 0.0, 0.0), (200.3, 77.7, 500.0)),
        clr_mm=137.5,
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
    )
    plane = Plane(normal=np.array([0.0, 0.0, 1.0]), offset_mm=0.0)
    cut = leg_cut(bar, "A", plane, datum_along(bar, np.array([0.3, 1.0, 0.0]), "a line"))
    assert printed_depth_mm(cut.wrap) == pytest.approx(45.0 * math.tan(math.radians(cut.angle_deg)), abs=1e-9)

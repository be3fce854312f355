"""The cut of a leg against the cylinder and the plane themselves."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Plane, unit_vector
from hoopwright.joints.landing.fit import foot_datum
from hoopwright.joints.landing.leg_cut import leg_cut
from hoopwright.joints.meet import drawn_tube
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


def leg(foot, top, *, from_foot):
    nodes = (tuple(foot), tuple(top)) if from_foot else (tuple(top), tuple(foot))
    return Bar(name="L", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


def skin_places(bar, end, cut):
    """Each place of the unrolled cut, laid on the tube as a person does: along from A, round from the datum line."""
    datum = foot_datum(bar)
    path = centreline(bar)
    length = path.length_mm
    travel, side = datum.travel(end), datum.side(end)
    inward_of_reference = cut.wrap.reference_mm if end == "A" else length - cut.wrap.reference_mm
    end_mm = np.array(bar.nodes_mm[0 if end == "A" else -1])
    outward = -travel if end == "A" else travel
    turn = np.radians(cut.wrap.around_deg)
    round_it = np.outer(np.cos(turn), side) + np.outer(np.sin(turn), np.cross(travel, side))
    along = cut.wrap.cut_mm - inward_of_reference
    return end_mm + bar.tube.od_mm / 2.0 * round_it + np.outer(along, outward)


@given(
    st.floats(-250.0, 250.0), st.floats(-250.0, 250.0), st.floats(-0.4, 0.4), st.floats(-0.4, 0.4),
    st.booleans(), st.floats(-20.0, 20.0),
)  # fmt: skip
def test_every_place_of_the_unrolled_cut_lies_on_the_plane(ahead, beside, tilt_a, tilt_b, from_foot, off):
    foot = np.array([100.0, 300.0, 50.0])
    bar = leg(foot, foot + np.array([ahead, beside, 500.0]), from_foot=from_foot)
    end = "A" if from_foot else "B"
    plane = Plane.through(foot + np.array([0.0, 0.0, off]), unit_vector([tilt_a, tilt_b, 1.0]))
    cut = leg_cut(bar, end, plane, foot_datum(bar))
    places = skin_places(bar, end, cut)
    assert np.abs(plane.distance_mm(places)).max() < 1e-6
    longest = cut.wrap.around_deg[int(np.argmax(cut.wrap.cut_mm))]
    if cut.angle_deg > 0.5:
        assert abs((longest - cut.clocking_deg + 180.0) % 360.0 - 180.0) <= 0.5 + 1e-9
    assert np.ptp(cut.wrap.cut_mm) == pytest.approx(45.0 * math.tan(math.radians(cut.angle_deg)), rel=1e-3)


def test_a_square_cut_is_a_straight_line():
    bar = leg((0.0, 300.0, 0.0), (0.0, 300.0, 400.0), from_foot=True)
    cut = leg_cut(bar, "A", Plane(np.array([0.0, 0.0, 1.0]), 3.0), foot_datum(bar))
    assert cut.angle_deg == pytest.approx(0.0, abs=1e-6)
    assert np.ptp(cut.wrap.cut_mm) < 1e-6
    assert cut.shorten_mm == pytest.approx(3.0)
    assert cut.wrap.headers == ("plate",)


def test_trim_is_counted_on_the_marked_tube():
    bar = leg((0.0, 300.0, 0.0), (0.0, 300.0, 400.0), from_foot=True)
    plane = Plane(np.array([0.0, 0.0, 1.0]), 3.0)
    bare = leg_cut(bar, "A", plane, foot_datum(bar))
    trimmed = leg_cut(bar, "A", plane, foot_datum(bar), drawn_tube(centreline(bar), trim_a_mm=30.0))
    assert trimmed.wrap.reference_mm - bare.wrap.reference_mm == pytest.approx(30.0)

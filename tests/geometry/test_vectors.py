import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hoopwright.geometry import (
    angle_between_deg,
    rotation_about,
    signed_angle_about_deg,
    unit_vector,
    wrap_deg,
)

coordinate = st.floats(-1e3, 1e3)
vectors = st.tuples(coordinate, coordinate, coordinate).map(np.array)


def directions():
    return vectors.filter(lambda v: np.linalg.norm(v) > 1e-3).map(unit_vector)


@pytest.mark.parametrize(
    ("angle_deg", "wrapped"),
    [(0, 0), (180, 180), (-180, 180), (540, 180), (-540, 180), (181, -179), (-181, 179), (360, 0), (725, 5)],
)
def test_wrap(angle_deg, wrapped):
    assert wrap_deg(angle_deg) == wrapped


def test_what_rounds_to_minus_180_is_180():
    assert wrap_deg(-180.0 + 1e-12) == 180.0
    assert wrap_deg(-179.999) == -179.999


@given(st.floats(-1e4, 1e4))
def test_wrap_stays_in_range_and_is_the_same_turn(angle_deg):
    wrapped = wrap_deg(angle_deg)
    assert -180.0 < wrapped <= 180.0
    assert math.cos(math.radians(wrapped - angle_deg)) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("angle_deg", [1e-7, 1e-4, 1.0, 90.0, 179.0, 179.9999, 180.0])
def test_angle_keeps_its_digits_near_0_and_180(angle_deg):
    angle_rad = math.radians(angle_deg)
    turned = [math.cos(angle_rad), math.sin(angle_rad), 0.0]
    assert angle_between_deg([5.0, 0.0, 0.0], turned) == pytest.approx(angle_deg, rel=1e-9)


@given(directions(), st.floats(-179.9, 179.9), directions())
def test_signed_angle_finds_the_turn_that_was_made(axis, angle_deg, other):
    start = np.cross(axis, other)
    assume(np.linalg.norm(start) > 1e-2)
    end = rotation_about(axis, angle_deg) @ start
    assert signed_angle_about_deg(axis, start, end) == pytest.approx(angle_deg, abs=1e-6)


def test_right_hand_rule():
    """Forward x left = up, so a positive turn about up takes forward to left."""
    assert rotation_about([0, 0, 2.0], 90.0) @ [1, 0, 0] == pytest.approx([0, 1, 0], abs=1e-15)
    assert signed_angle_about_deg([0, 0, 1], [1, 0, 0], [0, 1, 0]) == 90.0


@pytest.mark.parametrize("nothing", [[0, 0, 0], [math.nan, 0, 1], [math.inf, 0, 0]])
def test_no_direction_in_nothing(nothing):
    with pytest.raises(ValueError, match="no direction"):
        unit_vector(nothing)

"""Driver and bars against closed forms."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar
from hoopwright.cage import Driver
from hoopwright.cage.driver_checks import helmet_line, hidden_shares, nearest_bars, opening_left
from hoopwright.geometry.capsules import Capsule, distance_to_capsules_mm
from hoopwright.tubes import TubeSize


def straight(name, a, b, od_mm=40.0):
    return Bar(name=name, nodes_mm=(a, b), clr_mm=120.0, tube=TubeSize(od_mm=od_mm, wall_mm=2.0))


def across(name, forward, up, od_mm=40.0):
    return straight(name, (forward, 500.0, up), (forward, -500.0, up), od_mm)


DRIVER = Driver(name="Ada", helmet_mm=(-1300.0, 0.0, 1000.0), helmet_radius_mm=140.0)


def test_a_level_edge_over_unequal_tubes_touches_both_tops():
    # axes lowered by their radii: the edge is level at 1200 over both, so the room is 1200 - 1000 - 140
    line = helmet_line(DRIVER, across("MH", -1600, 1175.0, 50.0), across("SC", -900, 1180.0, 40.0))
    assert line.room_mm == pytest.approx(60.0, abs=1e-6)
    assert line.drop_ratio == pytest.approx(1.0)


def test_raising_both_bars_gives_the_helmet_as_much_room():
    low = helmet_line(DRIVER, across("MH", -1600, 1150), across("SC", -900, 1120))
    high = helmet_line(DRIVER, across("MH", -1600, 1160), across("SC", -900, 1130))
    assert high.room_mm - low.room_mm == pytest.approx(10.0 / low.drop_ratio)


def test_a_post_before_the_eye_hides_its_angle():
    eye = Driver(name="Ada", eye_mm=(0.0, 0.0, 1000.0))
    post = straight("P", (600.0, 0.0, 0.0), (600.0, 0.0, 2000.0), od_mm=100.0)
    hidden = hidden_shares(eye, {"P": post}, "forward")["P"]
    # a post of radius 50 at 600 covers an azimuth of 2 asin(50/600) at eye level of the window's 120 degrees
    assert hidden == pytest.approx(2.0 * math.degrees(math.asin(50 / 600)) / 120.0, abs=0.012)
    assert hidden_shares(eye, {"P": post}, "left")["P"] == 0.0


def test_the_nearest_bar_is_no_farther_than_any():
    bars = {"A": across("A", -1600, 1150), "B": across("B", -1250, 1200)}
    near = nearest_bars(DRIVER, bars)[0]
    assert near.bar == "B"
    assert near.room_mm == pytest.approx(math.hypot(50.0, 200.0) - 140.0 - 20.0, abs=0.05)


def test_a_bar_through_a_door_opening_leaves_the_greater_part():
    corners = np.array([(0, 700, 300), (-1000, 700, 300), (-1000, 700, 1000), (0, 700, 1000)], dtype=float)
    bar = straight("DB", (100.0, 650.0, 500.0), (-1100.0, 650.0, 500.0))
    left = opening_left(corners, {"DB": bar})
    assert left.free_share == pytest.approx(1.0 - 40.0 / 700.0, abs=0.02)
    assert left.circle_mm == pytest.approx(480.0, abs=25.0)
    other = straight("DB", (100.0, -650.0, 500.0), (-1100.0, -650.0, 500.0))
    assert opening_left(corners, {"DB": other}).free_share == 1.0


def test_distance_to_a_capsule_by_hand():
    capsule = Capsule(name="leg", start_mm=(0, 0, 0), end_mm=(100, 0, 0), radius_mm=10.0)
    points = np.array([(50.0, 30.0, 0.0), (-40.0, 30.0, 0.0), (50.0, 0.0, 0.0)])
    assert distance_to_capsules_mm(points, [capsule]) == pytest.approx([20.0, 40.0, -10.0])
    assert np.isinf(distance_to_capsules_mm(points, [])).all()


def test_the_other_knee_lies_about_the_drivers_own_middle():
    driver = Driver(name="Ada", helmet_mm=(-1300.0, 350.0, 1000.0), knee_mm=(-700.0, 500.0, 500.0))
    knees = {body.name: body.start_mm for body in driver.bodies()}
    assert knees["left knee"] == (-700.0, 500.0, 500.0)
    assert knees["right knee"] == (-700.0, 200.0, 500.0)

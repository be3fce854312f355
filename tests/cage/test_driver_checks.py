"""Driver and bars against closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.bars import Bar
from hoopwright.cage import Cage, Driver, driver_of, remove_driver, set_driver
from hoopwright.cage.door_opening import opening_corners, opening_left
from hoopwright.cage.driver_checks import (
    belt_angle_deg,
    helmet_line,
    hidden_view,
    nearest_bars,
    rooms_to_bars,
)
from hoopwright.findings import UserError
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


def test_a_sloping_edge_leaves_no_more_room_than_a_real_one():
    # tangent to two like tubes: square distance off the line of their axes, plus their radius
    rear, front = across("MH", -1600, 1300), across("SC", -900, 1100)
    along, up = 700.0, -200.0
    off_axes = abs(along * (1000.0 - 1300.0) - up * (-1300.0 + 1600.0)) / math.hypot(along, up)
    real = off_axes + 20.0 - 140.0
    line = helmet_line(DRIVER, rear, front)
    slack = 20.0 * (1.0 - along / math.hypot(along, up))
    assert line.room_mm == pytest.approx(real - slack)


def test_raising_both_bars_gives_the_helmet_as_much_room():
    low = helmet_line(DRIVER, across("MH", -1600, 1150), across("SC", -900, 1120))
    high = helmet_line(DRIVER, across("MH", -1600, 1160), across("SC", -900, 1130))
    assert high.room_mm - low.room_mm == pytest.approx(10.0 / low.drop_ratio)


def test_a_post_before_the_eye_hides_its_angle():
    eye = Driver(name="Ada", eye_mm=(0.0, 0.0, 1000.0))
    post = straight("P", (600.0, 0.0, 0.0), (600.0, 0.0, 2000.0), od_mm=100.0)
    hidden = hidden_view(eye, {"P": post}, "forward").share_by_bar["P"]
    # a post of radius 50 at 600 covers an azimuth of 2 asin(50/600) at eye level of the window's 120 degrees
    assert hidden == pytest.approx(2.0 * math.degrees(math.asin(50 / 600)) / 120.0, abs=0.006)
    assert hidden_view(eye, {"P": post}, "left").share_by_bar == {"P": 0.0}


def test_the_nearest_bar_is_no_farther_than_any():
    bars = {"A": across("A", -1600, 1150), "B": across("B", -1250, 1200)}
    near = nearest_bars(rooms_to_bars(DRIVER, bars))[0]
    assert near.bar == "B"
    assert near.room_mm == pytest.approx(math.hypot(50.0, 200.0) - 140.0 - 20.0, abs=0.05)


def test_a_bar_through_a_door_opening_leaves_the_greater_part():
    corners = np.array([(0, 700, 300), (-1000, 700, 300), (-1000, 700, 1000), (0, 700, 1000)], dtype=float)
    bar = straight("DB", (100.0, 650.0, 500.0), (-1100.0, 650.0, 500.0))
    left = opening_left(corners, {"DB": bar})
    assert left.free_share == pytest.approx(1.0 - 40.0 / 700.0, abs=0.005)
    # from the bar's top at 520 to the top edge at 1000; on a raster, and never more than there is
    assert 480.0 - 2 * 5.0 <= left.circle_mm <= 480.0
    assert left.crossed_by == ("DB",)
    padded = opening_left(corners, {"DB": bar}, padding_mm=25.0)
    assert padded.circle_mm == pytest.approx(left.circle_mm - 25.0, abs=5.0)
    other = straight("DB", (100.0, -650.0, 500.0), (-1100.0, -650.0, 500.0))
    clear = opening_left(corners, {"DB": other})
    assert (clear.free_share, clear.crossed_by) == (1.0, ())
    assert 700.0 - 2 * 5.0 <= clear.circle_mm <= 700.0


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


def test_without_a_middle_the_right_side_is_not_known():
    driver = Driver(name="Ada", knee_mm=(-700.0, 500.0, 500.0))
    assert [body.name for body in driver.bodies()] == ["left knee"]
    missing = driver.not_measured()
    assert "left knee" not in missing
    assert "middle" in missing["right knee"]
    assert missing["left shin"] == "shin"


def test_what_is_not_a_body_is_said_to_be_missing():
    parts = {"helmet", "steering wheel", "hips"}
    parts |= {f"{hand} {part}" for hand in ("left", "right") for part in ("shoulder", "knee", "shin")}
    assert set(Driver(name="Ada").not_measured()) == parts
    assert Driver(name="Ada", helmet_mm=(0.0, 0.0, 0.0)).not_measured()["helmet"] == "helmet radius"
    whole = Driver(
        name="Ada", helmet_mm=(-1300.0, 350.0, 1000.0), helmet_radius_mm=140.0, shoulder_mm=(-1330.0, 500.0, 700.0),
        hip_mm=(-1200.0, 350.0, 300.0), knee_mm=(-700.0, 450.0, 500.0), shin_mm=(-400.0, 450.0, 200.0),
        wheel_mm=(-750.0, 350.0, 650.0), wheel_radius_mm=175.0,
    )  # fmt: skip
    assert whole.not_measured() == {}
    assert {body.name for body in whole.bodies()} == parts


def turned_over(place):
    return (place[0], -place[1], place[2])


@settings(max_examples=30, deadline=None)
@given(offset=st.floats(-400, 400), forward=st.floats(-1800, -900), up=st.floats(900, 1400))
def test_the_mirrored_car_has_the_same_room(offset, forward, up):
    driver = Driver(
        name="Ada", helmet_mm=(-1300.0, offset, 1000.0), helmet_radius_mm=140.0,
        knee_mm=(-700.0, offset + 120.0, 500.0), shin_mm=(-400.0, offset + 120.0, 200.0),
    )  # fmt: skip
    other = Driver(
        name="Bob", helmet_mm=(-1300.0, -offset, 1000.0), helmet_radius_mm=140.0,
        knee_mm=(-700.0, 120.0 - offset, 500.0), shin_mm=(-400.0, 120.0 - offset, 200.0),
    )  # fmt: skip
    bar = straight("B", (forward, 700.0, up), (forward + 300.0, 100.0, up - 300.0))
    mirrored = straight("B", *(turned_over(node) for node in bar.nodes_mm))
    swap = str.maketrans({"<": "right", ">": "left"})
    rooms = {room.part: room.room_mm for room in rooms_to_bars(driver, {"B": bar})}
    again = {
        room.part.replace("left", "<").replace("right", ">").translate(swap): room.room_mm
        for room in rooms_to_bars(other, {"B": mirrored})
    }
    assert rooms == pytest.approx(again)


@settings(max_examples=30, deadline=None)
@given(up=st.floats(1150, 1500), more=st.floats(0, 500), padding=st.floats(0, 100))
def test_a_bar_moved_away_never_comes_nearer(up, more, padding):
    driver = Driver(name="Ada", helmet_mm=(-1300.0, 0.0, 1000.0), helmet_radius_mm=140.0, padding_mm=padding)
    bars = ({"B": across("B", -1250, up + by)} for by in (0.0, more))
    near, far = (nearest_bars(rooms_to_bars(driver, one))[0].room_mm for one in bars)
    assert far >= near
    assert near == pytest.approx(math.hypot(50.0, up - 1000.0) - 140.0 - 20.0 - padding, abs=0.05)


def test_the_edge_lies_over_the_bars_where_the_helmet_is():
    # a roof that falls to the sides: 100 mm lower over a driver who sits 400 mm from the middle
    falling = [
        straight(name, (forward, 0.0, 1200.0), (forward, 500.0, 1075.0))
        for name, forward in (("MH", -1600.0), ("SC", -900.0))
    ]
    level = [across("MH", -1600, 1100), across("SC", -900, 1100)]
    driver = Driver(name="Ada", helmet_mm=(-1300.0, 400.0, 900.0), helmet_radius_mm=140.0)
    assert helmet_line(driver, *falling).room_mm == pytest.approx(helmet_line(driver, *level).room_mm)
    beside = Driver(name="Ada", helmet_mm=(-1300.0, 600.0, 900.0), helmet_radius_mm=140.0)
    assert helmet_line(beside, *falling) is None


def test_a_helmet_through_the_edge_has_less_than_no_room():
    driver = Driver(name="Ada", helmet_mm=(-1300.0, 0.0, 1100.0), helmet_radius_mm=140.0)
    line = helmet_line(driver, across("MH", -1600, 1130), across("SC", -900, 1130))
    assert line.room_mm == pytest.approx(1150.0 - 1240.0)
    assert line.between
    assert helmet_line(driver, across("SC", -900, 1130), across("MH", -1600, 1130)) is None


@pytest.mark.parametrize(
    ("back", "down", "angle"), [(300, 60, 11.31), (180, 80, 23.96), (250, -20, -4.57), (-100, 0, 180)]
)
def test_belts_by_hand(back, down, angle):
    driver = Driver(name="Ada", shoulder_mm=(0.0, 150.0, 700.0), guide_mm=(-back, 120.0, 700.0 - down))
    assert belt_angle_deg(driver) == pytest.approx(angle, abs=0.005)


def test_a_guide_on_the_shoulder_has_no_angle():
    place = (0.0, 150.0, 700.0)
    assert belt_angle_deg(Driver(name="Ada", shoulder_mm=place, guide_mm=place)) is None


def test_two_bars_one_behind_the_other_hide_a_place_once():
    eye = Driver(name="Ada", eye_mm=(0.0, 0.0, 1000.0))
    posts = {
        "near": straight("near", (500.0, 0.0, 0.0), (500.0, 0.0, 2000.0), od_mm=60.0),
        "far": straight("far", (900.0, 0.0, 0.0), (900.0, 0.0, 2000.0), od_mm=60.0),
    }
    hidden = hidden_view(eye, posts, "forward")
    assert hidden.together_share == hidden.share_by_bar["near"] > hidden.share_by_bar["far"] > 0.0


def test_an_eye_within_the_padding_sees_nothing():
    eye = Driver(name="Ada", eye_mm=(0.0, 0.0, 1000.0), padding_mm=30.0)
    assert hidden_view(eye, {"B": across("B", 40, 1000)}, "left").share_by_bar["B"] == 1.0


def test_corners_go_round_by_their_numbers():
    ring = [(500.0 * math.cos(k * math.pi / 6), 700.0, 500.0 * math.sin(k * math.pi / 6)) for k in range(12)]
    corners = opening_corners(
        {f"door_opening_{k + 1}": place for k, place in enumerate(ring)} | {"sill": ring[0]}
    )
    assert corners.tolist() == [list(place) for place in ring]
    inner_mm = 2.0 * 500.0 * math.cos(math.pi / 12)
    assert inner_mm - 10.0 <= opening_left(corners, {}).circle_mm <= inner_mm
    assert (
        opening_corners({"door_opening_1": ring[0], "door_opening_2": ring[1], "door_opening_x": ring[2]})
        is None
    )


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 700, 300), (-500, 700, 300), (-1000, 700, 300)],
        [(0, 700, 300), (-1000, -700, 300), (-1000, 700, 1000)],
        [(0, 700, 300), (-9000, 700, 300), (-9000, 700, 1000)],
    ],
)
def test_corners_that_are_no_opening_leave_nothing_to_judge(corners):
    assert opening_left(np.array(corners, dtype=float), {}) is None


def test_drivers_keep_their_order_and_the_cage_before_stays():
    cage = set_driver(set_driver(Cage(), DRIVER), Driver(name="Bob"))
    padded = set_driver(cage, Driver(name="Ada", padding_mm=25.0))
    assert [driver.name for driver in padded.drivers] == ["Ada", "Bob"]
    assert driver_of(padded, "Ada").padding_mm == 25.0
    assert driver_of(cage, "Ada") is DRIVER
    assert [driver.name for driver in remove_driver(padded, "Ada").drivers] == ["Bob"]
    with pytest.raises(UserError, match="DRV-002"):
        driver_of(remove_driver(padded, "Ada"), "Ada")


@pytest.mark.parametrize(
    "wrong",
    [
        {"padding_mm": math.nan}, {"padding_mm": -1.0}, {"helmet_radius_mm": math.inf},
        {"helmet_mm": (math.nan, 0.0, 0.0)}, {"eye_mm": (0.0, 1e6, 0.0)}, {"wheel_radius_mm": 0.0},
        {"name": " "}, {"name": "A\nB"},
    ],
)  # fmt: skip
def test_a_driver_that_cannot_be_is_refused(wrong):
    with pytest.raises(UserError) as caught:
        set_driver(Cage(), Driver(**{"name": "Ada", **wrong}))
    assert caught.value.findings[0].code == "DRV-001"


@pytest.mark.parametrize(
    ("tilt_deg", "ahead", "up"), [(0.0, 200.0, 900.0), (30.0, 100.0, 880.0), (90.0, 400.0, 720.0)]
)
def test_a_bar_before_the_wheel_is_as_far_as_from_its_rim(tilt_deg, ahead, up):
    # in the side view the rim is its highest and lowest place for a bar straight across
    driver = Driver(
        name="Ada", wheel_mm=(-1000.0, 0.0, 700.0), wheel_radius_mm=180.0, wheel_tilt_deg=tilt_deg
    )
    tilt = math.radians(tilt_deg)
    top = (-1000.0 + 180.0 * math.sin(tilt), 700.0 + 180.0 * math.cos(tilt))
    (room,) = rooms_to_bars(driver, {"DA": across("DA", -1000.0 + ahead, up)})
    assert room.part == "steering wheel"
    assert room.room_mm == pytest.approx(
        math.hypot(-1000.0 + ahead - top[0], up - top[1]) - 20.0 - 45.0, abs=0.5
    )


def test_a_bar_behind_a_wheel_of_known_tilt_is_not_taken_for_one_in_it():
    bars = {"DA": across("DA", -850.0, 700.0)}
    ball = Driver(name="Ada", wheel_mm=(-1000.0, 0.0, 700.0), wheel_radius_mm=180.0)
    rim = Driver(name="Ada", wheel_mm=(-1000.0, 0.0, 700.0), wheel_radius_mm=180.0, wheel_tilt_deg=25.0)
    assert rooms_to_bars(ball, bars)[0].room_mm < 0.0 < rooms_to_bars(rim, bars)[0].room_mm


def test_a_tilt_that_no_wheel_has_is_refused():
    with pytest.raises(UserError, match="tilt"):
        set_driver(Cage(), Driver(name="Ada", wheel_tilt_deg=120.0))

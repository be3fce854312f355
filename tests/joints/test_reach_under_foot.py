"""Metal under a foot on a box: below it counts, beside it does not."""

import numpy as np
import pytest

from hoopwright.geometry import Transform
from hoopwright.joints.reach import metal_under

HIGH_MM, TRIM_AND_HALF_MM = 50.0, 52.5


def foot_at(bodies, left, up=HIGH_MM):
    hoop = bodies.hoop()
    return hoop.with_nodes(np.array([(-900.0, left, up), *hoop.nodes_mm[1:]]))


def look(shell, bar):
    return metal_under(shell, bar, "A", reach_mm=HIGH_MM + TRIM_AND_HALF_MM, back_mm=TRIM_AND_HALF_MM)


@pytest.fixture(scope="module")
def cabin(bodies):
    return bodies.shell_of(bodies.as_scan(bodies.cabin_soup()))


def test_a_floor_below_counts(bodies, cabin):
    assert look(cabin, foot_at(bodies, 612.4)).under_mm == pytest.approx(HIGH_MM, abs=0.01)


def test_a_foot_drawn_a_little_into_the_floor_stands_on_it(bodies, cabin):
    assert look(cabin, foot_at(bodies, 612.4, up=-12.0)).under_mm == pytest.approx(12.0, abs=0.05)


@pytest.mark.parametrize("left", [612.4, 640.0, 665.0, 679.0])
def test_the_wall_beside_a_leg_is_no_floor(bodies, section_shell, left):
    found = look(section_shell, foot_at(bodies, left))
    assert found.under_mm is None
    assert found.beside_mm == pytest.approx(680.0 - left, abs=0.01)


def test_a_floor_too_far_below_does_not_count(bodies, cabin):
    found = look(cabin, foot_at(bodies, 612.4, up=110.0))
    assert found.under_mm is None
    assert found.beside_mm == pytest.approx(680.0 - 612.4, abs=0.01)


def test_a_hole_in_the_floor_under_the_axis_hides_nothing(bodies):
    soup = bodies.cabin_soup()
    # the floor's triangles that meet the axis, and nothing 45 mm off
    middle = soup.mean(axis=1)
    hole = (np.abs(soup[:, :, 2]).max(axis=1) < 1e-6) & (
        np.hypot(middle[:, 0] + 900.0, middle[:, 1] - 612.4) < 22.0
    )
    assert hole.any()
    shell = bodies.shell_of(bodies.as_scan(soup[~hole]))
    # eight rays square to a leg that leans 2.7 degrees
    assert look(shell, foot_at(bodies, 612.4)).under_mm == pytest.approx(HIGH_MM, abs=1.1)


def test_a_scan_that_lies_on_its_side_is_looked_at_in_vehicle_axes(bodies):
    """Floor and walls change places in the scan's own frame, not in the car's."""
    on_side = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
    to_vehicle = Transform(rotation=on_side.T, shift_mm=np.zeros(3), source="scan", target="vehicle")
    shell = bodies.shell_of(bodies.as_scan(bodies.cabin_soup() @ on_side.T), to_vehicle)
    assert look(shell, foot_at(bodies, 612.4)).under_mm == pytest.approx(HIGH_MM, abs=0.01)
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup() @ on_side.T), to_vehicle)
    assert look(shell, foot_at(bodies, 665.0)).under_mm is None


def test_points_of_a_cloud_count_within_the_width_of_the_tube(bodies):
    forward, left = np.meshgrid(np.arange(-1000.0, -800.0, 8.0), np.arange(520.0, 700.0, 8.0))
    floor = np.stack([forward.ravel(), left.ravel(), np.zeros(forward.size)], axis=1)
    up, along = np.meshgrid(np.arange(0.0, 700.0, 8.0), np.arange(-1000.0, -800.0, 8.0))
    wall = np.stack([along.ravel(), np.full(up.size, 680.0), up.ravel()], axis=1)
    with_floor = bodies.shell_of(bodies.as_cloud(np.concatenate([floor, wall])))
    assert look(with_floor, foot_at(bodies, 612.4)).under_mm == pytest.approx(HIGH_MM, abs=0.5)
    assert look(bodies.shell_of(bodies.as_cloud(wall)), foot_at(bodies, 612.4)).under_mm is None

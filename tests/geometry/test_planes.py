import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.geometry import Plane, fit_plane, mirror_points

seeds = st.integers(0, 2**32 - 1)


@given(seeds)
def test_mirrored_points_lie_as_far_on_the_other_side(seed):
    rng = np.random.default_rng(seed)
    plane = Plane.through(rng.normal(size=3) * 500.0, rng.normal(size=3) * 7.0)
    points = rng.normal(size=(9, 3)) * 1000.0
    mirrored = mirror_points(points, plane)
    assert plane.distance_mm(mirrored) == pytest.approx(-plane.distance_mm(points), abs=1e-8)
    assert (points + mirrored) / 2.0 == pytest.approx(plane.nearest(points), abs=1e-8)
    assert mirror_points(mirrored, plane) == pytest.approx(points, abs=1e-8)


def test_distance_is_positive_on_the_side_of_the_normal():
    roof = Plane.through([0.0, 0.0, 1118.0], [0.0, 0.0, 3.0])
    assert roof.distance_mm([[0, 0, 1100.0], [5, 5, 1120.0]]) == pytest.approx([-18.0, 2.0])
    assert roof.nearest([7.0, 8.0, 0.0]) == pytest.approx([7.0, 8.0, 1118.0])


@given(seeds)
def test_fitted_plane_and_its_worst_point(seed):
    rng = np.random.default_rng(seed)
    plane = Plane.through(rng.normal(size=3) * 100.0, rng.normal(size=3))
    points = plane.nearest(rng.normal(size=(20, 3)) * 1000.0)
    found, worst_mm = fit_plane(points)
    assert abs(found.normal @ plane.normal) == pytest.approx(1.0, abs=1e-12)
    assert worst_mm == pytest.approx(0.0, abs=1e-8)


def test_the_worst_point_is_told():
    square = [[0, 0, 0], [100, 0, 0], [100, 100, 0], [0, 100, 0.0]]
    lifted = [[0, 0, 1], [100, 0, -1], [100, 100, 1], [0, 100, -1.0]]
    assert fit_plane(square)[1] == pytest.approx(0.0, abs=1e-12)
    assert fit_plane(lifted)[1] == pytest.approx(1.0)

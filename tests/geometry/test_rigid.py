"""Rotations and rigid motions against scipy.spatial.transform.Rotation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from hoopwright.geometry import Transform, best_rigid_motion, rotation_about

seeds = st.integers(0, 2**32 - 1)


def some_transform(rng, source, target):
    return Transform(
        rotation=Rotation.random(rng=rng).as_matrix(),
        shift_mm=rng.normal(size=3) * 1000.0,
        source=source,
        target=target,
    )


@given(seeds, st.floats(-360, 360))
def test_rotation_about_agrees_with_scipy(seed, angle_deg):
    axis = np.random.default_rng(seed).normal(size=3)
    expected = Rotation.from_rotvec(np.radians(angle_deg) * axis / np.linalg.norm(axis)).as_matrix()
    assert rotation_about(axis, angle_deg) == pytest.approx(expected, abs=1e-12)


@given(seeds, st.integers(3, 12), st.booleans())
def test_best_rigid_motion_agrees_with_align_vectors(seed, count, weighted):
    rng = np.random.default_rng(seed)
    source = rng.normal(size=(count, 3)) * 500.0
    target = Rotation.random(rng=rng).apply(source) + rng.normal(size=3) * 800.0
    target = target + rng.normal(size=source.shape) * 2.0
    weights = rng.uniform(0.5, 2.0, count) if weighted else np.ones(count)
    rotation, shift = best_rigid_motion(source, target, weights if weighted else None)
    middle_source = np.average(source, axis=0, weights=weights)
    middle_target = np.average(target, axis=0, weights=weights)
    expected, _ = Rotation.align_vectors(target - middle_target, source - middle_source, weights=weights)
    assert rotation == pytest.approx(expected.as_matrix(), abs=1e-7)
    assert rotation @ middle_source + shift == pytest.approx(middle_target, abs=1e-8)


def test_best_rigid_motion_never_mirrors():
    """A mirror image fits best with a mirror; a rigid motion must not use one."""
    source = np.random.default_rng(4).normal(size=(8, 3))
    rotation, _ = best_rigid_motion(source, source * [1.0, -1.0, 1.0])
    assert np.linalg.det(rotation) == pytest.approx(1.0)


def test_best_rigid_motion_of_points_in_one_plane():
    """Flat sets leave the determinant's sign open; landmarks on a floor are such a set."""
    rng = np.random.default_rng(5)
    source = np.column_stack([rng.normal(size=(6, 2)), np.zeros(6)]) * 400.0
    turn = Rotation.from_euler("xyz", [2.0, -3.0, 40.0], degrees=True)
    rotation, shift = best_rigid_motion(source, turn.apply(source) + np.array([1.0, 2.0, 3.0]))
    assert rotation == pytest.approx(turn.as_matrix(), abs=1e-9)
    assert shift == pytest.approx([1.0, 2.0, 3.0], abs=1e-6)


@given(seeds)
def test_a_transform_and_its_inverse_undo_each_other(seed):
    rng = np.random.default_rng(seed)
    there = some_transform(rng, "scan", "vehicle")
    points = rng.normal(size=(5, 3)) * 2000.0
    back = there.inverse()
    assert (back.source, back.target) == ("vehicle", "scan")
    assert back.points(there.points(points)) == pytest.approx(points, abs=1e-8)
    assert there.then(back).points(points) == pytest.approx(points, abs=1e-8)


@given(seeds)
def test_one_transform_then_another_is_both_in_that_order(seed):
    rng = np.random.default_rng(seed)
    first, second = some_transform(rng, "scan", "vehicle"), some_transform(rng, "vehicle", "bar")
    points = rng.normal(size=(5, 3)) * 2000.0
    both = first.then(second)
    assert (both.source, both.target) == ("scan", "bar")
    assert both.points(points) == pytest.approx(second.points(first.points(points)), abs=1e-8)
    assert both.directions(points) == pytest.approx(both.points(points) - both.points([0, 0, 0]), abs=1e-8)


def test_one_point_keeps_its_shape():
    transform = some_transform(np.random.default_rng(1), "bar", "machine")
    assert transform.points([1.0, 2.0, 3.0]).shape == (3,)
    assert transform.directions([1.0, 0.0, 0.0]) == pytest.approx(transform.rotation[:, 0])


def test_identity_names_its_frames():
    same = Transform.identity("scan", "vehicle")
    assert same.points([1.0, 2.0, 3.0]).tolist() == [1.0, 2.0, 3.0]
    assert (same.source, same.target) == ("scan", "vehicle")


def test_frames_are_never_mixed():
    scan_to_vehicle = Transform.identity("scan", "vehicle")
    with pytest.raises(ValueError, match="to vehicle cannot be followed by one from scan"):
        scan_to_vehicle.then(scan_to_vehicle)


@pytest.mark.parametrize(
    "rotation", [np.diag([1.0, -1.0, 1.0]), np.eye(3) * 2.0, np.zeros((3, 3)), np.full((3, 3), np.nan)]
)
def test_a_mirror_or_a_scale_is_no_rotation(rotation):
    with pytest.raises(ValueError, match="not a proper rotation"):
        Transform(rotation=rotation, shift_mm=np.zeros(3), source="scan", target="vehicle")

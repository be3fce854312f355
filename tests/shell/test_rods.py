"""Distances of straight pieces to a mesh, held against python-fcl and against many points along each piece."""

import fcl
import numpy as np
import pytest

from hoopwright.shell.nearest import nearest_metal
from hoopwright.shell.rods import nearest_to_rods
from hoopwright.shell.tree import build_tree


def soup(seed, count=400, spread=300.0, size=40.0):
    rng = np.random.default_rng(seed)
    corners = rng.uniform(-spread, spread, (count, 1, 3)) + rng.normal(0.0, size, (count, 3, 3))
    return corners.reshape(-1, 3).astype(np.float32), np.arange(3 * count, dtype=np.int32).reshape(-1, 3)


def pieces(seed, count, length=120.0):
    rng = np.random.default_rng(seed + 50)
    starts = rng.uniform(-350.0, 350.0, (count, 3))
    way = rng.normal(0.0, 1.0, (count, 3))
    return starts, starts + length * way / np.linalg.norm(way, axis=1, keepdims=True)


def test_distances_agree_with_many_points_along_the_piece():
    tree = build_tree(*soup(3))
    starts, ends = pieces(3, 200)
    found = nearest_to_rods(tree, starts, ends, reach_mm=1e4)
    share = np.linspace(0.0, 1.0, 601)[:, None, None]
    along = starts + share * (ends - starts)
    dense = nearest_metal(tree, along.reshape(-1, 3)).distance_mm.reshape(601, -1).min(axis=0)
    # samples are 0.2 mm apart, so the true distance is at most 0.1 mm under theirs, and never over
    assert (found.distance_mm <= dense + 1e-6).all()
    assert (found.distance_mm >= dense - 0.1001).all()


@pytest.mark.parametrize("radius", [4.0, 11.0, 30.0])
def test_a_capsule_touches_what_the_collision_library_says(radius):
    points, triangles = soup(7)
    tree = build_tree(points, triangles)
    model = fcl.BVHModel()
    model.beginModel(len(points), len(triangles))
    model.addSubModel(points.astype(np.float64), triangles)
    model.endModel()
    mesh = fcl.CollisionObject(model)
    starts, ends = pieces(9, 250)
    found = nearest_to_rods(tree, starts, ends, reach_mm=radius)
    agreed = 0
    exact = nearest_to_rods(tree, starts, ends, reach_mm=1e4).distance_mm
    for k in range(len(starts)):
        if abs(exact[k] - radius) < 0.01:
            continue
        axis = ends[k] - starts[k]
        length = float(np.linalg.norm(axis))
        z = axis / length
        x = np.cross(z, np.eye(3)[int(np.argmin(np.abs(z)))])
        x /= np.linalg.norm(x)
        turned = np.stack([x, np.cross(z, x), z], axis=1)
        capsule = fcl.CollisionObject(
            fcl.Capsule(radius, length), fcl.Transform(turned, (starts[k] + ends[k]) / 2.0)
        )
        touches = fcl.collide(mesh, capsule, fcl.CollisionRequest(), fcl.CollisionResult()) > 0
        assert touches == (found.triangle[k] >= 0), exact[k]
        agreed += 1
    assert agreed > 240


def test_pieces_without_length_and_points_without_area():
    tree = build_tree(*soup(5))
    at, _ = pieces(5, 60)
    wanted = nearest_metal(tree, at).distance_mm
    assert nearest_to_rods(tree, at, at, reach_mm=1e4).distance_mm == pytest.approx(wanted, abs=1e-9)
    cloud = np.array([[0, 0, 0], [100, 0, 0], [0, 100, 0]], dtype=np.float32)
    tree = build_tree(cloud, np.empty((0, 3), dtype=np.int32))
    found = nearest_to_rods(tree, [[40.0, 5.0, -10.0]], [[40.0, 5.0, 10.0]], reach_mm=1e3)
    assert found.distance_mm[0] == pytest.approx(np.hypot(40.0, 5.0))


def test_beyond_the_reach_there_is_nothing():
    tree = build_tree(*soup(5))
    found = nearest_to_rods(tree, [[5000.0, 0, 0]], [[5100.0, 0, 0]], reach_mm=50.0)
    assert found.triangle[0] == -1
    assert np.isinf(found.distance_mm[0])

"""Nearest metal and first hits, held against libigl and against plain numpy over all triangles."""

import igl
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.shell.nearest import nearest_metal
from hoopwright.shell.rays import first_hits
from hoopwright.shell.tree import build_tree

KINDS = ("even", "slivers", "degenerate", "clustered", "flat", "far away")


def mesh(kind, seed, count=700):
    """Points (float32, mm) and triangles with the named trouble."""
    rng = np.random.default_rng(seed)
    middle = rng.uniform(-5000.0, 5000.0, (count, 1, 3))
    corners = middle + rng.normal(0.0, 150.0, (count, 3, 3))
    if kind == "slivers":
        corners[:, 2] = corners[:, 0] + (corners[:, 1] - corners[:, 0]) * rng.random((count, 1)) + 1e-3
    if kind == "degenerate":
        corners[::3, 1] = corners[::3, 0]
        corners[1::3] = corners[1::3, :1]
    if kind == "clustered":
        corners[: count // 2] = corners[0] + rng.normal(0.0, 0.5, (count // 2, 3, 3))
    if kind == "flat":
        corners[:, :, 2] = 25.0
    if kind == "far away":
        corners += 9000.0
    return corners.reshape(-1, 3).astype(np.float32), np.arange(3 * count, dtype=np.int32).reshape(-1, 3)


def plain_nearest(points, triangles, queries):
    """Distance by projecting on every plane and every edge, without any tree."""
    a, b, c = (points[triangles[:, k]].astype(np.float64)[None] for k in range(3))
    q = queries[:, None]
    best = np.full((len(queries), len(triangles)), np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        edge = end - start
        length2 = (edge**2).sum(-1)
        share = np.clip(((q - start) * edge).sum(-1) / np.where(length2 > 0, length2, 1.0), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(q - start - share[..., None] * edge, axis=-1))
    normal = np.cross(b - a, c - a)
    size = np.linalg.norm(normal, axis=-1, keepdims=True)
    unit = normal / np.where(size > 0, size, 1.0)
    off = ((q - a) * unit).sum(-1)
    foot = q - off[..., None] * unit
    inside = size[..., 0] > 0
    for start, end in ((a, b), (b, c), (c, a)):
        inside = inside & ((np.cross(end - start, foot - start) * unit).sum(-1) >= 0)
    return np.where(inside, np.minimum(best, np.abs(off)), best).min(axis=1)


def queries_for(points, seed, count=300):
    rng = np.random.default_rng(seed + 1000)
    near = points[rng.integers(0, len(points), count // 2)] + rng.normal(0.0, 30.0, (count // 2, 3))
    low, high = points.min(axis=0) - 500.0, points.max(axis=0) + 500.0
    return np.concatenate([near, rng.uniform(low, high, (count - count // 2, 3))]).astype(np.float64)


@pytest.mark.parametrize("kind", KINDS)
def test_distances_agree_with_plain_numpy(kind):
    points, triangles = mesh(kind, 1)
    queries = queries_for(points, 1, 120)
    tree = build_tree(points, triangles)
    found = nearest_metal(tree, queries)
    wanted = plain_nearest(points, triangles, queries)
    # coordinates are float32 on both sides and the arithmetic is float64 on both sides
    assert found.distance_mm == pytest.approx(wanted, abs=1e-6)
    gap = np.linalg.norm(found.place_mm - queries, axis=1)
    assert gap == pytest.approx(found.distance_mm, abs=1e-9)
    # the place lies on the triangle that is named
    named = triangles[tree.order[found.triangle]]
    for place, triple in zip(found.place_mm[:40], named[:40], strict=True):
        assert plain_nearest(points, triple[None], place[None])[0] < 1e-6


@pytest.mark.parametrize("kind", ["even", "clustered", "flat", "far away"])
def test_distances_agree_with_libigl(kind):
    points, triangles = mesh(kind, 2, count=3000)
    queries = queries_for(points, 2, 2000)
    squared = igl.point_mesh_squared_distance(queries, points.astype(np.float64), triangles.astype(np.int64))[
        0
    ]
    found = nearest_metal(build_tree(points, triangles), queries)
    assert found.distance_mm == pytest.approx(np.sqrt(np.asarray(squared).ravel()), abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_following_a_line_changes_nothing(kind):
    """Each point starts from its neighbour's triangle: the same numbers as one by one, and within a reach."""
    points, triangles = mesh(kind, 3)
    rng = np.random.default_rng(3)
    start, way = rng.uniform(-3000.0, 3000.0, 3), np.array([0.6, 0.0, 0.8])
    rows = start + np.arange(1500)[:, None] * 2.0 * way
    tree = build_tree(points, triangles)
    together = nearest_metal(tree, rows).distance_mm
    assert np.array_equal(together, [nearest_metal(tree, row).distance_mm[0] for row in rows])
    shuffled = rng.permutation(len(rows))
    assert np.array_equal(together[shuffled], nearest_metal(tree, rows[shuffled]).distance_mm)
    within = nearest_metal(tree, rows, reach_mm=200.0)
    assert np.array_equal(within.distance_mm, np.where(together < 200.0, together, np.inf))
    assert (within.triangle[together >= 200.0] == -1).all()
    assert np.isnan(within.place_mm[together >= 200.0]).all()


def test_a_single_triangle_and_a_single_point():
    triangle = np.array([[0, 0, 0], [100, 0, 0], [0, 100, 0]], dtype=np.float32)
    tree = build_tree(triangle, np.array([[0, 1, 2]], dtype=np.int32))
    found = nearest_metal(tree, [(20.0, 20.0, 7.0), (-30.0, -40.0, 0.0), (100.0, 100.0, 0.0), (50, -3, 4)])
    assert found.distance_mm == pytest.approx([7.0, 50.0, np.sqrt(0.5) * 100.0, 5.0])
    point = build_tree(np.array([[1, 2, 3]], dtype=np.float32), np.empty((0, 3), dtype=np.int32))
    assert nearest_metal(point, [(1.0, 2.0, 15.0)]).distance_mm == pytest.approx([12.0])


def test_a_cloud_is_measured_to_its_points():
    rng = np.random.default_rng(5)
    cloud = rng.uniform(-2000.0, 2000.0, (5000, 3)).astype(np.float32)
    queries = rng.uniform(-2000.0, 2000.0, (400, 3))
    tree = build_tree(cloud, np.empty((0, 3), dtype=np.int32))
    wanted = np.linalg.norm(queries[:, None] - cloud[None].astype(np.float64), axis=2)
    found = nearest_metal(tree, queries)
    assert found.distance_mm == pytest.approx(wanted.min(axis=1), abs=1e-9)
    assert np.array_equal(tree.order[found.triangle], wanted.argmin(axis=1))


def test_the_tree_holds_every_triangle_once_inside_its_boxes():
    points, triangles = mesh("slivers", 6, count=5001)
    tree = build_tree(points, triangles)
    assert np.array_equal(np.sort(tree.order), np.arange(5001))
    assert np.array_equal(tree.corners.reshape(-1, 3, 3), points[triangles[tree.order]])
    assert np.array_equal(tree.lowest_mm, points.min(axis=0))
    assert np.array_equal(tree.highest_mm, points.max(axis=0))
    again = build_tree(points, triangles)
    assert np.array_equal(tree.order, again.order)


def plain_hits(points, triangles, starts, rays, reach):
    """Distance to the plane of every triangle where the place lies inside it."""
    a, b, c = (points[triangles[:, k]].astype(np.float64)[None] for k in range(3))
    o, d = starts[:, None], rays[:, None]
    normal = np.cross(b - a, c - a)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = ((a - o) * normal).sum(-1) / (d * normal).sum(-1)
        place = o + at[..., None] * d
        inside = np.isfinite(at) & (at >= 0.0) & (at <= reach)
        for start, end in ((a, b), (b, c), (c, a)):
            inside &= (np.cross(end - start, place - start) * normal).sum(-1) >= 0.0
    return np.where(inside, at, np.inf).min(axis=1)


@pytest.mark.parametrize("kind", ["even", "clustered", "flat", "far away"])
@pytest.mark.parametrize("reach", [np.inf, 4000.0])
def test_first_hits_agree_with_plain_numpy(kind, reach):
    points, triangles = mesh(kind, 7, count=900)
    rng = np.random.default_rng(7)
    starts = queries_for(points, 7, 300)
    aims = points[triangles[rng.integers(0, len(triangles), 300)]].astype(np.float64)
    rays = (aims * rng.dirichlet((1, 1, 1), 300)[..., None]).sum(axis=1) - starts
    rays[::5] = np.eye(3)[rng.integers(0, 3, 60)]
    unit = rays / np.linalg.norm(rays, axis=1, keepdims=True)
    hits = first_hits(build_tree(points, triangles), starts, rays, reach_mm=reach)
    wanted = plain_hits(points, triangles, starts, unit, reach)
    assert np.isfinite(wanted).sum() > 20
    assert np.array_equal(np.isfinite(hits.distance_mm), np.isfinite(wanted))
    seen = np.isfinite(wanted)
    assert hits.distance_mm[seen] == pytest.approx(wanted[seen], abs=1e-5)


def test_a_ray_does_not_slip_between_triangles_that_share_an_edge():
    count = 20
    grid = np.stack(np.meshgrid(np.arange(count), np.arange(count), indexing="ij"), -1).reshape(-1, 2)
    points = np.column_stack([grid * 10.0, np.zeros(len(grid))]).astype(np.float32)
    number = np.arange(count * count).reshape(count, count)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = np.concatenate([np.stack([a, b, c], -1), np.stack([a, c, d], -1)]).reshape(-1, 3)
    tree = build_tree(points, triangles.astype(np.int32))
    aims = np.concatenate([points[count + 1 :: 7], points[: -count - 1 : 5] + np.float32([5.0, 5.0, 0.0])])
    aims = aims[(aims[:, :2] > 0).all(axis=1) & (aims[:, :2] < 190).all(axis=1)].astype(np.float64)
    start = np.array([33.3, 71.7, 412.0])
    hits = first_hits(tree, np.broadcast_to(start, aims.shape), aims - start)
    assert hits.distance_mm == pytest.approx(np.linalg.norm(aims - start, axis=1), abs=1e-6)


def test_a_cloud_is_never_hit():
    tree = build_tree(np.zeros((3, 3), dtype=np.float32), np.empty((0, 3), dtype=np.int32))
    hits = first_hits(tree, [(0.0, 0.0, -5.0)], [(0.0, 0.0, 1.0)])
    assert hits.triangle[0] == -1
    assert not np.isfinite(hits.distance_mm[0])


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 10**6), st.integers(1, 40), st.sampled_from([1e-3, 1.0, 1000.0]), st.sampled_from(KINDS)
)
def test_any_small_mesh_at_any_size(seed, count, size, kind):
    points, triangles = mesh(kind, seed, count)
    points = (points * np.float32(size / 1000.0)).astype(np.float32)
    queries = queries_for(points, seed, 20)
    found = nearest_metal(build_tree(points, triangles), queries)
    scale = float(np.abs(points).max() + np.abs(queries).max())
    assert found.distance_mm == pytest.approx(plain_nearest(points, triangles, queries), abs=1e-9 * scale)

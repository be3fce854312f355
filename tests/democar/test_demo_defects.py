import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from hoopwright.democar import DemoCar, build_demo_scan
from hoopwright.findings import UserError


def test_same_car_same_bytes():
    first, second = (build_demo_scan(DemoCar(spacing_mm=30.0)) for _ in range(2))
    assert first.triangles.tobytes() == second.triangles.tobytes()
    assert first.landmarks == second.landmarks
    assert first.pieces == second.pieces


def test_another_seed_is_another_scan_of_the_same_car():
    first, second = (build_demo_scan(DemoCar(spacing_mm=30.0, seed=seed)) for seed in (1, 2))
    assert first.triangles.tobytes() != second.triangles.tobytes()
    assert first.landmarks == second.landmarks
    assert first.holes != second.holes


def test_default_is_the_size_of_a_demo(default_clean):
    assert 350_000 < len(default_clean.scan.triangles) < 450_000
    assert default_clean.scan.triangles.dtype == np.float32


def test_triangles_grow_with_the_inverse_square_of_the_spacing():
    counts = [len(build_demo_scan(DemoCar(spacing_mm=mm)).triangles) for mm in (32.0, 16.0, 8.0)]
    assert counts[1] / counts[0] == pytest.approx(4.0, rel=0.12)
    assert counts[2] / counts[1] == pytest.approx(4.0, rel=0.06)


def test_pieces_cover_the_scan_without_gap_or_overlap(noisy):
    first = 0
    for piece in noisy.scan.pieces:
        assert piece.first == first
        first += piece.count
    assert first == len(noisy.scan.triangles)


def test_noise_is_as_stated_and_coherent(noisy, clean):
    move = (noisy.triangles - clean.triangles)[: noisy.scan.pieces[-3].first]
    normal = np.cross(
        clean.piece("roof_skin")[:, 1] - clean.piece("roof_skin")[:, 0],
        clean.piece("roof_skin")[:, 2] - clean.piece("roof_skin")[:, 0],
    )
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    (roof,) = (piece for piece in noisy.scan.pieces if piece.name == "roof_skin")
    error = np.einsum("nki,ni->nk", move[roof.first : roof.first + roof.count], normal)
    assert np.sqrt((move**2).sum(axis=2).mean()) == pytest.approx(0.3, abs=0.04)
    # 0.8 of the deviation is a field with waves of 60 mm and more: 0.64 of the variance less a little.
    assert np.corrcoef(error[:, 0], error[:, 1])[0, 1] == pytest.approx(0.58, abs=0.14)
    assert abs(np.corrcoef(error[:, 0], np.roll(error[:, 0], len(error) // 2))[0, 1]) < 0.3


def test_noise_opens_no_seam_within_a_sheet(noisy, clean):
    for name in ("roof_skin", "floor", "left_sill", "left_quarter"):
        assert len(np.unique(noisy.scan.triangles[_rows(noisy, name)].reshape(-1, 3), axis=0)) == len(
            np.unique(clean.scan.triangles[_rows(clean, name)].reshape(-1, 3), axis=0)
        )


def _rows(view, name):
    (piece,) = (piece for piece in view.scan.pieces if piece.name == name)
    return slice(piece.first, piece.first + piece.count)


def test_holes_are_empty_where_the_whole_car_has_surface(clean):
    whole = build_demo_scan(DemoCar(spacing_mm=20.0, noise_mm=0.0, hole_count=0))
    corners = whole.pose.inverse().points(whole.triangles.reshape(-1, 3))
    tree_whole, tree = cKDTree(corners), cKDTree(clean.car.reshape(-1, 3))
    assert 15 <= len(clean.scan.holes) <= 30
    assert len(whole.triangles) - len(clean.scan.triangles) > 300
    for hole in clean.scan.holes:
        assert len(tree_whole.query_ball_point(hole.middle_mm, hole.radius_mm)) > 0
        assert len(tree.query_ball_point(hole.middle_mm, hole.radius_mm - 0.01)) == 0


def test_no_hole_takes_a_landmark(noisy):
    at = np.array(list(noisy.scan.landmarks.values()))
    for hole in noisy.scan.holes:
        assert np.linalg.norm(at - hole.middle_mm, axis=1).min() > hole.radius_mm + 60.0


def test_there_are_loose_pieces_bows_and_specks(noisy):
    triangles = noisy.scan.triangles
    corners, index = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
    faces = index.reshape(-1, 3)
    links = np.concatenate([faces[:, :2], faces[:, 1:]])
    graph = coo_array(
        (np.ones(len(links), dtype=np.int8), (links[:, 0], links[:, 1])), shape=(len(corners),) * 2
    )
    count, labels = connected_components(graph, directed=False)
    sizes = np.bincount(labels[faces[:, 0]], minlength=count)
    assert (sizes == 1).sum() >= DemoCar().speck_count
    assert ((sizes > 1) & (sizes < 120)).sum() >= 20
    assert (sizes > 500).sum() >= 30
    bows = {labels[faces[_rows(noisy, f"roof_bow_{n}")][0, 0]] for n in (1, 2, 3)}
    skin = labels[faces[_rows(noisy, "roof_skin")][0, 0]]
    assert len(bows | {skin}) == 4


def test_some_sheets_are_wound_the_other_way(noisy):
    same, turned = 0, 0
    for piece in noisy.scan.pieces:
        if not piece.name.startswith("left_"):
            continue
        left = _area_vector(noisy.piece(piece.name)) * [1.0, -1.0, 1.0]
        right = _area_vector(noisy.piece(piece.name.replace("left_", "right_")))
        agree = float(left @ right) > 0.0
        (partner,) = (p for p in noisy.scan.pieces if p.name == piece.name.replace("left_", "right_"))
        if np.linalg.norm(left) > 1000.0:
            assert agree == (piece.flipped == partner.flipped)
            same, turned = same + agree, turned + (not agree)
    assert turned >= 4
    assert same >= 8
    assert 4 <= sum(piece.flipped and piece.of_car for piece in noisy.scan.pieces) <= 30


def _area_vector(triangles):
    return np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]).sum(axis=0) / 2.0


def test_outer_sheets_that_are_not_flipped_face_outward(noisy):
    for name in ("left_quarter", "left_front_wing", "right_quarter", "right_front_wing"):
        (piece,) = (piece for piece in noisy.scan.pieces if piece.name == name)
        side = 1.0 if name.startswith("left") else -1.0
        outward = _area_vector(noisy.piece(name))[1] * side > 0.0
        assert outward == (not piece.flipped)


def test_some_triangles_are_in_it_twice(noisy):
    rows = noisy.scan.triangles.reshape(-1, 9)
    twice = len(rows) - len(np.unique(rows, axis=0))
    assert twice == noisy.scan.pieces[-3].count
    assert twice > 100


def test_clutter_lies_below_and_beside_the_car(noisy):
    ground = noisy.piece("workshop_floor").reshape(-1, 3)
    assert -200.0 < ground[:, 2].min() < ground[:, 2].max() < -150.0
    for name in ("stand_1", "stand_2", "box", "air_hose"):
        piece = noisy.piece(name).reshape(-1, 3)
        assert piece[:, 2].min() < -150.0
        assert piece[:, 2].max() < 60.0


def test_no_triangle_is_broken(noisy):
    assert np.isfinite(noisy.scan.triangles).all()
    edges = np.linalg.norm(noisy.car - np.roll(noisy.car, 1, axis=1), axis=2)
    assert edges.max() < 6 * 20.0
    assert np.median(edges) == pytest.approx(20.0, abs=6.0)


@pytest.mark.parametrize(
    ("key", "value"), [("spacing_mm", 0.0), ("noise_mm", -1.0), ("length_mm", float("nan")), ("seed", -1)]
)
def test_numbers_out_of_reason_are_refused(key, value):
    with pytest.raises(UserError) as stopped:
        DemoCar(**{key: value})
    assert stopped.value.findings[0].code == "DEMO-001"
    assert key in stopped.value.findings[0].objects

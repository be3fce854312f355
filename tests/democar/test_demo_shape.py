import igl
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from hoopwright.democar import DemoCar, build_demo_scan


def surface_distances_mm(points: NDArray[np.float64], triangles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance of points to the nearest triangle, by libigl."""
    corners = np.ascontiguousarray(triangles.reshape(-1, 3))
    faces = np.arange(len(corners)).reshape(-1, 3)
    squared = igl.point_mesh_squared_distance(points, corners, faces)[0]
    return np.sqrt(squared)


def middles_inside(triangles: NDArray[np.float64], low: tuple, high: tuple) -> int:
    middles = triangles.mean(axis=1)
    return int(np.all((middles > low) & (middles < high), axis=1).sum())


def test_landmarks_lie_on_the_surface(default_clean):
    landmarks = default_clean.scan.landmarks
    distances = surface_distances_mm(np.array(list(landmarks.values())), default_clean.car)
    off = {name: d for name, d in zip(landmarks, distances, strict=True) if d > 0.1}
    assert not off
    assert len(landmarks) >= 24


def test_landmarks_lie_on_the_scan_within_its_noise(noisy):
    # A corner's error is normal with 0.3 mm, and 20 mm edges cut curves by up to 0.15 mm.
    distances = surface_distances_mm(np.array(list(noisy.scan.landmarks.values())), noisy.triangles)
    assert distances.max() < 4 * 0.3 + 0.2


def test_nominal_box_after_the_pose_is_undone(clean):
    low, high = clean.car.reshape(-1, 3).min(axis=0), clean.car.reshape(-1, 3).max(axis=0)
    assert high[0] == pytest.approx(0.0, abs=1.0)
    assert low[0] == pytest.approx(-3650.0, abs=1.0)
    assert high[1] - low[1] == pytest.approx(1600.0 - 3.0, abs=2.0)
    assert high[2] == pytest.approx(1170.0, abs=0.5)
    # Seen below the sills: only the well for the spare wheel might, and it does not.
    assert low[2] == pytest.approx(0.0, abs=0.01)


def test_the_scan_is_turned_and_far_off(noisy):
    # Yaw 17, pitch 2.5, roll 4 about forward, left, up: the forward direction's image by hand.
    yaw, pitch = np.radians([17.0, 2.5])
    forward = noisy.scan.pose.directions([1.0, 0.0, 0.0])
    expected = [np.cos(yaw) * np.cos(pitch), np.sin(yaw) * np.cos(pitch), -np.sin(pitch)]
    assert forward == pytest.approx(expected)
    assert np.linalg.norm(noisy.scan.pose.shift_mm) > 2000.0
    roof_corner = noisy.scan.pose.points(noisy.scan.landmarks["roof_at_hoop"])
    assert surface_distances_mm(roof_corner[None], noisy.scan.triangles.astype(float))[0] < 1.4


@pytest.mark.parametrize("skew_mm", [0.0, 3.0, 8.0])
def test_right_side_stands_in_by_the_skew(skew_mm):
    scan = build_demo_scan(DemoCar(spacing_mm=40.0, skew_mm=skew_mm, noise_mm=0.0, hole_count=0))
    for name in ("hoop_foot", "roof_rail_at_hoop", "a_pillar_top", "sill_lower_rear", "rear_strut_top"):
        left, right = (scan.landmarks[f"{side}_{name}"] for side in ("left", "right"))
        assert left[1] + right[1] == pytest.approx(skew_mm, abs=1e-9)
        assert left[2] == pytest.approx(right[2])


def test_right_wall_of_the_mesh_stands_in_too(clean):
    # Mirror the right quarter: it then lies 3 mm inside the left one, along the wall's normal.
    right = clean.piece("right_quarter").reshape(-1, 3)[::7] * [1.0, -1.0, 1.0]
    distances = surface_distances_mm(right, clean.piece("left_quarter"))
    assert np.median(distances) == pytest.approx(3.0, abs=0.15)


def test_seat_rail_bolts_are_symmetric(clean):
    for end in ("front", "rear"):
        left, right = (
            np.array(clean.scan.landmarks[f"{side}_seat_bolt_{end}"]) for side in ("left", "right")
        )
        assert left == pytest.approx(right * [1.0, -1.0, 1.0], abs=0.05)


def test_roof_is_turned_against_the_floor(clean):
    at = clean.scan.landmarks
    assert at["left_roof_rail_at_hoop"][0] - at["right_roof_rail_at_hoop"][0] > 1.0
    assert at["left_sill_lower_rear"][0] == at["right_sill_lower_rear"][0]


@pytest.mark.parametrize(
    ("low", "high"),
    [
        ((-1840, 690, 200), (-1010, 900, 720)),  # left door
        ((-1840, -900, 200), (-1010, -690, 720)),  # right door
        ((-1150, -450, 800), (-1000, 450, 1000)),  # screen
        ((-3600, -500, 620), (-3420, 500, 900)),  # tailgate
        ((-700, -350, 600), (-250, 350, 900)),  # bonnet
        ((-2095, -520, 220), (-2030, 520, 1090)),  # main hoop's place
        ((-2600, 440, 620), (-2300, 560, 760)),  # left backstay
    ],
)
def test_openings_and_the_cage_have_room(clean, low, high):
    assert middles_inside(clean.car, low, high) == 0


def test_roof_bows_hang_below_the_skin(clean):
    skin = clean.piece("roof_skin").reshape(-1, 3)
    for number, depth_mm in ((1, 16.0), (2, 22.0), (3, 19.0)):
        bow = clean.piece(f"roof_bow_{number}").reshape(-1, 3)
        lowest = bow[np.abs(bow[:, 1]) < 150.0]
        above = skin[cKDTree(skin[:, :2]).query(lowest[:, :2])[1]]
        assert (above[:, 2] - lowest[:, 2]).max() == pytest.approx(depth_mm, abs=1.0)


def test_body_sides_lean_in_and_the_roof_is_crowned(clean):
    quarter = clean.piece("left_quarter").reshape(-1, 3)
    rail = clean.scan.landmarks["left_roof_rail_at_hoop"]
    assert quarter[:, 1].max() - rail[1] > 180.0
    skin = clean.piece("roof_skin").reshape(-1, 3)
    middle = skin[np.abs(skin[:, 1]) < 15.0]
    assert middle[:, 2].max() - middle[middle[:, 0] > -1310.0][:, 2].max() > 30.0
    edge = skin[(np.abs(skin[:, 1]) > 580.0) & (np.abs(skin[:, 0] + 1950.0) < 60.0)]
    assert middle[:, 2].max() - edge[:, 2].max() > 30.0


def test_other_sizes_scale_the_car_and_its_landmarks():
    car = DemoCar(
        length_mm=4000.0, width_mm=1700.0, height_mm=1450.0, spacing_mm=26.0, noise_mm=0.0, skew_mm=0.0
    )
    scan = build_demo_scan(car)
    vehicle = scan.pose.inverse().points(scan.triangles.reshape(-1, 3)).reshape(-1, 3, 3)
    body = np.concatenate([vehicle[p.first : p.first + p.count] for p in scan.pieces if p.of_car])
    size = np.ptp(body.reshape(-1, 3), axis=0)
    assert size == pytest.approx([4000.0, 1700.0, 1170.0 * 1450.0 / 1350.0], abs=2.5)
    assert surface_distances_mm(np.array(list(scan.landmarks.values())), body).max() < 0.6


def test_tape_distances_are_those_between_the_landmarks(clean):
    assert len(clean.scan.tape) >= 8
    for tape in clean.scan.tape:
        start, end = clean.scan.landmarks[tape.start], clean.scan.landmarks[tape.end]
        assert (tape.start_mm, tape.end_mm) == (start, end)
        assert tape.distance_mm == pytest.approx(np.linalg.norm(np.subtract(end, start)))

"""Landmarks found by rays, against the places where the demo car and a plain cabin really have them."""

import numpy as np
import pytest

from hoopwright.democar import DemoCar, build_demo_scan
from hoopwright.findings import Severity
from hoopwright.fitting import LayoutWishes, lay_out_cage
from hoopwright.fitting.found_landmarks import with_found
from hoopwright.fitting.landmark_search import pitched, search_landmarks
from hoopwright.fitting.layout import LANDMARKS
from hoopwright.fitting.side_edges import sill_line
from hoopwright.geometry import Transform
from hoopwright.shell.shell import make_shell


@pytest.fixture(scope="module")
def demo(bodies):
    car = build_demo_scan(DemoCar(spacing_mm=20.0))
    back = car.pose.inverse()
    to_vehicle = Transform(rotation=back.rotation, shift_mm=back.shift_mm, source="scan", target="vehicle")
    return bodies.shell_of(bodies.as_scan(car.triangles), to_vehicle), car.landmarks


def test_near_the_true_places(demo):
    shell, truth = demo
    found = search_landmarks(shell).found
    for name, true, within_mm in (
        ("hoop_foot", "left_hoop_foot", 80.0),
        ("front_foot", "left_a_pillar_foot", 80.0),
        ("screen_corner", "left_a_pillar_top", 40.0),
        ("backstay_foot", "left_rear_strut_top", 60.0),
    ):
        assert found[name].sure, name
        assert np.linalg.norm(np.subtract(found[name].place_mm, truth[true])) < within_mm, name
    # on the floor, and on the tower, which are level there
    for name, true in (("hoop_foot", "left_hoop_foot"), ("backstay_foot", "left_rear_strut_top")):
        assert found[name].place_mm[2] == pytest.approx(truth[true][2], abs=4.0)
    # the front strut top lies under the wing: what is found in the wrong place is not given out as sure
    strut = found["front_strut"]
    off = np.linalg.norm(np.subtract(strut.place_mm, truth["left_front_strut_top"]))
    assert off < 90.0
    assert off < 60.0 or not strut.sure


def test_a_cage_stands_on_found_places_alone(demo):
    shell, _ = demo
    places, told = with_found(shell, {}, LANDMARKS)
    assert [finding.code for finding in told] == ["FIT-054"] * 4
    assert all("found, not picked" in f.sentence and f.severity is Severity.NOTE for f in told)
    assert lay_out_cage(shell, places, LayoutWishes(lean_deg=4.0)).findings == ()


def test_a_picked_place_is_kept(demo):
    shell, truth = demo
    picked = dict.fromkeys(LANDMARKS, truth["left_hoop_foot"])
    assert with_found(shell, picked, LANDMARKS) == (picked, ())


def test_what_is_not_there_is_not_found(bodies):
    plain = bodies.shell_of(bodies.as_scan(bodies.cabin_soup(piece_mm=40.0)))
    places, told = with_found(plain, {}, LANDMARKS)
    # no pillar between two openings: nowhere for the hoop to stand
    assert "hoop_foot" not in places
    soup = bodies.section_soup()
    open_top = bodies.shell_of(bodies.as_scan(soup[soup[:, :, 2].max(axis=1) < 700.0]))
    assert not any(one.sure for one in search_landmarks(open_top).found.values())
    assert all(finding.code in ("FIT-054", "FIT-055", "FIT-057") for finding in told)


@pytest.mark.parametrize("pitch_deg", [-3.0, 2.5])
def test_the_pitch_of_a_scan_moves_nothing(demo, pitch_deg):
    """No flat floor fixes the pitch of a scan, so that it is a degree or two off."""
    shell, truth = demo
    level = search_landmarks(shell)
    turned = pitched(shell, pitch_deg)
    turn = turned.to_vehicle.rotation @ shell.to_vehicle.rotation.T
    search = search_landmarks(make_shell(shell.prepared, turned.to_vehicle))
    # the car's sills are made level
    assert level.climb_deg == pytest.approx(0.0, abs=0.1)
    assert search.climb_deg == pytest.approx(-pitch_deg, abs=0.1)
    for name, true in (
        ("hoop_foot", "left_hoop_foot"),
        ("front_foot", "left_a_pillar_foot"),
        ("screen_corner", "left_a_pillar_top"),
        ("backstay_foot", "left_rear_strut_top"),
    ):
        found = search.found[name]
        assert found.sure, f"{name}: {found.doubt}"
        assert np.linalg.norm(found.place_mm - turn @ np.array(truth[true])) < 80.0, name
        assert np.linalg.norm(found.place_mm - turn @ np.array(level.found[name].place_mm)) < 10.0, name


def test_without_sills_nothing_is_sure(bodies, demo):
    """The lower edge of the sides rusted away in waves: roof and floor are there, how they are pitched is not."""
    shell, _ = demo
    corners = shell.prepared.tree.corners.reshape(-1, 3, 3)[:, :, :3]
    places = shell.to_vehicle.points(corners.reshape(-1, 3).astype(float)).reshape(-1, 3, 3).mean(axis=1)
    waves = 300.0 + 120.0 * np.sin(places[:, 0] / 150.0)
    outside = (np.abs(places[:, 1]) > 640.0) & (places[:, 2] < waves)
    cut = bodies.shell_of(bodies.as_scan(corners[~outside]), shell.to_vehicle)
    search = search_landmarks(cut)
    assert search.climb_deg is None
    assert search.found
    assert all("sill" in one.doubt for one in search.found.values() if "side" not in one.doubt)
    assert not any(one.sure for one in search.found.values())


@pytest.mark.parametrize(
    ("climb_deg", "stand_mm"),
    [(0.0, 0.0), (2.0, -160.0), (-5.0, -160.0)],
    ids=["level", "nose up", "nose down"],
)
def test_a_sill_is_the_straight_that_it_was_made_from(climb_deg, stand_mm):
    """A lower edge by closed form: a sill of known climb between two arches, a stand under it, an end that climbs."""
    forward = np.arange(0.0, -4500.0, -50.0)
    up = 200.0 + np.tan(np.radians(climb_deg)) * (forward + 2000.0)
    for axle in (-700.0, -3300.0):
        along = np.clip((forward - axle) / 400.0, -1.0, 1.0)
        up += 450.0 * np.sqrt(1.0 - along**2)
    up[forward < -3900.0] += 150.0
    up[(forward < -1500.0) & (forward > -1700.0)] += stand_mm
    line = sill_line(forward, up)
    assert line is not None
    assert line.climb_deg == pytest.approx(climb_deg, abs=0.05)
    assert line.front_mm == pytest.approx(-1100.0, abs=60.0)
    assert line.rear_mm == pytest.approx(-2900.0, abs=60.0)


@pytest.mark.parametrize("up", [[0.0, 5.0], [0.0] * 10, list(np.arange(60) * 20.0), []], ids=len)
def test_a_short_or_steep_edge_is_no_sill(up):
    assert sill_line(np.arange(len(up)) * -50.0, np.array(up)) is None


def test_half_a_shell_makes_nothing_sure(bodies):
    car = build_demo_scan(DemoCar(spacing_mm=20.0))
    back = car.pose.inverse()
    to_vehicle = Transform(rotation=back.rotation, shift_mm=back.shift_mm, source="scan", target="vehicle")
    left = to_vehicle.points(car.triangles.reshape(-1, 3))[:, 1].reshape(-1, 3).mean(axis=1)
    half = bodies.shell_of(bodies.as_scan(car.triangles[left > -150.0]), to_vehicle)
    places, told = with_found(half, {}, LANDMARKS)
    assert places == {}
    assert {finding.code for finding in told} <= {"FIT-055", "FIT-057"}

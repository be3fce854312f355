"""Landmarks found by rays, against the places where the demo car and a plain cabin really have them."""

import numpy as np
import pytest

from hoopwright.democar import DemoCar, build_demo_scan
from hoopwright.findings import Severity
from hoopwright.fitting import LayoutWishes, lay_out_cage
from hoopwright.fitting.found_landmarks import with_found
from hoopwright.fitting.landmark_search import search_landmarks
from hoopwright.fitting.layout import LANDMARKS
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
    # what is found in the wrong place is not given out as sure
    strut = found.get("front_strut")
    off = (
        np.inf
        if strut is None
        else np.linalg.norm(np.subtract(strut.place_mm, truth["left_front_strut_top"]))
    )
    assert off < 120.0 or strut is None or not strut.sure


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


@pytest.mark.parametrize("pitch_deg", [-2.5, 2.5])
def test_a_pitched_scan_shows_them_too(demo, pitch_deg):
    """No flat floor fixes the pitch of a scan, so that it is a degree or two off."""
    shell, truth = demo
    turn = np.radians(pitch_deg)
    pitch = np.array([[np.cos(turn), 0.0, np.sin(turn)], [0.0, 1.0, 0.0], [-np.sin(turn), 0.0, np.cos(turn)]])
    was = shell.to_vehicle
    to_vehicle = Transform(
        rotation=pitch @ was.rotation, shift_mm=pitch @ was.shift_mm, source="scan", target="vehicle"
    )
    found = search_landmarks(make_shell(shell.prepared, to_vehicle)).found
    for name, true in (
        ("hoop_foot", "left_hoop_foot"),
        ("screen_corner", "left_a_pillar_top"),
        ("backstay_foot", "left_rear_strut_top"),
    ):
        assert np.linalg.norm(found[name].place_mm - pitch @ np.array(truth[true])) < 130.0, name


def test_half_a_shell_makes_nothing_sure(bodies):
    car = build_demo_scan(DemoCar(spacing_mm=20.0))
    back = car.pose.inverse()
    to_vehicle = Transform(rotation=back.rotation, shift_mm=back.shift_mm, source="scan", target="vehicle")
    left = to_vehicle.points(car.triangles.reshape(-1, 3))[:, 1].reshape(-1, 3).mean(axis=1)
    half = bodies.shell_of(bodies.as_scan(car.triangles[left > -150.0]), to_vehicle)
    places, told = with_found(half, {}, LANDMARKS)
    assert places == {}
    assert {finding.code for finding in told} <= {"FIT-055", "FIT-057"}

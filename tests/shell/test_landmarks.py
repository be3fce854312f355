"""Vehicle axes from landmarks."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from hoopwright.findings import UserError
from hoopwright.shell.landmarks import align_by_landmarks
from hoopwright.shell.records import ScanLandmark

PLACES = {
    "left strut": (-800.0, 560.0, 850.0),
    "right strut": (-800.0, -560.0, 850.0),
    "left sill": (-2500.0, 700.0, 200.0),
    "right sill": (-2500.0, -700.0, 200.0),
    "roof": (-2000.0, 0.0, 1300.0),
}


class Pose:
    def __init__(self, seed):
        self.turn = Rotation.random(random_state=seed)
        self.shift = np.random.default_rng(seed).uniform(-5000.0, 5000.0, 3)

    def scan(self, place):
        return tuple(map(float, self.turn.apply(place) + self.shift))


def full(pose, names=tuple(PLACES), slips=None):
    slips = slips or {}
    return [
        ScanLandmark(
            name=name,
            scan_mm=pose.scan(np.array(PLACES[name]) + slips.get(name, 0.0)),
            forward_mm=PLACES[name][0],
            left_mm=PLACES[name][1],
            up_mm=PLACES[name][2],
        )
        for name in names
    ]


def check(found, pose, abs_mm=1e-5):
    for place in ((0.0, 0.0, 0.0), (-1000.0, 0.0, 0.0), (0.0, 500.0, 0.0), (0.0, 0.0, 1500.0)):
        assert found.to_vehicle.points(pose.scan(place)) == pytest.approx(place, abs=abs_mm)


@settings(max_examples=10, deadline=None, derandomize=True)
@given(st.integers(0, 10**6))
def test_full_places_give_the_pose_exactly(seed):
    pose = Pose(seed)
    found = align_by_landmarks(full(pose))
    check(found, pose)
    assert found.rms_mm < 1e-6
    assert set(found.residual_mm) == set(PLACES)


def test_three_full_places_will_do():
    pose = Pose(3)
    check(align_by_landmarks(full(pose, ("left strut", "left sill", "right sill"))), pose)


def twins(pose, *, width=560.0):
    """Both struts and sills as twins; their width is not said."""
    marks = []
    for what, place in (("strut", (-800.0, width, 850.0)), ("sill", (-2500.0, 700.0, 200.0))):
        for side, sign in (("left", 1.0), ("right", -1.0)):
            here = (place[0], sign * place[1], place[2])
            marks.append(
                ScanLandmark(
                    name=f"{side} {what}",
                    scan_mm=pose.scan(here),
                    forward_mm=place[0],
                    left_mm=None,
                    up_mm=place[2],
                    twin=f"{'right' if side == 'left' else 'left'} {what}",
                )
            )
    return marks


def test_two_pairs_of_twins_do_not_say_which_side_is_left():
    """Turned over about the line through the middles of both pairs, everything known still fits."""
    pose = Pose(4)
    with pytest.raises(UserError) as stopped:
        align_by_landmarks(twins(pose))
    (finding,) = stopped.value.findings
    assert finding.code == "SCAN-023"
    assert "more than one position" in finding.sentence


def test_twins_and_one_place_to_the_left_find_the_centre_plane():
    pose = Pose(5)
    marks = twins(pose, width=571.3)
    marks[2] = ScanLandmark(**{**vars(marks[2]), "left_mm": 700.0})
    found = align_by_landmarks(marks)
    check(found, pose)
    assert found.rms_mm < 1e-6


def test_each_landmark_s_own_residual_is_told():
    pose = Pose(6)
    found = align_by_landmarks(full(pose, slips={"roof": np.array([0.0, 0.0, 8.0])}))
    assert max(found.residual_mm, key=found.residual_mm.get) == "roof"
    assert 3.0 < found.residual_mm["roof"] < 8.0
    # the root mean square over all 15 coordinates, from the residuals as printed
    assert found.rms_mm == pytest.approx(np.sqrt(sum(r**2 for r in found.residual_mm.values()) / 15.0))
    check(found, pose, abs_mm=8.0)


@pytest.mark.parametrize(
    "landmarks",
    [
        (),
        ("roof",),
        ("roof", "left sill"),
        ("left strut", "right strut"),
    ],
)
def test_too_few_landmarks_are_refused(landmarks):
    with pytest.raises(UserError) as stopped:
        align_by_landmarks(full(Pose(7), landmarks))
    assert [f.code for f in stopped.value.findings] == ["SCAN-023"]


def test_landmarks_on_one_line_are_refused():
    pose = Pose(8)
    marks = [
        ScanLandmark(name=str(k), scan_mm=pose.scan(p), forward_mm=p[0], left_mm=p[1], up_mm=p[2])
        for k, p in enumerate(np.outer([0.0, 1.0, 2.5, 4.0], [300.0, 40.0, -90.0]) + 100.0)
    ]
    with pytest.raises(UserError) as stopped:
        align_by_landmarks(marks)
    assert stopped.value.findings[0].code == "SCAN-023"


def test_heights_alone_are_refused():
    pose = Pose(9)
    marks = [ScanLandmark(name=n, scan_mm=pose.scan(p), up_mm=p[2]) for n, p in PLACES.items()]
    with pytest.raises(UserError) as stopped:
        align_by_landmarks([*marks, *(ScanLandmark(**{**vars(m), "name": m.name + " again"}) for m in marks)])
    assert stopped.value.findings[0].code == "SCAN-023"


def test_a_place_that_is_no_number_is_refused():
    marks = full(Pose(10))
    marks[0] = ScanLandmark(**{**vars(marks[0]), "scan_mm": (float("nan"), 0.0, 0.0)})
    with pytest.raises(UserError) as stopped:
        align_by_landmarks(marks)
    assert stopped.value.findings[0].code == "SCAN-023"


@pytest.mark.parametrize("twin", ["the other one", "left strut"])
def test_a_twin_that_is_not_there_or_is_itself_is_refused(twin):
    marks = full(Pose(11))
    marks[0] = ScanLandmark(**{**vars(marks[0]), "twin": twin})
    with pytest.raises(UserError) as stopped:
        align_by_landmarks(marks)
    (finding,) = stopped.value.findings
    assert finding.code == "SCAN-024"
    assert finding.objects == ("left strut",)
    assert twin in finding.sentence

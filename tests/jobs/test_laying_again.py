"""A scan laid in other axes, places picked on it, and what was changed, in words."""

import shutil

import numpy as np
import pytest

from hoopwright.cage import Limits
from hoopwright.findings import UserError
from hoopwright.geometry import Transform
from hoopwright.jobs.cage_bars import remove_bar
from hoopwright.jobs.changes import what_changed
from hoopwright.jobs.landmarks import set_landmarks
from hoopwright.jobs.picks import exact_place
from hoopwright.jobs.projects import change_limits, undo
from hoopwright.jobs.realigning import PickedLandmark, align_by_picked, turn_over, turn_round, where_it_lies
from hoopwright.jobs.shells import open_shell
from hoopwright.store import ProjectFolder

CORNERS = {
    "front left": (0.0, 680.0, 0.0),
    "front right": (0.0, -680.0, 0.0),
    "rear left": (-1800.0, 680.0, 0.0),
    "rear right": (-1800.0, -680.0, 0.0),
}


@pytest.fixture(scope="module")
def kept(hoopwright, bodies, tmp_path_factory):
    """The section shell with its axes found by symmetry."""
    tmp_path = tmp_path_factory.mktemp("kept")
    rows = np.zeros(3540, dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    rows["corners"] = bodies.section_soup()
    (tmp_path / "s.stl").write_bytes(b"shell".ljust(80) + np.uint32(len(rows)).tobytes() + rows.tobytes())
    hoopwright.keys("new", tmp_path / "car")
    hoopwright.keys("scan", tmp_path / "car", tmp_path / "s.stl", "--unit", "mm", "--nose", "+x")
    return tmp_path / "car"


@pytest.fixture
def section(kept, tmp_path):
    """A copy that a test may change."""
    return ProjectFolder(path=shutil.copytree(kept, tmp_path / "car"))


def axes_of(folder):
    return folder.open().project.scan.to_vehicle


def apart_mm(one: Transform, other: Transform):
    """How far two placings bring the corners of the car apart."""
    corners = np.array(list(CORNERS.values()))
    return float(np.abs(one.points(corners) - other.points(corners)).max())


def test_turned_round_twice_is_as_before(section):
    before = axes_of(section)
    set_landmarks(section, {"hoop_foot": (-900.0, 600.0, 0.0)})
    report = turn_round(section)
    (told,) = [finding for finding in report.findings if finding.code == "SCAN-039"]
    assert "1 landmarks" in told.sentence  # they stay where they were, which is told
    # the rear end is the front now: forward 0 there, left and right changed places, up stays
    assert axes_of(section).points(np.array([[-1800.0, 680.0, 0.0]]))[0] == pytest.approx(
        [0, -680, 0], abs=0.5
    )
    assert report.size_mm == pytest.approx((1800.0, 1360.0, 1118.0), abs=0.5)
    turn_round(section)
    assert apart_mm(before, axes_of(section)) < 0.1


def test_turned_over(section):
    before = axes_of(section)
    report = turn_over(section)
    assert axes_of(section).rotation[2] == pytest.approx(-before.rotation[2], abs=0.01)
    assert axes_of(section).rotation[0] == pytest.approx(before.rotation[0], abs=0.01)
    assert report.size_mm == pytest.approx((1800.0, 1360.0, 1118.0), abs=0.5)


def test_laid_by_picked_landmarks(section):
    """Corners that are picked as they lie and said to lie 100 further forward move the car by just that."""
    before, was = axes_of(section), section.open().project.scan
    picked = [
        PickedLandmark(name=name, picked_mm=at, forward_mm=at[0] + 100.0, left_mm=at[1], up_mm=at[2] + 25.0)
        for name, at in CORNERS.items()
    ]
    report = align_by_picked(section, picked)
    assert report.aligned_by == "landmarks"
    assert max(report.landmark_residuals_mm.values()) < 1e-6
    moved = axes_of(section).points(np.zeros((1, 3))) - before.points(np.zeros((1, 3)))
    assert moved[0] == pytest.approx([100.0, 0.0, 25.0], abs=1e-6)
    # the metal that was picked lies there now
    for one in picked:
        at = where_it_lies(was, section.open().project.scan, one.picked_mm)
        assert at == pytest.approx((one.forward_mm, one.left_mm, one.up_mm), abs=1e-6)
    undo(section)
    assert apart_mm(before, axes_of(section)) == 0.0


def test_too_few_landmarks_change_nothing(section):
    content = (section.path / "cage.json").read_bytes()
    with pytest.raises(UserError) as stop:
        align_by_picked(section, [PickedLandmark(name="one", picked_mm=(0.0, 0.0, 0.0), up_mm=0.0)])
    assert stop.value.findings[0].code == "SCAN-023"
    assert (section.path / "cage.json").read_bytes() == content


@pytest.mark.parametrize(
    ("near", "look", "place", "toward"),
    [
        # straight up at the roof from inside, 3 mm beside the metal as thinning leaves it
        ((-700.0, 100.0, 1115.0), (0.0, 0.0, 1.0), (-700.0, 100.0, 1118.0), (0.0, 0.0, -1.0)),
        ((-700.0, 100.0, 1121.0), (0.0, 0.0, -1.0), (-700.0, 100.0, 1118.0), (0.0, 0.0, 1.0)),
        # aslant at the left wall from inside: the place moves along the look
        ((-700.0, 677.0, 300.0), (0.0, 1.0, 0.5), (-700.0, 680.0, 301.5), (0.0, -1.0, 0.0)),
        # the same where thinning moved the metal behind itself
        ((-700.0, 683.0, 300.0), (0.0, 1.0, 0.5), (-700.0, 680.0, 298.5), (0.0, -1.0, 0.0)),
        # past the edge: the nearest metal
        ((20.0, 680.0, 300.0), (0.0, 0.0, 1.0), (0.0, 680.0, 300.0), None),
    ],
)
def test_a_pick_lies_on_the_full_scan(section, near, look, place, toward):
    shell = open_shell(section, section.open().project)
    picked = exact_place(shell, near, look)
    assert picked.place_mm == pytest.approx(place, abs=0.2)
    if toward is not None:
        assert picked.toward == pytest.approx(toward, abs=0.01)


def test_what_was_changed_is_told_in_words(section, hoopwright, tmp_path):
    (tmp_path / "nodes.csv").write_text("forward,left,up\n-900,600,30\n-900,600,900\n")
    hoopwright.keys("bar", "add", section.path, "A", "--role", "side bar", "--nodes", tmp_path / "nodes.csv")
    hoopwright.keys("bar", "mirror", section.path, "A", "B")
    hoopwright.keys("bar", "move", section.path, "A", "2", "-900,600,905")
    set_landmarks(section, {"hoop_foot": (-900.0, 600.0, 0.0)})
    change_limits(section, Limits(gap_mm=12.0, clamp_mm=70.0))
    remove_bar(section, "B")
    words = [change.words for change in what_changed(section)]
    assert words == [
        ("B taken out",),
        ("gap 12 mm, clamp 70 mm",),
        ("landmarks hoop_foot",),
        ("A moved",),
        ("B added",),
        ("A added",),
        ("scan s.stl taken in as mm",),
    ]
    assert len(what_changed(section, most=2)) == 2
    turn_round(section)
    assert what_changed(section, most=1)[0].words == ("scan laid in other axes, by symmetry",)


def test_limits_that_cannot_be_change_nothing(section):
    with pytest.raises(UserError) as stop:
        change_limits(section, Limits(gap_mm=float("nan"), clamp_mm=60.0))
    assert stop.value.findings[0].code == "CAGE-007"
    assert section.open().project.cage.limits == Limits()

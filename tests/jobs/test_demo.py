"""The demo from start to end, held to what is known of the invented car."""

import itertools
import math

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.democar import build_demo_scan
from hoopwright.democar.scenario import demo_scenario, hidden_dies
from hoopwright.jobs.dossier.members import drawn_members
from hoopwright.jobs.dossier.plates import drawn_sheets
from hoopwright.jobs.dossier.source import gather
from hoopwright.jobs.shells import scan_record
from hoopwright.papers.dossier import page_room
from hoopwright.papers.dossier.drawing_pages import PAGES, numbered_views
from hoopwright.papers.drawing import A4, LETTER
from hoopwright.papers.leaders import RING_MM, faulty_labels
from hoopwright.store import ProjectFolder

# a six-point cage: hoop, side bars, screen bar and backstays; diagonal, harness bar cut to it, door bars; a V under the
# roof, dash bar and sill bars
BARS = [
    *("MH", "SB-L", "SB-R", "SC", "BS-L", "BS-R", "HD", "HB-L", "HB-R", "DB1-L", "DB1-R", "DB2-L", "DB2-R"),
    *("RB-L", "RB-R", "DA", "SL-L", "SL-R"),
]


def test_a_folder_with_other_content_is_refused(hoopwright, tmp_path):
    (tmp_path / "letter.txt").write_text("dear", encoding="utf-8")
    assert hoopwright.stops("demo", tmp_path) == ["DEMO-010"]
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_project_that_is_no_demo_is_refused(hoopwright, project, state):
    before = state(project)
    assert hoopwright.stops("demo", project) == ["DEMO-010"]
    assert state(project) == before


def test_a_file_is_refused(hoopwright, tmp_path):
    (tmp_path / "demo-car").write_bytes(b"x")
    assert hoopwright.stops("demo", tmp_path / "demo-car") == ["DEMO-010"]


@pytest.fixture(scope="module")
def demo(hoopwright, tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "demo-car"
    return folder, hoopwright.keys("demo", folder)


@pytest.mark.slow
def test_a_sheet_for_each_bar(demo, hoopwright):
    folder, told = demo
    bars = [bar["bar_id"] for bar in hoopwright.keys("bar", "list", folder)["bars"]]
    assert sorted(bars) == sorted(BARS)
    for name in told["look_at"]:
        assert (folder / name).stat().st_size > 1000, name
    sheets = {sheet["bar_id"]: sheet for sheet in hoopwright.keys("sheets", folder)["sheets"]}
    assert sorted(sheets) == sorted(bars)
    for name, sheet in sheets.items():
        text = "".join(page.extract_text() for page in PdfReader(folder / "papers" / f"{name}.pdf").pages)
        assert f"{sheet['blank_mm']:.1f}" in text, name
        assert sheet["identity"] in text, name
        assert sheet["revision"] == 1
        assert sheet["calibrated"]


@pytest.mark.slow
def test_every_check_holds(demo, hoopwright):
    folder, _ = demo
    check = hoopwright.keys("check", folder)
    assert [row for row in check["checks"] if row["verdict"] == "fail"] == []
    smallest = [gaps["smallest_gap_mm"] for gaps in check["gaps"].values()]
    assert len(smallest) == len(BARS)
    assert min(smallest) >= 12.0 - 0.05
    assert sum(row["check"] == "tape against scan" for row in check["checks"]) == 10


@pytest.mark.slow
def test_axes_lie_where_the_car_has_them(demo):
    """True places of the car, carried by the pose that the scan was given, against the axes that were found."""
    folder, _ = demo
    scan = build_demo_scan(demo_scenario().car)
    found = scan_record(ProjectFolder(path=folder).open().project).to_vehicle
    true = np.array(list(scan.landmarks.values()))
    there = found.points(scan.pose.points(true))
    # the origin forward is the foremost metal, a convention and no measurement
    shift = np.median(there[:, 0] - true[:, 0])
    assert np.abs(there - true - [shift, 0.0, 0.0]).max() < 3.0


@pytest.mark.slow
def test_calibrations_find_the_hidden_dies(demo, hoopwright):
    folder, _ = demo
    for die in hidden_dies():
        keys = hoopwright.keys("calibrate", folder / f"samples_{die.od_mm:.0f}.toml")
        assert abs(keys["clr_mm"] - die.clr_mm) < 3.0 * keys["clr_sd_mm"]
        assert abs(keys["start_offset_mm"] - die.start_offset_mm) < 3.0 * keys["start_offset_sd_mm"]
        assert 90.0 * keys["used_per_deg_mm"] == pytest.approx(90.0 * die.used_per_deg_mm, abs=1.0)


@pytest.mark.slow
def test_made_anew_when_run_again(demo, hoopwright):
    folder, told = demo
    (folder / "papers" / "stray.txt").write_text("x", encoding="utf-8")
    again = hoopwright.keys("demo", folder)
    assert again == told
    assert not (folder / "papers" / "stray.txt").exists()


@pytest.mark.slow
@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
def test_numbers_on_the_drawing_of_the_demo_are_apart(demo, paper):
    folder, _ = demo
    room = page_room(paper)
    project = ProjectFolder(path=folder)
    source = gather(project, date="2026-03-14", unit="mm", paper=paper, room_mm=room.width_mm)
    tubes = [member.tube for member in drawn_members(source)]
    assert len(tubes) == len(BARS)
    sheets = [one.sheet for one in drawn_sheets(source)]
    shown = set()
    for names in PAGES:
        for one in numbered_views(tubes, sheets, names, room):
            assert faulty_labels(one.labels) == ()
            for a, b in itertools.combinations(one.labels, 2):
                assert math.dist(a.centre_mm, b.centre_mm) > 2.0 * RING_MM
            shown |= {label.words for label in one.labels}
    landings = {"L1", "L2", "L3", "L4", "L5", "L6"}
    assert shown == {str(number + 1) for number in range(len(BARS))} | landings


@pytest.mark.slow
def test_the_demo_has_its_file_for_the_scrutineer(demo):
    folder, _ = demo
    words = " ".join(page.extract_text() for page in PdfReader(folder / "papers" / "dossier.pdf").pages)
    for bar in BARS:
        assert bar in words

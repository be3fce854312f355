"""The demo from start to end, held to what is known of the invented car."""

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.democar import build_demo_scan
from hoopwright.democar.scenario import demo_scenario, hidden_dies
from hoopwright.jobs.shells import scan_record
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

"""A side bar that is bent in two planes, its mirror, and the wrong sign seen before it is bent."""

import pytest
from pypdf import PdfReader

STRAIGHTS_MM = [467.6, 631.2, 617.0]
ANGLES_DEG = [31.63, 49.76]
ROTATION_DEG = -26.96


@pytest.fixture(scope="module")
def project(hoopwright, files, tmp_path_factory):
    project = tmp_path_factory.mktemp("a5") / "car"
    hoopwright.keys("new", project)
    nodes = files / "side_bar.csv"
    hoopwright.keys("bar", "add", project, "SB-L", "--role", "side bar", "--nodes", nodes)
    hoopwright.keys("bar", "mirror", project, "SB-L", "SB-R")
    hoopwright.keys("calibrate", files / "cal-1.toml", "--project", project)
    return project


@pytest.fixture(scope="module")
def sheets(hoopwright, project):
    return {sheet["bar_id"]: sheet for sheet in hoopwright.keys("sheets", project)["sheets"]}


def typed_bends(path, rotation_deg):
    rows = [f"{STRAIGHTS_MM[0]},0,{ANGLES_DEG[0]}", f"{STRAIGHTS_MM[1]},{rotation_deg},{ANGLES_DEG[1]}"]
    path.write_text("\n".join(["straight_mm,rotation_deg,angle_deg", *rows, f"{STRAIGHTS_MM[2]},,\n"]))
    return path


def test_table_of_the_nodes(hoopwright, files):
    keys = hoopwright.keys("table", files / "side_bar.csv", "--clr", "137.5")
    assert keys["angles_deg"] == pytest.approx(ANGLES_DEG, abs=0.05)
    assert keys["straights_mm"] == pytest.approx(STRAIGHTS_MM, abs=0.3)
    assert keys["rotations_deg"] == pytest.approx([0.0, ROTATION_DEG], abs=0.05)


@pytest.mark.parametrize(("bar_id", "sign"), [("SB-L", 1.0), ("SB-R", -1.0)])
def test_bar_and_mirror_differ_in_the_sign_alone(sheets, bar_id, sign):
    sheet = sheets[bar_id]
    assert sheet["side"] == bar_id[-1]
    assert sheet["angles_deg"] == pytest.approx(ANGLES_DEG, abs=0.05)
    assert sheet["straights_mm"] == pytest.approx(STRAIGHTS_MM, abs=0.3)
    assert sheet["rotations_deg"] == pytest.approx([0.0, sign * ROTATION_DEG], abs=0.05)
    assert sheet["rotations_total_deg"] == pytest.approx([0.0, sign * ROTATION_DEG], abs=0.05)
    assert sheet["blank_mm"] - sheet["trim_a_mm"] - sheet["trim_b_mm"] == pytest.approx(1907.5, abs=0.3)


def test_a_wrong_sign_is_seen_before_bending(hoopwright, project, tmp_path):
    wrong = typed_bends(tmp_path / "wrong.csv", ROTATION_DEG)
    keys = hoopwright.keys("check", project, "--bar", "SB-R", "--bends", wrong)
    (finding,) = keys["findings"]
    assert finding["code"] == "CHECK-005"
    assert finding["measured"] == pytest.approx(471.0, abs=2.0)
    assert "SB-R lands 471 mm" in finding["sentence"]
    assert [row["verdict"] for row in keys["checks"]] == ["fail"]


def test_the_right_sign_lands(hoopwright, project, tmp_path):
    good = typed_bends(tmp_path / "right.csv", -ROTATION_DEG)
    keys = hoopwright.keys("check", project, "--bar", "SB-R", "--bends", good)
    assert [row["verdict"] for row in keys["checks"]] == ["pass"]
    assert keys["checks"][0]["measured"] < 0.3
    assert keys["findings"] == []


def test_the_miss_stands_on_the_sheet_too(project, sheets):
    for bar_id in ("SB-L", "SB-R"):
        assert sheets[bar_id]["wrong_turn_miss_mm"] == pytest.approx(471.0, abs=2.0)
        text = " ".join(page.extract_text() for page in PdfReader(project / "papers" / f"{bar_id}.pdf").pages)
        assert "471 mm" in text
        assert f"{abs(ROTATION_DEG):.1f}" in text


def test_the_calculator_compares_too(hoopwright, files, tmp_path):
    wrong = typed_bends(tmp_path / "wrong.csv", -ROTATION_DEG)
    keys = hoopwright.keys("table", files / "side_bar.csv", "--clr", "137.5", "--compare", wrong)
    assert keys["end_miss_mm"] == pytest.approx(471.0, abs=2.0)

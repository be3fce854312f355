"""The sheet of a main hoop, and what a new calibration does to it."""

import pytest
from pypdf import PdfReader

STRAIGHTS_MM = [597.8, 358.0, 803.5, 358.0, 597.8]
ANGLES_DEG = [18.96, 73.81, 73.81, 18.96]
STARTS_MM = [627.8, 1030.4, 2007.8, 2539.6]
MARKS_FED_FROM_A_MM = [616.3, 1018.9, 1996.3, 2528.1]
BLANK_MM = 3212.0


@pytest.fixture
def project(hoopwright, files, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    hoop = files / "hoop.csv"
    trims = ("--trim-a", "30", "--trim-b", "30")
    hoopwright.keys("bar", "add", tmp_path / "car", "MH", "--role", "main hoop", "--nodes", hoop, *trims)
    hoopwright.keys("calibrate", files / "cal-1.toml", "--project", tmp_path / "car")
    return tmp_path / "car"


def issue(hoopwright, project, *wishes):
    (sheet,) = hoopwright.keys("sheets", project, *wishes)["sheets"]
    return sheet


def by_bend(sheet):
    return sorted(sheet["steps"], key=lambda step: step["bend"])


def width(sheet, word):
    (check,) = (one for one in sheet["checks"] if word in one["name"] and "diagonal" not in one["name"])
    return check["value_mm"]


def pdf_text(path):
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def test_table_blank_and_marks_fed_from_a(hoopwright, project):
    sheet = issue(hoopwright, project, "--order", "A to B")
    assert sheet["angles_deg"] == pytest.approx(ANGLES_DEG, abs=0.05)
    assert sheet["straights_mm"] == pytest.approx(STRAIGHTS_MM, abs=0.3)
    assert sheet["blank_mm"] == pytest.approx(BLANK_MM, abs=0.3)
    steps = by_bend(sheet)
    assert [step["fed_from"] for step in steps] == ["A"] * 4
    assert [step["start_mm"] for step in steps] == pytest.approx(STARTS_MM, abs=0.3)
    assert [step["mark_mm"] for step in steps] == pytest.approx(MARKS_FED_FROM_A_MM, abs=0.3)
    for step in steps:
        assert step["mark_mm"] + step["mark_from_b_mm"] == pytest.approx(sheet["blank_mm"], abs=1e-6)
        assert step["command_deg"] * (1.0 - 0.0301) - 0.777 == pytest.approx(step["target_deg"], abs=1e-6)


def test_marks_fed_from_b_lie_beyond_the_bend(hoopwright, project):
    steps = by_bend(issue(hoopwright, project, "--order", "B to A"))
    ends = [start + 2.3556 * angle for start, angle in zip(STARTS_MM, ANGLES_DEG, strict=True)]
    assert [step["mark_mm"] for step in steps] == pytest.approx([end + 11.5 for end in ends], abs=0.3)
    # the bar is its own mirror image: from B it marks as it does from A
    assert sorted(step["mark_from_b_mm"] for step in steps) == pytest.approx(MARKS_FED_FROM_A_MM, abs=0.3)


def test_a_hoop_is_bent_from_its_inner_bends_outward(hoopwright, project):
    sheet = issue(hoopwright, project)
    assert sorted(step["bend"] for step in sheet["steps"][:2]) == [2, 3]
    assert [step["turn_end_for_end"] for step in sheet["steps"]].count(True) == 1


def test_checks_off_the_car(hoopwright, project):
    sheet = issue(hoopwright, project)
    assert width(sheet, "feet") == pytest.approx(1265.0, abs=0.3)
    assert width(sheet, "knees") == pytest.approx(1323.1, abs=0.3)
    assert width(sheet, "height") == pytest.approx(1107.5, abs=0.3)


def test_the_paper_says_the_same(hoopwright, project):
    issue(hoopwright, project, "--order", "A to B")
    text = pdf_text(project / "papers" / "MH.pdf")
    numbers = [BLANK_MM, *MARKS_FED_FROM_A_MM, 1265.0, 1323.1, 1107.5]
    assert [f"{number:.1f}" for number in numbers if f"{number:.1f}" not in text] == []
    assert "Cal-1" in text


def test_a_new_radius_moves_marks_and_makes_the_old_sheet_old(hoopwright, project, files):
    before = issue(hoopwright, project, "--order", "A to B")
    hoopwright.keys("calibrate", files / "cal-150.toml", "--project", project)
    after = issue(hoopwright, project, "--order", "A to B")
    assert after["nodes_mm"] == before["nodes_mm"]
    for word in ("feet", "knees", "height"):
        assert width(after, word) == pytest.approx(width(before, word), abs=0.3)
    assert after["clr_mm"] == pytest.approx(150.0)
    # tangent length grows with the radius, and the mark moves to the foot by as much
    assert by_bend(before)[0]["mark_mm"] - by_bend(after)[0]["mark_mm"] == pytest.approx(2.09, abs=0.05)
    assert by_bend(before)[1]["mark_mm"] - by_bend(after)[1]["mark_mm"] > 5.0
    assert (before["revision"], after["revision"]) == (1, 2)
    assert before["identity"] != after["identity"]
    old = pdf_text(project / "papers" / "old" / "MH-revision-1.pdf")
    assert "OLD: replaced by revision 2" in old
    assert before["identity"] in old
    new = pdf_text(project / "papers" / "MH.pdf")
    assert "OLD" not in new
    assert after["identity"] in new
    code = f"hoopwright:{project.name}/MH/{before['identity']}"
    assert hoopwright.keys("bar", "show", project, code)["in_force"] is False


def test_the_same_again_is_no_new_revision(hoopwright, project):
    first = issue(hoopwright, project, "--date", "2026-03-02")
    again = hoopwright.keys("sheets", project, "--date", "2026-03-09")
    assert again["sheets"] == [first]
    assert again["old"] == []

"""Checks look at the bar that the sheets make, at its feet, and at the bars that it meets."""

import pytest


def verdicts(keys, check):
    return {row["about"]: row["verdict"] for row in keys["checks"] if row["check"] == check}


def gap(keys, bar, part):
    return min(r["gap_mm"] for r in keys["gaps"][bar]["regions"] if part in r["region"])


def test_gaps_are_those_of_the_calibrated_radius(hoopwright, project, files, tmp_path):
    """A smaller radius reaches farther into the corner: by (R1 - R2)(1/cos(A/2) - 1) along the bisector."""
    drawn = gap(hoopwright.keys("check", project, "--bar", "MH"), "MH", "left upper slope")
    tighter = tmp_path / "tighter.toml"
    text = (files / "samples.toml").read_text(encoding="utf-8").replace("clr_mm = 137.5", "clr_mm = 117.5")
    tighter.write_text(text.replace("2.3556", "2.03"), encoding="utf-8")
    hoopwright.keys("calibrate", tighter, "--project", project)
    bent = gap(hoopwright.keys("check", project, "--bar", "MH"), "MH", "left upper slope")
    # shoulder of 73.81 degrees; its bisector meets the chamfer within a few degrees of square
    assert drawn - bent == pytest.approx(20.0 * (1 / 0.79969 - 1), abs=0.15)


def test_a_foot_that_hangs_in_the_air_is_told(hoopwright, project, files):
    more = ("--role", "main hoop", "--nodes", files / "hoop.csv", "--end-a", "shell", "--end-b", "shell")
    hoopwright.keys("bar", "add", project, "F", *more)
    keys = hoopwright.keys("check", project, "--bar", "F")
    # the walls are at 680, the feet at 610: 70 mm off, and trim 30 with half a tube reach 52.5
    assert verdicts(keys, "foot A reaches metal") == {"F": "fail"}
    (finding,) = [f for f in keys["findings"] if f["code"] == "CHECK-009" and "end A" in f["sentence"]]
    assert finding["measured"] == pytest.approx(70.0, abs=0.01)
    assert finding["limit"] == pytest.approx(52.5)
    hoopwright.keys("bar", "move", project, "F", "1", "-900,640,5")
    assert verdicts(hoopwright.keys("check", project, "--bar", "F"), "foot A reaches metal") == {"F": "pass"}


def test_a_bar_added_by_hand_can_end_on_another(hoopwright, project, tmp_path):
    across = tmp_path / "across.csv"
    across.write_text("forward,left,up\n-900,625.16,313.3\n-900,-625.16,313.3\n", encoding="utf-8")
    plain = ("--role", "harness bar", "--nodes", across, "--tube", "38 x 2.5")
    hoopwright.keys("bar", "add", project, "X", *plain)
    assert {f["code"] for f in hoopwright.keys("check", project, "--bar", "X")["findings"]} >= {"CHECK-008"}
    hoopwright.keys("bar", "remove", project, "X")
    hoopwright.keys("bar", "add", project, "X", *plain, "--end-a", "MH", "--end-b", "MH")
    keys = hoopwright.keys("check", project, "--bar", "X")
    assert verdicts(keys, "end A meets MH") == {"X": "pass"}
    assert "CHECK-008" not in {f["code"] for f in keys["findings"]}
    moved = hoopwright.keys("bar", "move", project, "X", "1", "-900,600,313.3")
    assert [f["code"] for f in moved["findings"]] == ["CHECK-007"]


def test_a_section_without_metal_is_not_inside(hoopwright, project, tmp_path):
    ahead = tmp_path / "ahead.csv"
    ahead.write_text("forward,left,up\n-300,0,900\n900,0,900\n", encoding="utf-8")
    hoopwright.keys("bar", "add", project, "X", "--role", "roof bar", "--nodes", ahead)
    keys = hoopwright.keys("check", project, "--bar", "X")
    assert verdicts(keys, "inside the outline")["X"] != "pass"


def test_a_sheet_issued_alone_retires_the_papers_of_the_whole_cage(hoopwright, project):
    hoopwright.keys("sheets", project)
    assert (project / "papers" / "cut-list.pdf").is_file()
    again = hoopwright.keys("sheets", project, "--bar", "MH")
    assert again["old"] == []
    assert (project / "papers" / "cut-list.pdf").is_file()
    hoopwright.keys("bar", "move", project, "MH", "2", "-900,638,620")
    made = hoopwright.keys("sheets", project, "--bar", "MH", "--date", "2026-03-02")
    assert not (project / "papers" / "cut-list.pdf").exists()
    assert "papers/old/cut-list-until-2026-03-02.pdf" in made["old"]
    assert (project / "papers" / "MH.pdf").is_file()
    hoopwright.keys("sheets", project)
    assert (project / "papers" / "cut-list.pdf").is_file()


def test_the_bender_s_hand_is_asked_once(hoopwright, project):
    """Which way a leg points hangs on it: an assumed hand is told, a typed one is kept."""
    assumed = hoopwright.keys("sheets", project, "--bar", "SB-L")
    assert "SHEET-014" in {finding["code"] for finding in assumed["findings"]}
    typed = hoopwright.keys("sheets", project, "--bar", "SB-L", "--swings", "anticlockwise")
    assert "SHEET-014" not in {finding["code"] for finding in typed["findings"]}
    kept = hoopwright.keys("sheets", project, "--bar", "SB-L")
    assert kept["sheets"][0]["identity"] == typed["sheets"][0]["identity"] != assumed["sheets"][0]["identity"]

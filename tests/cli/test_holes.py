"""Holes as typed: `bar hole`, `bar holes`, `bar remove-hole`, and what `check` says of them."""

import pytest


@pytest.fixture
def crossing(hoopwright, project, inch_scan, tmp_path):
    """A bar straight across the body, out through both walls, and nothing else."""
    hoopwright.keys("scan", project, inch_scan, "--unit", "in", "--as-given")
    nodes = tmp_path / "nodes.csv"
    nodes.write_text("forward,left,up\n-911,900,311\n-911,-900,317\n")
    hoopwright.keys(
        "bar", "add", project, "XX", "--role", "strut link", "--nodes", nodes, "--tube", "38 x 2.5"
    )
    return project


def rows_of(told, bar="XX"):
    return {row["check"]: row for row in told["checks"] if row["about"] == bar}


def test_a_hole_in_each_wall_lets_the_bar_pass(hoopwright, crossing):
    before = rows_of(hoopwright.keys("check", crossing))
    assert before["goes through no metal"]["verdict"] == "fail"
    assert before["gap to the shell"]["measured"] == pytest.approx(-19.0, abs=1.0)
    made = hoopwright.keys("bar", "hole", crossing, "XX", "-911,680,300")
    assert (made["number"], made["diameter_mm"], made["deep_mm"]) == (1, 48.0, 48.0)
    assert len(made["skins"]) == 1
    # a round hole square to a flat wall, 0.2 degrees off: pi r^2
    assert made["skins"][0]["area_mm2"] == pytest.approx(1809.6, rel=3e-3)
    half = rows_of(hoopwright.keys("check", crossing))
    assert half["goes through no metal"]["verdict"] == "fail"
    assert half["edge of hole 1"]["verdict"] == "pass"
    hoopwright.keys("bar", "hole", crossing, "XX", "-911,-680,300", "--diameter", "60", "--deep", "20")
    told = hoopwright.keys("check", crossing)
    after = rows_of(told)
    assert after["goes through no metal"]["verdict"] == "pass"
    assert after["gap to the shell"]["verdict"] != "fail"
    assert after["edge of hole 1"]["measured"] == pytest.approx(5.0, abs=0.05)
    assert after["edge of hole 2"]["measured"] == pytest.approx(11.0, abs=0.05)
    assert [f["code"] for f in told["findings"]].count("HOLE-004") == 2
    (note,) = [f for f in told["findings"] if f["code"] == "HOLE-004" and f["measured"] == 60.0]
    assert "rule book" in note["todo"]
    assert "right wall" in note["sentence"]


def test_holes_are_listed_removed_and_undone(hoopwright, crossing):
    hoopwright.keys("bar", "hole", crossing, "XX", "-911,680,300")
    hoopwright.keys("bar", "hole", crossing, "XX", "-911,0,300")
    listed = hoopwright.keys("bar", "holes", crossing)["holes"]
    assert [(one["bar_id"], one["number"], len(one["skins"])) for one in listed] == [
        ("XX", 1, 1),
        ("XX", 2, 0),
    ]
    codes = [f["code"] for f in hoopwright.keys("check", crossing)["findings"]]
    assert "HOLE-005" in codes
    hoopwright.keys("bar", "remove-hole", crossing, "XX", "2")
    assert len(hoopwright.keys("bar", "holes", crossing, "XX")["holes"]) == 1
    hoopwright.keys("undo", crossing)
    assert len(hoopwright.keys("bar", "holes", crossing)["holes"]) == 2
    assert "HOLE-002" in hoopwright.stops("bar", "remove-hole", crossing, "XX", "3")


def test_a_hole_goes_along_with_its_bar(hoopwright, crossing):
    hoopwright.keys("bar", "hole", crossing, "XX", "-911,680,300")
    moved = hoopwright.keys("bar", "move", crossing, "XX", "1", "-911,900,340")
    (told,) = [f for f in moved["findings"] if f["code"] == "HOLE-003"]
    assert told["measured"] > 20.0
    rows = rows_of(hoopwright.keys("check", crossing))
    assert rows["edge of hole 1"]["measured"] == pytest.approx(5.0, abs=0.05)


def test_a_place_far_from_the_bar_is_told(hoopwright, crossing):
    told = hoopwright.keys("bar", "hole", crossing, "XX", "-811,680,311")
    assert "HOLE-007" in [f["code"] for f in told["findings"]]


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("HOLE-001", ("XX", "-911,680,300", "--diameter", "40")),
        ("HOLE-001", ("XX", "-911,680,300", "--deep", "2 m")),
        ("CAGE-001", ("YY", "-911,680,300")),
    ],
)
def test_a_hole_that_cannot_be(hoopwright, crossing, code, words):
    assert code in hoopwright.stops("bar", "hole", crossing, *words)
    assert hoopwright.keys("bar", "holes", crossing)["holes"] == []


def test_the_sheet_of_a_bar_says_where_its_hole_is_and_is_another_then(hoopwright, crossing):
    without = hoopwright.keys("bar", "show", crossing, "XX")
    hoopwright.keys("bar", "hole", crossing, "XX", "-911,680,300")
    told = hoopwright.keys("bar", "show", crossing, "XX")
    assert told["identity"] != without["identity"]
    shown = hoopwright.run("bar", "show", crossing, "XX").out
    assert "Cut a hole of 48.0 mm at forward -911, left 680, up 312 mm" in shown
    hoopwright.keys("undo", crossing)
    assert hoopwright.keys("bar", "show", crossing, "XX")["identity"] == without["identity"]

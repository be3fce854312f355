"""Where the leg of a bar may end, and what a rule on the bends of a leg then finds."""

import pytest

from hoopwright.jobs.bar_values import leg_ends, mark_leg
from hoopwright.store import ProjectFolder

BOOK = """\
[book]
id = "my-club"
body = "My club"
edition = "2026"
unit = "mm"
provenance = "read"
[[rule]]
id = "front-leg"
kind = "bends"
applies = "side bar"
part = "leg"
most = 1
"""
NODES = "forward,left,up\n-350,640,60\n-430,655,560\n-880,525,1125\n-1560,505,1150\n"


@pytest.fixture
def car(hoopwright, tmp_path):
    car, nodes = tmp_path / "car", tmp_path / "side.csv"
    hoopwright.keys("new", car)
    nodes.write_text(NODES, encoding="utf-8")
    hoopwright.keys("bar", "add", car, "SB-L", "--role", "side bar", "--nodes", nodes, "--clr", "137.5")
    (car / "books").mkdir()
    (car / "books" / "my-club.toml").write_text(BOOK, encoding="utf-8")
    hoopwright.keys("rules", "pin", car, "my-club")
    return car


def ended(hoopwright, car):
    (row,) = (one for one in hoopwright.keys("rules", "check", car)["rows"] if one["rule_id"] == "front-leg")
    return row["verdict"], row["measured"]


def test_it_ends_in_a_straight_and_the_rule_counts_the_bends_before(hoopwright, car):
    folder = ProjectFolder(path=car)
    ends = leg_ends(folder.open().project.cage, "SB-L")
    assert [one.words for one in ends] == ["before bend 1", "between bend 1 and bend 2", "after bend 2"]
    # straights 467.6, 631.2, 617.0 and arcs 31.63 and 49.76 degrees of radius 137.5
    assert [one.leg_mm for one in ends] == pytest.approx([233.8, 859.1, 1602.6], abs=0.2)
    assert ended(hoopwright, car)[0] == "not checked"
    for end, verdict in zip(ends, ("pass", "pass", "fail"), strict=True):
        mark_leg(folder, "SB-L", end.leg_mm)
        assert ended(hoopwright, car) == (verdict, end.bends)
    mark_leg(folder, "SB-L", None)
    assert ended(hoopwright, car)[0] == "not checked"


def test_a_bar_without_a_bend_is_leg_as_a_whole(hoopwright, car, tmp_path):
    nodes = tmp_path / "straight.csv"
    nodes.write_text("forward,left,up\n0,0,0\n0,0,500\n", encoding="utf-8")
    hoopwright.keys("bar", "add", car, "SB-R", "--role", "side bar", "--nodes", nodes)
    (only,) = leg_ends(ProjectFolder(path=car).open().project.cage, "SB-R")
    assert (only.bends, only.leg_mm) == (0, 250.0)

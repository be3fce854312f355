"""Where the leg of a bar may end, and what a rule on the bends of a leg then finds."""

import pytest

from hoopwright.jobs.bar_values import foot_end, leg_ends, mark_leg
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


def turned(hoopwright, car, tmp_path):
    """The same bar drawn from its other end, so that its foot is end B."""
    head, *rows = NODES.split()
    nodes = tmp_path / "turned.csv"
    nodes.write_text("\n".join([head, *reversed(rows), ""]), encoding="utf-8")
    hoopwright.keys("bar", "add", car, "SB-R", "--role", "side bar", "--nodes", nodes, "--clr", "137.5")
    return ProjectFolder(path=car)


def row_of(hoopwright, car, bar):
    rows = hoopwright.keys("rules", "check", car)["rows"]
    return next(one for one in rows if (one["rule_id"], one["about"]) == ("front-leg", bar))


def test_a_leg_is_counted_from_its_foot_whichever_end_that_is(hoopwright, car, tmp_path):
    folder = turned(hoopwright, car, tmp_path)
    cage = folder.open().project.cage
    assert (foot_end(cage, "SB-L"), foot_end(cage, "SB-R")) == ("A", "B")
    from_a, from_b = leg_ends(cage, "SB-L", "A"), leg_ends(cage, "SB-R", "B")
    assert [one.leg_mm for one in from_b] == pytest.approx([one.leg_mm for one in from_a])
    assert [one.bends for one in from_b] == [one.bends for one in from_a] == [0, 1, 2]
    assert [one.words for one in from_b] == [
        "before bend 2, the first from end B",
        "between bend 2 and bend 1",
        "after bend 1",
    ]
    for one, verdict in zip(from_b, ("pass", "pass", "fail"), strict=True):
        mark_leg(folder, "SB-R", one.leg_mm)
        found = row_of(hoopwright, car, "SB-R")
        assert (found["verdict"], found["measured"]) == (verdict, one.bends)
        assert f"the {one.leg_mm:.0f} mm from end B" in found["how"]


def test_the_end_that_a_person_marks_counts_and_is_told(hoopwright, car, tmp_path):
    folder = turned(hoopwright, car, tmp_path)
    # the upper straight with its bend is 617.0 and the arc of 49.76 degrees 119.4: 700 reaches past the bend's middle
    told = hoopwright.run("bar", "leg", car, "SB-R", "700", "--from", "a")
    assert "leg of 700 mm from end A" in told.out
    member = folder.open().project.cage.member("SB-R")
    assert (member.leg_mm, member.leg_from) == (700.0, "A")
    assert row_of(hoopwright, car, "SB-R")["measured"] == 1
    hoopwright.run("bar", "leg", car, "SB-R", "700")
    assert folder.open().project.cage.member("SB-R").leg_from == "B"
    # from the foot the first bend's middle lies at 467.6 + 37.9 = 505.5, the second at 1196.2
    assert row_of(hoopwright, car, "SB-R")["measured"] == 1
    hoopwright.run("bar", "leg", car, "SB-R", "600", "--from", "A")
    assert row_of(hoopwright, car, "SB-R")["measured"] == 0
    hoopwright.run("bar", "leg", car, "SB-R", "600", "--from", "B")
    assert row_of(hoopwright, car, "SB-R")["measured"] == 1
    assert hoopwright.run("bar", "leg", car, "SB-R", "600", "--from", "C").status == 1
    mark_leg(folder, "SB-R", None)
    unmarked = row_of(hoopwright, car, "SB-R")
    assert unmarked["verdict"] == "not checked"
    assert "hoopwright bar leg PROJECT SB-R LENGTH" in unmarked["todo"]


def test_an_end_on_the_shell_is_the_foot_though_it_is_the_upper_one(hoopwright, car, tmp_path):
    nodes = tmp_path / "up.csv"
    nodes.write_text("forward,left,up\n0,0,0\n0,0,500\n", encoding="utf-8")
    for name, ends in (("U1", ["--end-b", "shell"]), ("U2", ["--end-a", "shell", "--end-b", "shell"])):
        hoopwright.keys("bar", "add", car, name, "--role", "side bar", "--nodes", nodes, *ends)
    cage = ProjectFolder(path=car).open().project.cage
    assert (foot_end(cage, "U1"), foot_end(cage, "U2")) == ("B", "A")

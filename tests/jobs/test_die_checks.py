"""The die that a bar names against its tube: another size is told, an unknown one is no pass."""

import itertools

import pytest

from hoopwright.cage import Cage, Member, Role
from hoopwright.findings import Verdict
from hoopwright.jobs.checks import check_project
from hoopwright.store import Project, ProjectFolder
from hoopwright.tubes import TubeSize

BENT = ((0.0, 600.0, 0.0), (0.0, 600.0, 1000.0), (0.0, -600.0, 1000.0))
STRAIGHT = ((-500.0, 600.0, 0.0), (-500.0, 600.0, 900.0))


def bar(name, od_mm=45.0, die="big", nodes=BENT, forward=0.0):
    placed = tuple((forward + x, y, z) for x, y, z in nodes)
    return Member(
        member_id=name,
        role=Role.MAIN_HOOP,
        nodes_mm=placed,
        tube=TubeSize(od_mm=od_mm, wall_mm=2.5),
        die=die,
        clr_mm=137.5,
    )


@pytest.fixture
def checked(tmp_path):
    numbers = itertools.count()

    def checked(*members, samples=(), only=()):
        folder = ProjectFolder(path=tmp_path / f"car{next(numbers)}")
        folder.create(Project(name="car", cage=Cage(members=members)))
        for number, (die, od_mm) in enumerate(samples):
            text = f'od_mm = {od_mm}\nwall_mm = 2.5\ndie = "{die}"\n[[plain]]\nclr_mm = 137.5\n'
            (folder.calibrations / f"00{number}-samples.toml").write_text(text)
        report = check_project(folder, only=only)
        rows = {row.about: row for row in report.rows if row.check == "die is of the tube's size"}
        return rows, [one for one in report.findings if one.code == "CHECK-011"]

    return checked


def test_a_die_of_another_size_fails_with_both_sizes(checked):
    rows, (found,) = checked(bar("MH"), samples=[("big", 38.0)])
    assert (rows["MH"].verdict, rows["MH"].measured, rows["MH"].limit) == (Verdict.FAIL, 45.0, 38.0)
    assert (found.measured, found.limit, found.unit, found.objects) == (45.0, 38.0, "mm", ("MH", "big"))
    assert "tube of 45 mm" in found.sentence
    assert "for 38 mm" in found.sentence


def test_a_die_of_the_same_size_passes_whatever_else_it_was_tried_with(checked):
    rows, found = checked(bar("MH"), samples=[("big", 45.0), ("big", 38.0)])
    assert (rows["MH"].verdict, found) == (Verdict.PASS, [])


def test_a_die_of_which_nobody_said_the_size_is_no_pass(checked):
    rows, found = checked(bar("MH", die="45"), samples=[("other", 45.0)])
    assert (rows["MH"].verdict, found) == (Verdict.NOT_CHECKED, [])
    assert "nobody said what size die '45' is for" in rows["MH"].where


def test_a_straight_bar_needs_no_die(checked):
    rows, found = checked(bar("HD", od_mm=38.0, nodes=STRAIGHT), samples=[("big", 45.0)])
    assert (rows, found) == ({}, [])


def test_bars_of_two_sizes_on_one_die_are_told_where_nobody_said_its_size(checked):
    rows, found = checked(bar("MH"), bar("FH", od_mm=38.0, forward=900.0))
    assert {row.verdict for row in rows.values()} == {Verdict.NOT_CHECKED}
    assert {(one.objects[0], one.measured, one.limit) for one in found} == {
        ("MH", 45.0, 38.0),
        ("FH", 38.0, 45.0),
    }
    assert set(checked(bar("MH"), bar("FH", od_mm=38.0, forward=900.0), only=["MH"])[0]) == {"MH"}


def test_the_size_that_the_shop_keeps_counts(checked, hoopwright, tmp_path, monkeypatch):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.db"))
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "50")
    hoopwright.keys("die", "add", "big", "--bender", "Red", "--od", "38", "--clr", "114", "--reach", "180")
    rows, (found,) = checked(bar("MH"))
    assert rows["MH"].verdict is Verdict.FAIL
    assert "as the shop says" in found.sentence
    assert checked(bar("MH", od_mm=38.0))[0]["MH"].verdict is Verdict.PASS

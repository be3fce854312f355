"""An end that is said to land on nothing gives a row in each rule that it might fall under, and never a pass."""

import pytest
from tests.rules.judging import book_of

from hoopwright.cage import Cage, End, Landing, Member, Role
from hoopwright.findings import Verdict
from hoopwright.jobs.rule_facts import facts_of
from hoopwright.rules.engine import rows_of
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.build_records import HandMeasure
from hoopwright.tubes import TubeSize

HOOP = ((-900.0, 600.0, 0.0), (-900.0, 600.0, 1100.0), (-900.0, -600.0, 1100.0), (-900.0, -600.0, 0.0))
SHELL, ON_MH = End(kind="shell"), End(kind="bar", on="MH")
PLATE = 'kind = "plate"\narea_least = "100 cm2"'
BOLTS = 'kind = "bolts"\nleast = 3'
FOOT = HandMeasure(
    about="MH foot B", name="plate length", bend=0, measured=100.0, other=None, date="2026-01-01"
)


def bar(name, role, nodes, end_a, end_b):
    tube = TubeSize(od_mm=45.0, wall_mm=2.5)
    return Member(
        member_id=name, role=role, nodes_mm=nodes, tube=tube, die="x", clr_mm=137.5, end_a=end_a, end_b=end_b
    )


def stay(name, left, end_a, end_b=SHELL):
    return bar(name, Role.BACKSTAY, ((-900.0, left, 1100.0), (-1700.0, left, 200.0)), end_a, end_b)


@pytest.fixture
def ended(tmp_path):
    def ended(rule, *members, measures=()):
        landing = Landing(
            bar_id="MH", end="A", length_mm=150.0, width_mm=100.0, thickness_mm=3.0, bolts=3, bolt_mm=8.0
        )
        cage = Cage(members=members, landings=(landing,))
        folder = ProjectFolder(path=tmp_path / "car")
        folder.create(Project(name="car", cage=cage, measures=measures))
        facts, _ = facts_of(folder, folder.open().project)
        book = book_of(rule)
        return {row.about: row for row in rows_of(book, book.rules[0], facts)}

    return ended


@pytest.mark.parametrize("rule", [PLATE, BOLTS])
@pytest.mark.parametrize("roles", ["", '\napplies = "main hoop"'])
def test_a_foot_rule_has_a_row_for_it_beside_the_foot_that_passes(ended, rule, roles):
    rows = ended(rule + roles, bar("MH", Role.MAIN_HOOP, HOOP, SHELL, End()))
    assert {name: row.verdict for name, row in rows.items()} == {
        "MH foot A": Verdict.PASS,
        "MH foot B": Verdict.NOT_CHECKED,
    }
    assert "end B of MH is said to land on nothing" in rows["MH foot B"].todo


def test_a_rule_for_other_bars_says_nothing_of_it(ended):
    hoop = bar("MH", Role.MAIN_HOOP, HOOP, SHELL, End())
    rows = ended(PLATE + '\napplies = "backstay"', hoop, stay("BS-L", 500.0, ON_MH))
    assert set(rows) == {"BS-L foot B"}


def test_what_was_measured_there_makes_it_a_foot_with_its_own_row(ended):
    rows = ended(PLATE, bar("MH", Role.MAIN_HOOP, HOOP, SHELL, End()), measures=(FOOT,))
    assert set(rows) == {"MH foot A", "MH foot B"}
    assert "lands on nothing" not in rows["MH foot B"].todo


def test_a_distance_that_is_taken_at_an_end_has_a_row_for_the_bar_that_ends_on_nothing(ended):
    rule = 'kind = "distance"\nof = "below hoop top"\nmost = 150\napplies = "backstay"'
    hoop = bar("MH", Role.MAIN_HOOP, HOOP, SHELL, SHELL)
    rows = ended(rule, hoop, stay("BS-L", 400.0, ON_MH), stay("BS-R", -400.0, End()))
    assert {name: row.verdict for name, row in rows.items()} == {
        "BS-L": Verdict.PASS,
        "BS-R foot A": Verdict.NOT_CHECKED,
    }


def test_an_angle_that_needs_no_end_has_one_row_for_each_bar(ended):
    rule = 'kind = "angle"\nof = "vertical"\nleast = 30\napplies = "backstay"'
    hoop = bar("MH", Role.MAIN_HOOP, HOOP, SHELL, SHELL)
    rows = ended(rule, hoop, stay("BS-L", 400.0, ON_MH), stay("BS-R", -400.0, End()))
    assert {name: row.verdict for name, row in rows.items()} == {"BS-L": Verdict.PASS, "BS-R": Verdict.PASS}

"""Which fails an exception lifts: those of what it holds for, and of no other thing."""

import pytest

from hoopwright.cage.member import Role
from hoopwright.findings import Verdict
from hoopwright.rules.engine import ByHand, check_book
from hoopwright.rules.facts import BarFacts, Facts, FootFacts, Measured
from hoopwright.rules.reading import book_from_text
from hoopwright.tubes import TubeSize

HEAD = '[book]\nid = "b"\nbody = "B"\nedition = "2026"\nunit = "mm"\nprovenance = "read"\n'
WALL = 'kind = "section"\nwall_least = 3\n'
PAIR = 'kind = "members"\napplies = "pillar bar"\nleast = 1\non = "each side"\n'
GAP = 'kind = "distance"\nof = "pillar gap"\nmost = 200\n'
PLATE = 'kind = "plate"\nthickness_least = 3\n'
TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
LEFT, RIGHT, HOOP = (
    BarFacts(bar_id=name, role=role, side=side, tube=TUBE, bends=())
    for name, role, side in (
        ("BS-L", Role.BACKSTAY, "L"),
        ("BS-R", Role.BACKSTAY, "R"),
        ("MH", Role.MAIN_HOOP, ""),
    )
)


def lifted(rule, exception, *, gaps=(), answers=None, **facts):
    """What the rule still fails for, where the exception is another rule of the book."""
    text = f'{HEAD}[[rule]]\nid = "rule"\n{rule}unless = "but"\n[[rule]]\nid = "but"\n{exception}'
    measures = tuple(Measured(name="pillar gap", about=about, measured=value) for about, value in gaps)
    known = Facts(bars=(LEFT, RIGHT, HOOP), measures=measures, **facts)
    rows = check_book(book_from_text(text, "b.toml"), known, answers=answers or {})
    return [row.about for row in rows if row.rule_id == "rule" and row.verdict is Verdict.FAIL]


@pytest.mark.parametrize(
    ("gaps", "left"),
    [
        ([("cage", 180.0)], []),
        ([("L", 180.0)], ["BS-R", "MH"]),
        # what stands on the centre line is on both sides
        ([("L", 180.0), ("R", 190.0)], []),
        ([("L", 180.0), ("R", 210.0)], ["BS-R", "MH"]),
        ([("BS-L", 180.0)], ["BS-R", "MH"]),
        # what is nearer goes before what is wider
        ([("cage", 180.0), ("R", 210.0)], ["BS-R"]),
        ([("cage", 180.0), ("BS-L", 210.0)], ["BS-L"]),
        ([("cage", 210.0), ("BS-L", 180.0)], ["BS-R", "MH"]),
        ([("cage", 210.0)], ["BS-L", "BS-R", "MH"]),
        ([("driver", 180.0)], ["BS-L", "BS-R", "MH"]),
        ([("BS-L and BS-R", 180.0)], ["MH"]),
        ([], ["BS-L", "BS-R", "MH"]),
    ],
)
def test_a_measure_lifts_what_it_was_taken_for(gaps, left):
    assert lifted(WALL, GAP, gaps=gaps) == left


def test_a_count_on_a_side_is_lifted_by_a_measure_of_that_side_or_of_the_cage():
    assert lifted(PAIR, GAP) == ["pillar bar L", "pillar bar R"]
    assert lifted(PAIR, GAP, gaps=[("L", 180.0)]) == ["pillar bar R"]
    assert lifted(PAIR, GAP, gaps=[("cage", 180.0)]) == []


def test_a_count_on_a_side_lifts_what_is_on_that_side():
    two = 'kind = "members"\napplies = "backstay"\nleast = 1\non = "each side"\n'
    assert lifted(WALL, two) == []
    assert lifted(WALL, two.replace('on = "each side"', "")) == []
    assert lifted(WALL, two.replace("each side", "driver's side")) == ["BS-L", "BS-R", "MH"]


def test_a_foot_is_a_part_of_its_bar_and_a_bar_is_no_part_of_its_foot():
    feet = tuple(FootFacts(bar_id=name, side="L", thickness_mm=2.0) for name in ("BS-L foot B", "XX foot A"))
    assert lifted(PLATE, GAP, gaps=[("BS-L", 180.0)], feet=feet) == ["XX foot A"]
    thick = (FootFacts(bar_id="BS-L foot B", side="L", thickness_mm=4.0),)
    assert lifted(WALL, PLATE, feet=thick) == ["BS-L", "BS-R", "MH"]


def test_an_answer_by_hand_to_the_exception_lifts_for_the_whole_cage():
    asked = 'kind = "question"\nquestion = "Does the scrutineer take it as built?"\n'
    assert lifted(WALL, asked) == ["BS-L", "BS-R", "MH"]
    yes, no = (ByHand(verdict=end, words="seen", by="A", date="2026-03-02") for end in ("pass", "fail"))
    assert lifted(WALL, asked, answers={"but": yes}) == []
    assert lifted(WALL, asked, answers={"but": no}) == ["BS-L", "BS-R", "MH"]


def test_a_count_in_the_cage_is_not_lifted_by_one_bar():
    count = 'kind = "members"\napplies = "pillar bar"\nleast = 1\n'
    assert lifted(count, GAP, gaps=[("BS-L", 180.0)]) == ["pillar bar"]
    assert lifted(count, GAP, gaps=[("cage", 180.0)]) == []

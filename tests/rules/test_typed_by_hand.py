"""The small book of the guide, typed by hand, against a cage whose figures are known."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from tests.rules.judging import ends

from hoopwright.bars import Bar
from hoopwright.cage.driver import Driver
from hoopwright.cage.driver_checks import belt_angle_deg, helmet_line
from hoopwright.cage.member import Role
from hoopwright.rules.engine import check_book
from hoopwright.rules.facts import BarFacts, BendFacts, DriverFacts, Facts, FootFacts
from hoopwright.rules.reading import book_from_text
from hoopwright.tubes import TubeSize

GUIDE = Path(__file__).parents[2] / "docs" / "rule-books.md"
TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
BEND = BendFacts(angle_deg=40.0, clr_mm=137.5, narrow_mm=40.9, wide_mm=46.2, in_leg=True)


def small_book():
    section = GUIDE.read_text(encoding="utf-8").partition("## A whole small book")[2]
    typed = re.match(r"\n+((?:    .*\n|\n)+)", section)
    assert typed is not None
    return typed[1].replace("\n    ", "\n").removeprefix("    ").rstrip() + "\n"


def across(name, forward, up):
    return Bar(name=name, nodes_mm=((forward, 500.0, up), (forward, -500.0, up)), clr_mm=137.5, tube=TUBE)


def driver_facts():
    driver = Driver(name="A", helmet_mm=(-1330.0, 0.0, 1010.0), helmet_radius_mm=140.0)
    line = helmet_line(driver, across("MH", -1560.0, 1150.0), across("SC", -880.0, 1125.0))
    assert line is not None
    return DriverFacts(
        driver_id="A", helmet_line_mm=line.room_mm, line_bars=("MH", "SC"), seat_drop_ratio=line.drop_ratio
    )


def facts():
    return Facts(
        bars=(
            BarFacts(bar_id="MH", role=Role.MAIN_HOOP, tube=TUBE, bends=(BEND,)),
            BarFacts(
                bar_id="SB-L", role=Role.SIDE_BAR, tube=TUBE, bends=(BEND, replace(BEND, angle_deg=25.0))
            ),
            BarFacts(bar_id="BS-L", role=Role.BACKSTAY, tube=TUBE, bends=(), down_mm=(-440.0, -30.0, -900.0)),
        ),
        feet=(FootFacts(bar_id="MH", role=Role.MAIN_HOOP, planes_mm=((100.0, 110.0),), thickness_mm=3.0),),
        drivers=(driver_facts(),),
    )


def told(found):
    return {
        (row.rule_id, row.about): (row.verdict.value, row.measured_words)
        for row in check_book(book_from_text(small_book(), "my-club-2026.toml"), found)
    }


def test_the_book_is_typed_in_about_forty_lines():
    assert len(small_book().splitlines()) <= 48


def test_each_rule_ends_as_the_figures_say():
    # figures from the acceptance list A12 and A10; tests/cage has the same helmet line
    rows = told(facts())
    assert rows[("backstays", "BS-L")] == ("fail", "26.1°")
    assert rows[("plates", "MH")] == ("fail", "110.0 cm2")
    assert rows[("ovality", "MH")] == ("fail", "0.885")
    assert rows[("front-legs", "SB-L")] == ("fail", "2")
    assert rows[("radius", "MH")] == ("pass", "3.06 x OD")
    assert rows[("hoop", "MH")] == ("pass", "45 x 2.5 mm")
    assert rows[("helmet", "A")] == ("fail", "13.9 mm")


def test_the_seat_goes_down_by_what_is_missing():
    (row,) = [
        row for row in check_book(book_from_text(small_book(), "b"), facts()) if row.rule_id == "helmet"
    ]
    assert row.todo == "Lower the seat by 36 mm or raise the bars."
    assert row.page == "47"


def test_a_flatter_backstay_passes():
    flat = facts()
    assert flat.bars is not None
    flat = replace(flat, bars=(*flat.bars[:2], replace(flat.bars[2], down_mm=(-650.0, -40.0, -370.0))))
    assert told(flat)[("backstays", "BS-L")] == ("pass", "60.4°")


def test_what_is_not_known_is_not_checked():
    rows = told(replace(facts(), feet=None, drivers=None, bars=None))
    assert {verdict for verdict, _ in rows.values()} == {"not checked"}


@pytest.mark.parametrize(
    ("back", "down", "rule", "end", "angle"),
    [
        (300.0, 60.0, "below_most = 20", "pass", 11.3),
        (180.0, 80.0, "below_most = 20", "fail", 24.0),
        (250.0, -20.0, "below_most = 20\nabove_most = 10", "pass", -4.6),
        (250.0, -20.0, "below_most = 20", "fail", -4.6),
    ],
)
def test_belts(back, down, rule, end, angle):
    driver = Driver(name="A", shoulder_mm=(0.0, 200.0, 1000.0), guide_mm=(-back, 200.0, 1000.0 - down))
    measured = belt_angle_deg(driver)
    assert measured == pytest.approx(angle, abs=0.05)
    assert ends(f'kind = "belts"\n{rule}', f"belt = {measured}") == end

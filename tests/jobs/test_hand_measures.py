"""Numbers typed by hand: units as people write them, places where they can be, and what a refusal says."""

import pytest

from hoopwright.findings import UserError
from hoopwright.jobs.hand_measures import TypedMeasure, keep_measures, measured_by_hand, places_for
from hoopwright.store import ProjectFolder

HOOP = "forward,left,up\n0,610,0\n0,640,620\n0,505,1085\n0,-505,1085\n0,-640,620\n0,-610,0\n"
STAY = "forward,left,up\n0,400,1080\n-440,370,180\n"


@pytest.fixture
def folder(hoopwright, tmp_path):
    car = tmp_path / "car"
    hoopwright.keys("new", car)
    for name, role, nodes in (("MH", "main hoop", HOOP), ("BS-L", "backstay", STAY)):
        file = tmp_path / f"{name}.csv"
        file.write_text(nodes, encoding="utf-8")
        hoopwright.keys("bar", "add", car, name, "--role", role, "--nodes", file)
    return ProjectFolder(path=car)


def ovality(folder, text, bend=1):
    keep_measures(folder, "MH", [TypedMeasure(name="ovality", text=text, bend=bend)], date="2026-11-26")
    (kept,) = measured_by_hand(folder)
    return kept.measured, kept.other


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1.61/1.82 in", (1.61, 1.82)),
        ("1.61 in/1.82 in", (1.61, 1.82)),
        ('1.61/1.82"', (1.61, 1.82)),
        ("40.894/46.228", (1.61, 1.82)),
    ],
)
def test_the_unit_at_the_end_is_of_both_widths(folder, text, inches):
    assert ovality(folder, text) == pytest.approx([25.4 * one for one in inches])


def test_each_width_may_have_its_own_unit(folder):
    assert ovality(folder, "40.9 mm/1.82 in") == pytest.approx((40.9, 46.228))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("90/92", "90 mm cannot be; at most 67.5 mm on a tube of 45 mm can"),
        ("0/46", "0 mm cannot be; at least 5 mm"),
    ],
)
def test_a_refusal_says_what_can_be(folder, text, words):
    with pytest.raises(UserError) as error:
        ovality(folder, text)
    assert words in error.value.findings[0].sentence
    assert measured_by_hand(folder) == ()


def test_a_refusal_of_a_bend_is_no_word_of_a_command(folder):
    with pytest.raises(UserError) as error:
        ovality(folder, "40.9/46.2", bend=9)
    (found,) = error.value.findings
    assert found.code == "HELD-005"
    assert "--" not in found.todo


def test_a_bar_without_a_bend_is_no_place_for_an_ovality(folder):
    assert places_for(folder.open().project.cage, "bend") == ["MH"]

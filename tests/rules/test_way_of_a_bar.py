"""Which way a bar leads: an upright one leads neither, and one that is nearly upright is a matter of measuring."""

import math

import pytest
from tests.rules.judging import rows


def leads(way, lean_deg, *, side=0.0):
    """How a bar ends that leans so far forward from the upright, of 1000 mm height."""
    forward = 1000.0 * math.tan(math.radians(lean_deg))
    rule = f'kind = "angle"\nof = "vertical"\nmost = 80\nway = "{way}"\napplies = "backstay"'
    told = rows(rule, f"vector = [{forward!r}, {side}, -1000.0]")
    return next(row for row in told if row.part == "way")


@pytest.mark.parametrize("way", ["forward", "rearward"])
@pytest.mark.parametrize("side", [0.0, 200.0])
def test_an_upright_bar_leads_neither_way(way, side):
    row = leads(way, 0.0, side=side)
    assert (row.verdict, row.measured_words) == ("fail", "neither, 0.0°")
    assert row.todo == f"Lead it {way}."


@pytest.mark.parametrize(
    ("lean_deg", "ends"),
    [
        (30.0, "pass"),
        (1.0, "pass"),
        (0.9, "not checked"),
        (0.1, "not checked"),
        (0.04, "fail"),
        (-0.5, "fail"),
    ],
)
def test_within_a_degree_of_upright_nothing_passes(lean_deg, ends):
    assert leads("forward", lean_deg).verdict == ends
    assert leads("rearward", -lean_deg).verdict == ends


def test_what_is_just_short_of_the_tolerance_is_not_shown_as_it():
    assert leads("rearward", -0.999).measured_words == "rearward, 0.999°"


def test_what_is_nearly_upright_says_what_to_do():
    row = leads("rearward", -0.5)
    assert row.measured_words == "rearward, 0.5°"
    assert row.todo == (
        "it leads rearward by 0.5° only, and under 1° a build can be off as much (our choice, the book gives none): "
        "measure it on the car, or lead it further"
    )

"""`layout` as typed: choices, given places, and what is said of each."""

import pytest

PLACES = [
    "hoop_foot=-900,590,0",
    "backstay_foot=-1700,450,300",
]


@pytest.fixture
def scanned(hoopwright, project, inch_scan):
    hoopwright.keys("scan", project, inch_scan, "--unit", "in", "--as-given")
    return project


def given(places=PLACES):
    return [word for place in places for word in ("--landmark", place)]


def test_four_feet_and_what_they_cannot_carry(hoopwright, scanned):
    told = hoopwright.keys("layout", scanned, *given(), "--feet", "4", "--diagonals", "cross", "--dash")
    assert {"MH", "BS-L", "BS-R", "HD", "HD2-L", "HD2-R"} <= set(told["bars"])
    assert "DA" not in told["bars"]
    (finding,) = [finding for finding in told["findings"] if finding["code"] == "FIT-050"]
    assert finding["objects"] == ["dash bar"]


def test_what_is_missing_is_asked_for_and_nothing_is_changed(hoopwright, scanned):
    codes = hoopwright.stops("layout", scanned, *given())
    assert codes[0] == "FIT-003"
    assert hoopwright.keys("bar", "list", scanned)["bars"] == []


@pytest.mark.parametrize(
    "words",
    [("--feet", "5"), ("--roof", "w"), ("--door-bars", "three"), ("--diagonals", "none")],
    ids=" ".join,
)
def test_a_choice_that_there_is_not(hoopwright, scanned, words):
    assert hoopwright.run("layout", scanned, *given(), *words).status == 2


@pytest.mark.parametrize("out", ["-20", "2 m"])
def test_a_door_bar_that_cannot_go_so_far(hoopwright, scanned, out):
    assert "FIT-056" in hoopwright.stops("layout", scanned, *given(), f"--door-out={out}")
    assert hoopwright.keys("bar", "list", scanned)["bars"] == []

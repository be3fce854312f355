"""Sticks and their readings as the page shows them, against what the bender's own rules let be done."""

import pytest
from tests.bending_hoop import CALIBRATION, HOOP

from hoopwright.bender.rescue.records import Reading
from hoopwright.findings import UserError
from hoopwright.jobs.bending import correct_reading, decide, take_back, take_reading
from hoopwright.jobs.bent_sticks import bent_sticks
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder

WISHES = BendWishes(at="2026-03-14T10:00:00+00:00", solve=False)


@pytest.fixture
def car(hoopwright, tmp_path):
    project = tmp_path / "hoop"
    hoopwright.keys("new", project)
    (tmp_path / "hoop.csv").write_text(HOOP)
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", tmp_path / "hoop.csv")
    (tmp_path / "cal.toml").write_text(CALIBRATION)
    hoopwright.keys("calibrate", tmp_path / "cal.toml", "--project", project)
    hoopwright.keys("sheets", project, "--order", "A to B", "--swings", "clockwise")
    return ProjectFolder(path=project)


def read(car, angle_deg, key):
    take_reading(car, "MH", Reading(step=0, released_deg=angle_deg, at=WISHES.at, key=key), WISHES)


def shown(car):
    (stick,) = bent_sticks(car)
    return [
        (
            one.record,
            one.bend,
            one.reading.released_deg,
            one.state,
            one.may_be_corrected,
            one.may_be_taken_back,
        )
        for one in stick.readings
    ]


def refused(act):
    with pytest.raises(UserError) as stopped:
        act()
    return [one.code for one in stopped.value.findings]


def test_each_reading_is_shown_with_what_may_be_done_to_it(car):
    assert bent_sticks(car) == ()
    for number, angle_deg in enumerate((18.96, 71.5, 73.81, 73.81)):
        read(car, angle_deg, f"r{number}")
    # the second was under and was read again; the last alone may be taken back
    assert shown(car) == [
        (2, 1, 18.96, "counts", True, False),
        (3, 2, 71.5, "read again", False, False),
        (4, 2, 73.81, "counts", True, False),
        (5, 3, 73.81, "counts", True, True),
    ]
    wrong = Reading(step=0, released_deg=71.0, at=WISHES.at, key="late")
    assert refused(lambda: correct_reading(car, "MH", 3, wrong, WISHES)) == ["BEND-008"]
    assert refused(lambda: take_back(car, "MH", 4, reason="", key="b", wishes=WISHES)) == ["BEND-008"]
    take_back(car, "MH", 5, reason="sent twice", key="back", wishes=WISHES)
    correct_reading(car, "MH", 4, Reading(step=0, released_deg=73.7, at=WISHES.at, key="c"), WISHES)
    assert shown(car) == [
        (2, 1, 18.96, "counts", True, False),
        (3, 2, 71.5, "read again", False, False),
        (4, 2, 73.7, "counts", True, True),
        (5, 3, 73.81, "taken back", False, False),
    ]
    (stick,) = bent_sticks(car)
    assert [one.reason for one in stick.readings] == ["", "", "", "sent twice"]
    assert [one.is_corrected for one in stick.readings] == [False, False, True, False]
    assert stick.may_be_scrapped


def test_only_the_stick_in_hand_may_be_changed(car):
    read(car, 18.96, "r1")
    decide(car, "MH", go_on=False, key="scrap", wishes=WISHES)
    (scrapped,) = bent_sticks(car)
    assert (scrapped.is_scrapped, scrapped.may_be_scrapped) == (True, False)
    assert [one.may_be_taken_back for one in scrapped.readings] == [False]
    again = BendWishes(at=WISHES.at, solve=False, again=True)
    take_reading(car, "MH", Reading(step=0, released_deg=18.9, at=WISHES.at, key="r2"), again)
    last, first = bent_sticks(car)
    assert (last.number, first.number) == (2, 1)
    assert last.may_be_scrapped
    assert [one.may_be_corrected for one in (*last.readings, *first.readings)] == [True, False]

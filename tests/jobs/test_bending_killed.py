"""A device that is killed again and again sends what was not acknowledged once more: the bar comes out the same."""

import os
import signal
import sys
import time

import numpy as np
import pytest
from tests.bending_hoop import CALIBRATION, HOOP

from hoopwright.bender.rescue.records import Reading, Taped
from hoopwright.jobs.bend_answers import look
from hoopwright.jobs.bending import decide, take_reading
from hoopwright.jobs.sticks import BendWishes
from hoopwright.jobs.taping import take_distance
from hoopwright.store import ProjectFolder

WISHES = BendWishes(at="2026-03-14T10:00:00+00:00")
SENT = (18.4, 18.9, 74.6, "go on", 72.6, 19.5, "feet 1252", "knees 1317.4", "feet 1253")
"""Under, added to, over, decided, the rest within the band; then taped, and one distance put right."""


@pytest.fixture
def folder(hoopwright, tmp_path):
    car = tmp_path / "car"
    hoopwright.keys("new", car)
    (tmp_path / "hoop.csv").write_text(HOOP)
    (tmp_path / "cal.toml").write_text(CALIBRATION)
    hoop = ("MH", "--role", "main hoop", "--nodes", tmp_path / "hoop.csv", "--trim-a", "30", "--trim-b", "30")
    hoopwright.keys("bar", "add", car, *hoop)
    hoopwright.keys("calibrate", tmp_path / "cal.toml", "--project", car)
    hoopwright.keys("sheets", car, "--order", "A to B", "--swings", "clockwise")
    return ProjectFolder(path=car)


def send(folder, number):
    what, key = SENT[number], f"entry {number}"
    if what == "go on":
        return decide(folder, "MH", go_on=True, key=key, wishes=WISHES)
    if isinstance(what, str):
        name, value = what.split()
        taped = Taped(name=name, measured_mm=float(value), at=WISHES.at, key=key)
        return take_distance(folder, "MH", taped, WISHES)
    reading = Reading(step=0, released_deg=what, at=WISHES.at, key=key)
    return take_reading(folder, "MH", reading, WISHES)


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
def test_killed_while_bending(folder):
    chance, acknowledged, kills = np.random.default_rng(5), 0, 0
    while acknowledged < len(SENT):
        read_end, write_end = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(read_end)
            try:
                for number in range(acknowledged, len(SENT)):
                    send(folder, number)
                    os.write(write_end, b".")
                    time.sleep(0.05)  # nine of these outlast the first wait before a kill
            finally:
                os._exit(0)
        os.close(write_end)
        time.sleep(
            chance.uniform(0.0, 0.25 + 0.05 * kills)
        )  # longer and longer, so that a slow machine ends too
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        kills += 1
        with os.fdopen(read_end, "rb") as said:
            acknowledged += len(said.read())
        kept = len(look(folder, "MH", WISHES).stick.records) - 1
        assert kept in (acknowledged, acknowledged + 1)  # the last may be written and not said
    made = look(folder, "MH", WISHES)
    assert kills > 1
    assert made.standing.phase == "done"
    assert [(one.name, one.measured_mm) for one in made.standing.taped] == [
        ("feet", 1253.0),
        ("knees", 1317.4),
    ]
    assert [record.key for record in made.stick.records[1:]] == [f"entry {k}" for k in range(len(SENT))]
    assert [one.released_deg for one in made.standing.made] == [18.9, 74.6, 72.6, 19.5]

"""A main hoop against the inside of a scan of known section: every figure worked out by hand from both sections."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.cage import Driver
from hoopwright.findings import Verdict
from hoopwright.jobs.hand_measures import TypedMeasure, keep_measures
from hoopwright.jobs.rule_books import books_folder, pin_book
from hoopwright.jobs.rule_views import held_or_stop
from hoopwright.store import ProjectFolder

BOOK = """\
[book]
id = "my-club"
body = "My club"
edition = "2026"
unit = "mm"
provenance = "read"
[[rule]]
id = "width"
kind = "ratio"
of = "hoop width ratio"
applies = "main hoop"
least = 0.9
[[rule]]
id = "side"
kind = "distance"
of = "leg to cabin side"
applies = "main hoop"
most = 30
"""
# legs rise from (610, 0) to (640, 620), then lean in to the corner at (505, 1085)
HOOP = "-900,610,0 -900,640,620 -900,505,1085 -900,-505,1085 -900,-640,620 -900,-610,0"
UP_MM = 400.0
AXIS_MM = 610.0 + 30.0 * UP_MM / 620.0
HALF_MM = 22.5 * math.hypot(30.0, 620.0) / 620.0
WALL_MM = 680.0
LEAN_RAD = math.atan2(135.0, 465.0)


@pytest.fixture
def held(hoopwright, bodies, tmp_path):
    numbers = itertools.count()

    def held(*, openings=(), shoulder_mm=(-900.0, 300.0, UP_MM), measures=()):
        place = tmp_path / f"{next(numbers)}"
        place.mkdir()
        triangles = bodies.section_soup(openings=openings)
        rows = np.zeros(
            len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")]
        )
        rows["corners"] = triangles
        head = b"shell".ljust(80) + np.uint32(len(rows)).tobytes()
        (place / "shell.stl").write_bytes(head + rows.tobytes())
        (place / "nodes.csv").write_text("\n".join(["forward,left,up", *HOOP.split(), ""]))
        hoopwright.keys("new", place / "car")
        hoopwright.keys("scan", place / "car", place / "shell.stl", "--unit", "mm", "--as-given")
        words = (
            "--role",
            "main hoop",
            "--nodes",
            place / "nodes.csv",
            "--tube",
            "45 x 2.5",
            "--clr",
            "137.5",
        )
        hoopwright.keys("bar", "add", place / "car", "MH", *words)
        car = ProjectFolder(path=place / "car")
        opened = car.open()
        drivers = () if shoulder_mm is None else (Driver(name="Anna", shoulder_mm=shoulder_mm),)
        car.save(opened, replace(opened.project, cage=replace(opened.project.cage, drivers=drivers)))
        books_folder(car).mkdir()
        (books_folder(car) / "my-club.toml").write_text(BOOK)
        pin_book(car, "my-club")
        for one in measures:
            keep_measures(car, "MH", [one], date="2026-01-01")
        rows = held_or_stop(car).rows
        return {name: [row for row in rows if row.rule_id == name] for name in ("width", "side")}

    return held


def test_from_each_leg_to_the_wall_across_and_in_any_direction(held):
    rows = held()["side"]
    assert sorted(row.note for row in rows) == ["the left leg", "the right leg"]
    for row in rows:
        assert row.measured == pytest.approx(WALL_MM - AXIS_MM - HALF_MM, abs=0.1)
        assert row.other == pytest.approx(WALL_MM - AXIS_MM - 22.5, abs=0.1)
        assert "to the nearest metal in any direction" in row.other_words
        assert "the first metal of the scan" in row.how
        assert row.verdict is Verdict.PASS


def test_width_of_the_hoop_over_the_inside_width_with_both_values(held):
    (row,) = held()["width"]
    # the top bend turns by 90 degrees less the lean of the leg, and begins its tangent length below the corner
    tangent_mm = 137.5 * math.tan((math.pi / 2.0 - LEAN_RAD) / 2.0)
    narrowest_mm = 2.0 * (505.0 + tangent_mm * math.sin(LEAN_RAD) + 22.5 / math.cos(LEAN_RAD))
    assert row.measured == pytest.approx(narrowest_mm / (2.0 * WALL_MM), abs=5e-4)
    assert row.other == pytest.approx((AXIS_MM + HALF_MM) / WALL_MM, abs=5e-4)
    assert row.verdict is Verdict.FAIL
    assert "inside of the car 1360 mm" in row.note


def test_a_side_that_is_a_window_is_not_known_and_may_be_taken_by_hand(held):
    window = (-1100.0, -700.0, True, 250.0, 550.0)
    rows = held(openings=[window])
    assert sorted(row.verdict.value for row in rows["side"]) == ["not checked", "pass"]
    (width,) = rows["width"]
    assert width.verdict is Verdict.NOT_CHECKED
    assert "no metal of the scan beside both legs" in width.todo
    assert "hoopwright measured PROJECT MH --value 'hoop width ratio=...'" in width.todo
    by_hand = TypedMeasure(name="hoop width ratio", text="0.93")
    (width,) = held(openings=[window], measures=[by_hand])["width"]
    assert (width.measured, width.verdict) == (0.93, Verdict.PASS)


def test_without_a_shoulder_nothing_is_guessed(held):
    for rows in held(shoulder_mm=None).values():
        (row,) = rows
        assert row.verdict is Verdict.NOT_CHECKED
        assert "give the driver's shoulder" in row.todo

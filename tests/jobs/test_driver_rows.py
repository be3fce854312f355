"""Rows of drivers: the door opening, several bars, and what nothing was measured of."""

from dataclasses import replace

import pytest

from hoopwright.cage import Cage, Driver, Member, Role, add_member, set_driver
from hoopwright.findings import Verdict
from hoopwright.jobs.driver_measures import measure_drivers
from hoopwright.jobs.driver_rows import DriverLimits, driver_rows
from hoopwright.tubes import TubeSize

CORNERS = {
    f"door_opening_{number}": (forward, 700.0, up)
    for number, (forward, up) in enumerate(
        [(0.0, 300.0), (-1000.0, 300.0), (-1000.0, 1000.0), (0.0, 1000.0)], 1
    )
}


def with_bar(cage, name, role, a, b):
    tube = TubeSize(od_mm=40.0, wall_mm=2.0)
    return add_member(
        cage, Member(member_id=name, role=role, nodes_mm=(a, b), tube=tube, die="40", clr_mm=120.0)
    )


def door(landmarks=CORNERS):
    return with_bar(
        Cage(landmarks=landmarks), "DB-L", Role.DOOR_BAR, (100.0, 650.0, 500.0), (-1100.0, 650.0, 500.0)
    )


def row(cage, check, **limits):
    rows, findings = driver_rows(cage, measure_drivers(cage), DriverLimits(**limits))
    return next(one for one in rows if check in one.check), [finding.code for finding in findings]


def test_the_door_is_held_against_a_typed_circle_only():
    left, codes = row(door(), "door opening")
    assert (left.verdict, codes) == (Verdict.NOT_CHECKED, [])
    assert "DB-L" in left.where
    assert "real driver" in left.where
    assert row(door(), "door opening", circle_mm=450.0)[0].verdict is Verdict.PASS
    narrow, codes = row(door(), "door opening", circle_mm=500.0)
    assert (narrow.verdict, codes) == (Verdict.FAIL, ["DRV-014"])


def test_padding_narrows_the_door():
    padded = set_driver(door(), Driver(name="Ada", padding_mm=50.0))
    assert row(padded, "door opening", circle_mm=450.0)[0].verdict is Verdict.FAIL


@pytest.mark.parametrize(
    "landmarks", [{}, dict(list(CORNERS.items())[:2]), {**CORNERS, "door_opening_5": (0, -700, 0)}]
)
def test_a_door_without_corners_is_not_checked(landmarks):
    left, codes = row(door(landmarks), "door opening", circle_mm=10.0)
    assert (left.verdict, left.measured, codes) == (Verdict.NOT_CHECKED, None, [])


def test_the_lowest_line_of_several_front_bars_counts():
    driver = Driver(name="Ada", helmet_mm=(-1330.0, 0.0, 900.0), helmet_radius_mm=140.0)
    cage = set_driver(Cage(), driver)
    for name, role, forward, up in (
        ("MH", Role.MAIN_HOOP, -1600, 1150), ("FH", Role.FRONT_HOOP, -850, 1150), ("SC", Role.SCREEN_BAR, -900, 1100)
    ):  # fmt: skip
        cage = with_bar(cage, name, role, (forward, 500.0, up), (forward, -500.0, up))
    line, _ = row(cage, "straight edge")
    assert line.where == "MH and SC"
    apart, _ = row(
        set_driver(cage, Driver(name="Ada", helmet_mm=(-1700.0, 0.0, 900.0), helmet_radius_mm=140.0)), "edge"
    )
    assert "not between" in apart.where


def test_a_measured_part_is_judged_and_every_other_named():
    cage = with_bar(Cage(), "MH", Role.MAIN_HOOP, (-1600.0, 500.0, 1150.0), (-1600.0, -500.0, 1150.0))
    cage = set_driver(cage, Driver(name="Ada", hip_mm=(-1200.0, 350.0, 300.0)))
    rows, _ = driver_rows(cage, measure_drivers(cage), DriverLimits())
    bodies = {one.check: one.verdict for one in rows if "with padding" in one.check}
    assert bodies.pop("hips to bars with padding") is Verdict.PASS
    assert len(bodies) == 8
    assert set(bodies.values()) == {Verdict.NOT_CHECKED}


def test_an_empty_cage_passes_nothing():
    cage = set_driver(Cage(landmarks=CORNERS), Driver(name="Ada", hip_mm=(0, 0, 0), eye_mm=(0, 0, 600)))
    rows, findings = driver_rows(cage, measure_drivers(cage), DriverLimits(hidden_share=0.5, circle_mm=100.0))
    assert {one.verdict for one in rows} == {Verdict.NOT_CHECKED}
    assert findings == []


def test_a_bar_that_cannot_be_bent_is_named_and_the_others_are_held():
    cage = with_bar(Cage(), "MH", Role.MAIN_HOOP, (-1600.0, 500.0, 1150.0), (-1600.0, -500.0, 1150.0))
    tight = ((-900.0, 500.0, 900.0), (-900.0, 450.0, 950.0), (-950.0, 450.0, 1000.0), (-950.0, 400.0, 1000.0))
    bad = replace(cage.member("MH"), member_id="BAD", role=Role.DASH_BAR, nodes_mm=tight)
    cage = set_driver(add_member(cage, bad), Driver(name="Ada", hip_mm=(-1200.0, 350.0, 300.0)))
    rows, _ = driver_rows(cage, measure_drivers(cage), DriverLimits())
    unbent = next(one for one in rows if one.about == "BAD")
    assert (unbent.verdict, unbent.where) == (Verdict.NOT_CHECKED, "the bar cannot be bent")
    assert next(one for one in rows if one.check.startswith("hips")).verdict is Verdict.PASS

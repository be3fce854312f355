"""Distances along and between bars that a rule book asks for, worked out by hand from the nodes."""

import math

import pytest
from tests.jobs.rule_facts.typed import HOOP, ON_MH, SHELL, TOP, TUBE, bar, hoop, measure, one_measure

from hoopwright.cage import Car, Driver, End, Landing, Role
from hoopwright.store import Project
from hoopwright.store.build_records import HandMeasure


def test_distances_run_along_the_tube_with_the_straight_one_beside(facts):
    diagonal = bar("HD", Role.HOOP_DIAGONAL, ((-1000.0, 300.0, TOP), (-1000.0, -600.0, 80.0)), ON_MH, ON_MH)
    backstay = bar("BS-L", Role.BACKSTAY, ((-1000.0, 380.0, TOP), (-1800.0, 380.0, 300.0)), ON_MH)
    found = facts(hoop(), diagonal, backstay, project=Project(name="car", car=Car(driver_side="L")))
    foot = one_measure(found, "end to foot", "HD")
    assert (foot.measured, foot.other) == pytest.approx((80.0, 80.0))
    joint = one_measure(found, "end to backstay joint", "HD")
    assert (joint.measured, joint.other) == pytest.approx((80.0, 80.0))
    # from left 300 to where the straight ends at 600 - 137.5, and half the arc; straight to the middle of the arc
    corner = one_measure(found, "end to hoop corner", "HD")
    middle = 137.5 * (1 - math.sqrt(0.5))
    assert corner.measured == pytest.approx(162.5 + 137.5 * math.pi / 4)
    assert corner.other == pytest.approx(math.hypot(300.0 - middle, middle))
    assert sorted(one.measured for one in measure(found, "below hoop top", "HD")) == pytest.approx(
        [0.0, 1020.0]
    )
    assert one_measure(found, "below hoop top", "BS-L").measured == pytest.approx(0.0)


def test_below_the_top_round_the_bend_is_longer_along_the_tube(facts):
    harness = bar("HB", Role.HARNESS_BAR, ((-1000.0, 600.0, 700.0), (-1000.0, -600.0, 700.0)), ON_MH, ON_MH)
    for one in measure(facts(hoop(), harness), "below hoop top", "HB"):
        assert one.measured == pytest.approx(400.0)
        # down the leg to where the arc ends, and the quarter circle up to the flat top
        assert one.other == pytest.approx(400.0 - 137.5 + 137.5 * math.pi / 2, abs=1.0)


def test_what_cannot_be_taken_says_what_to_give(facts):
    diagonal = bar("HD", Role.HOOP_DIAGONAL, ((-1000.0, 300.0, TOP), (-1000.0, -600.0, 80.0)), ON_MH, ON_MH)
    found = facts(hoop(), diagonal)
    corner, joint = (one_measure(found, f"end to {what}", "HD") for what in ("hoop corner", "backstay joint"))
    assert (corner.measured, joint.measured) == (None, None)
    assert "driver's side" in corner.missing
    assert "backstay" in joint.missing


def test_hoops_lean_and_stand_apart(facts):
    lean = math.tan(math.radians(10.0)) * TOP
    nodes = tuple((f - lean * u / TOP, left, u) for f, left, u in HOOP)
    found = facts(bar("MH", Role.MAIN_HOOP, nodes, SHELL, SHELL, tube=TUBE))
    assert one_measure(found, "hoop lean", "MH").measured == pytest.approx(10.0)
    assert one_measure(found, "between legs", "MH").measured == pytest.approx(1200.0 - 45.0)


def test_what_the_model_does_not_hold_says_how_to_give_it(facts):
    landing = Landing(bar_id="MH", end="A", bolts=3, bolt_mm=8.0)
    found = facts(hoop(), landings=(landing,))
    side, bolts = (
        one_measure(found, "leg to cabin side", "MH"),
        one_measure(found, "bolt spacing", "MH foot A"),
    )
    assert (side.measured, bolts.measured) == (None, None)
    assert "hoopwright measured PROJECT 'MH foot A' --value 'bolt spacing=...'" in bolts.missing
    hand = HandMeasure(
        about="MH foot A", name="bolt spacing", bend=0, measured=70.0, other=None, date="2026-01-01"
    )
    given = facts(hoop(), landings=(landing,), project=Project(name="car", measures=(hand,)))
    bolts = one_measure(given, "bolt spacing", "MH foot A")
    assert (bolts.measured, bolts.role) == (70.0, Role.MAIN_HOOP)


def test_a_straight_bar_is_parted_by_what_lands_on_it(facts):
    rail = bar("RL", Role.SILL_BAR, ((0.0, 500.0, 100.0), (-1000.0, 500.0, 100.0)), tube=TUBE)
    post = bar(
        "P", Role.DOOR_BAR, ((-300.0, 500.0, 500.0), (-300.0, 500.0, 100.0)), None, End(kind="bar", on="RL")
    )
    assert one_measure(facts(rail, post), "longest straight", "RL").measured == pytest.approx(700.0)


def test_a_driver_under_hoop_and_braces(facts):
    backstay = bar("BS-L", Role.BACKSTAY, ((-1000.0, 300.0, TOP), (-2000.0, 300.0, 100.0)), ON_MH)
    driver = Driver(name="anna", helmet_mm=(-800.0, 0.0, 950.0), helmet_radius_mm=140.0, padding_mm=25.0)
    found = facts(hoop(), backstay, drivers=(driver,))
    (anna,) = found.drivers
    top = TOP + 22.5
    assert anna.level_mm == pytest.approx(top - 950.0 - 140.0)
    # from the hoop's top at (-1000, 1122.5) to (-2000, 100): the helmet's middle lies ahead of that line and below
    length = math.hypot(1000.0, 1022.5)
    off = (1000.0 * (top - 950.0) + 1022.5 * 200.0) / length
    assert anna.brace_line_mm == pytest.approx(off - 140.0)
    hoop_room = next(one for one in anna.rooms if one.bar_id == "MH")
    assert hoop_room.room_mm == pytest.approx(
        math.hypot(200.0, 150.0) - 140.0 - 22.5, abs=0.1
    )  # without padding
    assert one_measure(found, "helmet to hoop", "MH").measured == pytest.approx(87.5)
    assert anna.helmet_line_mm is None
    assert anna.belt_deg is None


def test_how_far_the_cage_reaches(facts):
    marks = {"front_mount": (-300.0, 500.0, 600.0)}
    found = facts(hoop(), landmarks=marks)
    assert (found.extent.front_mm, found.extent.rear_mm) == pytest.approx((-977.5, -1022.5))
    assert (found.extent.front_mount_mm, found.extent.rear_mount_mm) == (-300.0, None)


def test_the_front_foot_against_the_foremost_place_of_its_bar(facts):
    leaning = ((-200.0, 600.0, 900.0), (-240.0, 600.0, 0.0))
    upright = ((-900.0, -600.0, 900.0), (-200.0, -600.0, 800.0), (-200.0, -600.0, 0.0))
    found = facts(
        hoop(),
        bar("SB-L", Role.SIDE_BAR, leaning, None, SHELL),
        bar("SB-R", Role.SIDE_BAR, upright, None, SHELL),
    )
    assert one_measure(found, "foot behind foremost", "SB-L").measured == pytest.approx(40.0)
    assert one_measure(found, "foot behind foremost", "SB-R").measured == pytest.approx(0.0)
    assert measure(facts(bar("SB-L", Role.SIDE_BAR, leaning)), "foot behind foremost", "SB-L") == []


def test_the_width_at_the_shoulders_is_inside_and_level(facts):
    driver = Driver(name="d", shoulder_mm=(-950.0, 250.0, 550.0))
    found = facts(hoop(), drivers=(driver,))
    width = one_measure(found, "width at shoulders", "MH")
    assert (width.measured, width.other) == pytest.approx((1200.0 - 45.0, 1200.0))
    # legs that lean in by 300 over 1100: at 550 the axes stand 600 - 150 from the middle, each half
    # width of the level cut is 22.5 / cos(lean)
    leaning = ((-1000.0, 600.0, 0.0), (-1000.0, 300.0, TOP), (-1000.0, -300.0, TOP), (-1000.0, -600.0, 0.0))
    found = facts(bar("MH", Role.MAIN_HOOP, leaning, SHELL, SHELL, tube=TUBE), drivers=(driver,))
    width = one_measure(found, "width at shoulders", "MH")
    half = 22.5 / math.cos(math.atan2(300.0, TOP))
    assert (width.measured, width.other) == pytest.approx((900.0 - 2.0 * half, 900.0), abs=1e-6)
    above = Driver(name="d", shoulder_mm=(-950.0, 250.0, 1500.0))
    width = one_measure(facts(hoop(), drivers=(above,)), "width at shoulders", "MH")
    assert (width.measured, "shoulder" in width.missing) == (None, True)

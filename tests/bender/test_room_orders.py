"""The search: it takes what works with least handling, and a bigger room never makes it worse."""

import itertools
import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.bars import BendTable
from hoopwright.bender import Feed
from hoopwright.bender.room.obstacles import surroundings
from hoopwright.bender.room.search import MOST_BENDS, find_order
from hoopwright.bender.room.solids import box, post
from hoopwright.bender.room.standing import StandingBender, plain_solids
from hoopwright.bender.room.step_check import BendingTask
from hoopwright.bender.room.steps import check_step
from hoopwright.bender.room.told import clock_words, room_findings, step_lines
from hoopwright.bender.room.turning import nearest_in_turn, turn_findings
from hoopwright.bender.room.ways_out import ways_out
from hoopwright.findings import Severity, UserError

A6 = BendTable(
    straights_mm=(1100.0, 520.0, 700.0), rotations_deg=(0.0, 90.0), angles_deg=(90.0, 45.0), clr_mm=137.5
)
BENDER = StandingBender(name="b", axis_height_mm=900.0, clamp_mm=120.0, ceiling_mm=2400.0)


def task_for(table, bender=BENDER, **changes):
    task = BendingTask(
        name="bar", table=table, od_mm=45.0, kg_per_m=2.62, swings_deg=table.angles_deg,
        clamp_mm=bender.clamp_mm, tail_mm=bender.tail_needed_mm, keep_clear_mm=bender.keep_clear_mm,
    )  # fmt: skip
    return replace(task, **changes)


def every_order(bends):
    for made in itertools.permutations(range(1, bends + 1)):
        for ends in itertools.product("AB", repeat=bends):
            yield tuple(Feed(bend=bend, fed_from=end) for bend, end in zip(made, ends, strict=True))


def works_by_hand(task, bender, feeds):
    head = plain_solids(task.table.clr_mm, bender.axis_height_mm, bender.tilts_deg[0])
    around = surroundings(bender, head, bender.tilts_deg[0])
    return all(
        check_step(task, around, bender.set_ups[0], feed, [one.bend for one in feeds[:place]]).works
        for place, feed in enumerate(feeds)
    )


THREE = BendTable(
    straights_mm=(900.0, 300.0, 250.0, 800.0),
    rotations_deg=(0.0, 95.0, -80.0),
    angles_deg=(80.0, 60.0, 75.0),
    clr_mm=100.0,
)
TIGHT = replace(BENDER, axis_height_mm=700.0, ceiling_mm=1500.0, ahead_mm=1900.0, right_mm=1100.0)


@pytest.mark.parametrize(
    "bender", [TIGHT, replace(TIGHT, right_mm=1300.0), replace(TIGHT, ceiling_mm=1900.0)]
)
def test_the_search_agrees_with_trying_all_48_orders(bender):
    task = task_for(THREE, bender)
    search = find_order(task, bender)
    working = [feeds for feeds in every_order(3) if works_by_hand(task, bender, feeds)]
    assert (search.chosen is not None) == bool(working)
    if search.chosen is None:
        return
    assert search.chosen.feeds in working
    fewest = min(sum(a.fed_from != b.fed_from for a, b in itertools.pairwise(feeds)) for feeds in working)
    assert search.chosen.end_for_end_count == fewest


def test_of_two_orders_that_work_the_lighter_swing_is_chosen():
    """With the leg up both go, and turn the tube by the same; end B swings less tube."""
    anticlockwise = replace(BENDER, swings=("anticlockwise",))
    search = find_order(task_for(A6), anticlockwise)
    assert [order.works for order in search.orders] == [True, True]
    swung = {order.name: order.swung_kg for order in search.orders}
    # by hand: A leading swings 1100, then 1100 + arc of 90 + 520; B leading 700, then 700 + arc of 45 + 520
    arc_mm = 137.5 * math.pi / 2.0
    assert swung["A to B"] == pytest.approx((1100 + 1100 + arc_mm + 520) * 2.62e-3, rel=1e-4)
    assert swung["B to A"] == pytest.approx((700 + 700 + arc_mm / 2.0 + 520) * 2.62e-3, rel=1e-4)
    assert search.chosen.name == "B to A"


def test_a_bender_that_swings_both_ways_takes_the_way_that_goes():
    both = replace(BENDER, swings=("clockwise", "anticlockwise"))
    a_to_b = next(order for order in find_order(task_for(A6), both).orders if order.name == "A to B")
    assert a_to_b.works
    assert a_to_b.steps[1].check.set_up.swings == "anticlockwise"


@pytest.mark.parametrize(
    ("swings", "tilt_deg", "up"),
    [
        ("clockwise", 90.0, True),
        ("anticlockwise", -90.0, True),
        ("clockwise", -90.0, False),
        ("anticlockwise", 90.0, False),
    ],
)
def test_an_upright_bender_swings_the_leg_up_or_down(swings, tilt_deg, up):
    """By hand: a leg of 1100 ends 1100 over or under the die's axis; the tail runs one radius to the other side."""
    upright = replace(
        BENDER, swings=(swings,), tilts_deg=(tilt_deg,), axis_height_mm=1200.0, ceiling_mm=2400.0
    )
    one = BendTable(straights_mm=(1100.0, 400.0), rotations_deg=(0.0,), angles_deg=(90.0,), clr_mm=137.5)
    around = surroundings(upright, (), tilt_deg)
    step = check_step(task_for(one), around, upright.set_ups[0], Feed(bend=1, fed_from="A"), [])
    toward, away = ("ceiling", "floor") if up else ("floor", "ceiling")
    assert step.to(toward).clearance_mm == pytest.approx(1200.0 - 1100.0, abs=0.1)
    assert step.to(away).clearance_mm == pytest.approx(1200.0 - 137.5 - 22.5, abs=0.1)


tables = st.builds(
    lambda straights, rotations, angles: BendTable(
        straights_mm=tuple(straights),
        rotations_deg=(0.0, *rotations),
        angles_deg=tuple(angles),
        clr_mm=137.5,
    ),
    st.lists(st.floats(130.0, 900.0), min_size=4, max_size=4),
    st.lists(st.floats(-179.0, 180.0), min_size=2, max_size=2),
    st.lists(st.floats(5.0, 120.0), min_size=3, max_size=3),
)


@settings(max_examples=12)
@given(
    table=tables,
    right=st.floats(500.0, 1500.0),
    ceiling=st.floats(1300.0, 2200.0),
    more=st.floats(0.0, 900.0),
)
def test_a_bigger_room_never_makes_it_worse(table, right, ceiling, more):
    small = replace(BENDER, right_mm=right, left_mm=1200.0, ceiling_mm=ceiling, behind_mm=3000.0)
    big = replace(
        small,
        right_mm=right + more,
        left_mm=1200.0 + more,
        ceiling_mm=ceiling + more,
        behind_mm=3000.0 + more,
    )
    here, there = (find_order(task_for(table, bender), bender, mixed=False) for bender in (small, big))
    for before, after in zip(here.orders, there.orders, strict=True):
        assert after.works or not before.works
        for one, other in zip(before.steps, after.steps, strict=True):
            near = {c.to: c.clearance_mm for c in one.check.clearances}
            for clearance in other.check.clearances:
                assert (
                    clearance.clearance_mm
                    >= near[clearance.to] - max(0.1, 0.002 * abs(near[clearance.to])) - 1e-6
                )


@settings(max_examples=10)
@given(table=tables)
def test_a_bar_read_from_the_other_end_goes_the_other_way_round(table):
    """Ends exchanged: A to B is then what B to A was."""
    turned = replace(
        table,
        straights_mm=table.straights_mm[::-1],
        angles_deg=table.angles_deg[::-1],
        rotations_deg=(0.0, *table.rotations_deg[:0:-1]),
    )
    room = replace(BENDER, right_mm=1100.0, left_mm=1100.0)
    first, second = (find_order(task_for(one, room), room, mixed=False) for one in (table, turned))
    ones = {order.name: order for order in first.orders}
    others = {order.name: order for order in second.orders}
    for name, other in (("A to B", "B to A"), ("B to A", "A to B")):
        assert ones[name].works == others[other].works
        for step, twin in zip(ones[name].steps, others[other].steps, strict=True):
            there = {c.to: c.clearance_mm for c in twin.check.clearances}
            assert {c.to: c.clearance_mm for c in step.check.clearances} == pytest.approx(
                there, abs=0.3, rel=0.004
            )


def test_what_helps_was_tried_and_does_help():
    """A leg that always hits: each way out is applied by hand and goes."""
    long_leg = replace(A6, straights_mm=(1100.0, 520.0, 1300.0), angles_deg=(90.0, 90.0))
    task = task_for(long_leg)
    search = find_order(task, BENDER, mixed=False)
    assert search.chosen is None
    helpful = [way.what for way in ways_out(task, BENDER, search.orders)]
    assert any("anticlockwise" in way for way in helpful)
    lifts = [float(way.split()[-2]) for way in helpful if way.startswith("lift the bender by")]
    # by hand: end A leading hangs 137.5 + 1100 under the axis; 337.5 is missing, rounded up to 5 mm
    assert lifts[0] == 340.0
    assert find_order(task, BENDER.lifted(340.0), mixed=False).chosen is not None
    assert find_order(task, BENDER.lifted(335.0), mixed=False).chosen is None


def test_moving_the_bender_away_from_a_wall_is_tried_with_all_that_stands_there():
    bender = replace(BENDER, swings=("anticlockwise",), left_mm=1050.0, right_mm=3000.0)
    one = BendTable(straights_mm=(1100.0, 1100.0), rotations_deg=(0.0,), angles_deg=(90.0,), clr_mm=137.5)
    task = task_for(one, bender)
    ways = [way.what for way in ways_out(task, bender, find_order(task, bender).orders)]
    # by hand: after the swing the flat end lies 1100 to the left; 50 are missing, and touching is not clear of it
    assert "move the bender 55 mm away from the wall left" in ways
    blocked = replace(bender, right_mm=60.0)
    assert not any(
        "away from the wall left" in way
        for way in (w.what for w in ways_out(task, blocked, find_order(task, blocked).orders))
    )


def test_the_operators_place_is_warned_of_and_not_refused():
    place = post("operator's place", "operator", (300.0, -600.0, 50.0), diameter_mm=500.0, height_mm=1900.0)
    bender = replace(BENDER, solids=(place,))
    search = find_order(task_for(A6, bender), bender)
    assert search.chosen is not None
    codes = [one.code for one in room_findings(task_for(A6, bender), bender, search, ())]
    assert "ROOM-008" in codes


def test_a_bent_part_that_meets_the_bender_itself_is_refused():
    """A tall box beside the die where the first leg must pass; the straight tube passes it, being held."""
    tall = box("ram", "head", (500.0, 137.5, -100.0), (200.0, 200.0, 100.0))
    bender = replace(BENDER, solids=(tall,))
    search = find_order(task_for(A6, bender), bender)
    b_to_a = next(order for order in search.orders if order.name == "B to A")
    assert b_to_a.steps[0].check.works
    assert b_to_a.steps[0].check.to("ram") is None
    assert not b_to_a.steps[1].check.works
    assert b_to_a.steps[1].check.hits[0].to == "ram"


def test_overbend_swings_farther_than_the_finished_angle():
    bender = replace(BENDER, swings=("anticlockwise",), ceiling_mm=None, right_mm=1000.0)
    one = BendTable(straights_mm=(1100.0, 400.0), rotations_deg=(0.0,), angles_deg=(150.0,), clr_mm=137.5)
    around = surroundings(replace(bender, behind_mm=1000.0), (), 0.0)
    finished, commanded = (
        check_step(
            task_for(one, bender, swings_deg=(swing,)),
            around,
            bender.set_ups[0],
            Feed(bend=1, fed_from="A"),
            [],
        )
        for swing in (150.0, 156.0)
    )
    assert commanded.to("wall behind").clearance_mm < finished.to("wall behind").clearance_mm


@pytest.mark.parametrize(
    ("bends", "code"), [(0, "ROOM-005"), (MOST_BENDS + 1, "ROOM-006"), (400, "ROOM-006")]
)
def test_no_bends_and_hundreds_are_refused(bends, code):
    table = BendTable(
        straights_mm=(200.0,) * (bends + 1),
        rotations_deg=(0.0,) * bends,
        angles_deg=(10.0,) * bends,
        clr_mm=137.5,
    )
    with pytest.raises(UserError) as stopped:
        find_order(task_for(table), BENDER)
    assert [finding.code for finding in stopped.value.findings] == [code]


def test_a_clamp_longer_than_the_bar_is_no_order():
    clamp = replace(BENDER, clamp_mm=3000.0)
    search = find_order(task_for(A6, clamp), clamp)
    assert search.chosen is None
    assert not search.nearest.worst.check.held


def test_words_say_where_the_leg_points():
    assert [clock_words(hour) for hour in (12.0, 6.0, 3.0, 4.5)] == [
        "12 o'clock (up)", "6 o'clock (down)", "3 o'clock (right)", "4:30 o'clock",
    ]  # fmt: skip
    search = find_order(task_for(A6), BENDER)
    said = [" ".join(step_lines(step, name_set_up=False)) for step in search.chosen.steps]
    assert "leg to 6 o'clock (down)" in said[1]
    assert "90.0° clockwise" in said[1]


REACH_MM = math.hypot(1237.5, 22.5)
FLAT_S = BendTable(
    straights_mm=(1100.0, 520.0, 400.0), rotations_deg=(0.0, 180.0), angles_deg=(90.0, 45.0), clr_mm=137.5
)


def a_to_b_of(bender):
    task = task_for(FLAT_S, bender)
    search = find_order(task, bender, mixed=False)
    return task, next(order for order in search.orders if order.name == "A to B")


def test_a_turn_that_meets_the_floor_is_made_the_other_way_round():
    """By hand: half a turn takes the leg through 6 o'clock, 337.5 below the floor, or 12, 262.5 under the ceiling."""
    task, order = a_to_b_of(BENDER)
    (finding,) = turn_findings(task, BENDER, order)
    assert finding.severity is Severity.NOTE
    assert finding.measured == pytest.approx(-337.5, abs=1.0)
    assert "180.0° anticlockwise" in finding.todo


def test_a_turn_that_goes_round_neither_way_is_made_outside_the_bender():
    low = replace(BENDER, ceiling_mm=2000.0)
    task, order = a_to_b_of(low)
    (finding,) = turn_findings(task, low, order)
    assert finding.severity is Severity.WARNING
    assert "Take the tube out" in finding.todo


def test_a_turn_with_room_all_round_is_not_told():
    high = replace(BENDER, axis_height_mm=1400.0, ceiling_mm=None)
    task, order = a_to_b_of(high)
    assert list(turn_findings(task, high, order)) == []


@pytest.mark.parametrize(
    ("turn", "to", "left"),
    [(90.0, "floor", 900.0 - REACH_MM), (-90.0, "ceiling", 1500.0 - REACH_MM)],
)
def test_the_leg_turns_about_the_feed(turn, to, left):
    """By hand: the corner of the flat end goes round at the hypotenuse of 137.5 + 1100 and 22.5."""
    rotation = 90.0 if turn > 0.0 else -90.0
    table = replace(A6, rotations_deg=(0.0, rotation))
    task = task_for(table)
    order = next(one for one in find_order(task, BENDER, mixed=False).orders if one.name == "A to B")
    assert order.steps[1].turn_tube_deg == turn
    found = nearest_in_turn(task, surroundings(BENDER, (), 0.0), order.steps[1], turn)
    assert (found.to, found.part) == (to, 0)
    assert found.clearance_mm == pytest.approx(left, abs=0.1)


def test_a_bent_tail_that_meets_the_straight_that_swings_is_seen():
    """Bend 1 is in the tail and curls forward over the die to where the straight leading end swings."""
    curl = BendTable(
        straights_mm=(700.0, 130.0, 1000.0),
        rotations_deg=(0.0, 180.0),
        angles_deg=(170.0, 160.0),
        clr_mm=100.0,
    )
    bender = replace(BENDER, ceiling_mm=None)
    around = surroundings(bender, (), 0.0)
    step = check_step(task_for(curl, bender), around, bender.set_ups[0], Feed(bend=2, fed_from="B"), [1])
    itself = step.to("the bar itself")
    assert itself is not None
    flat = check_step(task_for(curl, bender), around, bender.set_ups[0], Feed(bend=2, fed_from="B"), [])
    assert flat.to("the bar itself") is None

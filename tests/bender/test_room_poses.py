"""The tube lies in the machine as the bar sheet says that it is turned."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.bars import Bar, BendTable, nodes_from_table
from hoopwright.bender import (
    Feed,
    Machine,
    a_to_b,
    b_to_a,
    listed_order,
    make_bar_sheet,
    middle_outward,
    placeholder_calibration,
)
from hoopwright.bender.room.handling import lie_deg, planned, turn_between_deg
from hoopwright.bender.room.obstacles import surroundings
from hoopwright.bender.room.standing import SetUp, StandingBender
from hoopwright.bender.room.step_check import BendingTask
from hoopwright.bender.room.steps import check_step
from hoopwright.bender.room.tube_parts import lay_tube
from hoopwright.geometry import angle_between_deg, rotation_about
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
TABLE = BendTable(
    straights_mm=(420.0, 300.0, 510.0, 280.0, 390.0),
    rotations_deg=(0.0, 35.0, -120.0, 75.0),
    angles_deg=(40.0, 75.0, 55.0, 90.0),
    clr_mm=137.5,
)
ORDERS = {
    "A to B": a_to_b(4),
    "B to A": b_to_a(4),
    "middle outward": middle_outward(4),
    "mixed": listed_order([(3, "B"), (1, "A"), (2, "A"), (4, "B")], 4),
}
EVERY_ORDER = pytest.mark.parametrize("feeds", ORDERS.values(), ids=ORDERS)
SWINGS = pytest.mark.parametrize("swings", ["clockwise", "anticlockwise"])


def swung(points, laid, angle_deg):
    return points @ rotation_about((0.0, 0.0, 1.0), laid.sense * angle_deg).T


def steps_of(feeds, swings="clockwise", tilt_deg=0.0, table=TABLE):
    bender = StandingBender(
        name="b", axis_height_mm=900.0, clamp_mm=100.0, swings=(swings,), tilts_deg=(tilt_deg,)
    )
    task = BendingTask(
        name="bar", table=table, od_mm=45.0, kg_per_m=2.62, swings_deg=table.angles_deg,
        clamp_mm=100.0, tail_mm=100.0, keep_clear_mm=0.0,
    )  # fmt: skip
    around = surroundings(bender, (), tilt_deg)
    made = [[earlier.bend for earlier in feeds[:place]] for place in range(len(feeds))]
    return planned(
        [check_step(task, around, bender.set_ups[0], feed, m) for feed, m in zip(feeds, made, strict=True)],
        table.rotations_total_deg,
    )


@EVERY_ORDER
@SWINGS
def test_turns_and_clocks_are_those_of_the_bar_sheet(feeds, swings):
    bar = Bar(name="bar", nodes_mm=nodes_from_table(TABLE), clr_mm=137.5, tube=TUBE)
    sheet = make_bar_sheet(
        bar, placeholder_calibration(TUBE, 137.5), bar_id="B", title="bar", order=feeds,
        machine=Machine(name="b", swings=swings, clamp_mm=100.0),
    )  # fmt: skip
    for step, printed in zip(steps_of(feeds, swings), sheet.steps, strict=True):
        assert step.turn_end_for_end == printed.turn_end_for_end
        assert step.turn_from_bend == printed.turn_from_bend
        assert step.turn_tube_deg == (
            None if printed.turn_tube_deg is None else pytest.approx(printed.turn_tube_deg, abs=1e-6)
        )
        assert step.leg_clock == (
            None if printed.leg_clock is None else pytest.approx(printed.leg_clock, abs=1e-6)
        )


@EVERY_ORDER
@SWINGS
def test_turning_the_bent_part_by_the_printed_turn_lays_it_for_the_next_bend(feeds, swings):
    """Swung to its end, turned about the feed and drawn on, each bend's leading side is the next one's."""
    steps = steps_of(feeds, swings)
    for before, after in pairwise(steps):
        if (
            before.check.feed.fed_from != after.check.feed.fed_from
            or after.turn_from_bend != before.check.feed.bend
        ):
            continue
        first = lay_tube(TABLE, before.check.feed, before.check.made, swings=swings)
        second = lay_tube(TABLE, after.check.feed, after.check.made, swings=swings)
        ends = swung(first.lead.ends_mm, first, TABLE.angles_deg[before.check.feed.bend - 1])
        on_feed = np.array([0.0, -first.sense * TABLE.clr_mm, 0.0])
        turned = (ends - on_feed) @ rotation_about((1.0, 0.0, 0.0), after.turn_tube_deg).T + on_feed
        if abs(before.check.feed.bend - after.check.feed.bend) != 1 or not leads(before, after):
            continue
        there = second.lead.ends_mm[-len(turned) :]
        shift = there[0] - turned[0]
        assert shift[1:] == pytest.approx([0.0, 0.0], abs=1e-6)
        assert np.abs(turned + shift - there).max() < 1e-6


def leads(before, after):
    """Whether the bend made before lies on the leading side of the one made after."""
    return (before.check.feed.bend < after.check.feed.bend) == (after.check.feed.fed_from == "A")


@EVERY_ORDER
@SWINGS
@pytest.mark.parametrize("tilt_deg", [0.0, 90.0, -35.0])
def test_the_leg_points_where_the_clock_says(feeds, swings, tilt_deg):
    """The leg beyond the nearest bend on the leading side, measured off the pose in the room."""
    to_machine = rotation_about((1.0, 0.0, 0.0), -tilt_deg)
    for step in steps_of(feeds, swings, tilt_deg):
        if step.leg_clock is None:
            continue
        laid = lay_tube(TABLE, step.check.feed, step.check.made, swings=swings).lead
        bend = laid.parts == 2 * step.turn_from_bend - 1
        after = np.flatnonzero(bend)[-1] + 1
        leg = to_machine @ (laid.ends_mm[after] - laid.starts_mm[after])
        hour = math.degrees(math.atan2(-leg[1], leg[2])) / 30.0
        assert math.remainder(hour - step.leg_clock, 12.0) == pytest.approx(0.0, abs=1e-6)


@EVERY_ORDER
@SWINGS
def test_the_lead_is_turned_from_where_its_bend_lies_as_just_bent(feeds, swings):
    """Also with the reference in the tail: its plane's normal is that of a bend as just bent, turned."""
    for step in steps_of(feeds, swings)[1:]:
        laid = lay_tube(TABLE, step.check.feed, step.check.made, swings=swings)
        part = 2 * step.turn_from_bend - 1
        side, sign = (laid.lead, 1.0) if part in laid.lead.parts else (laid.tail, -1.0)
        arc = np.flatnonzero(side.parts == part)
        first, last = side.ends_mm[arc] - side.starts_mm[arc], side.ends_mm[arc[-1]] - side.starts_mm[arc[-1]]
        normal = sign * np.cross(first[0], last)
        turned = rotation_about((1.0, 0.0, 0.0), step.turn_tube_deg) @ np.array([0.0, 0.0, laid.sense])
        assert angle_between_deg(normal, turned) < 1e-4


@given(
    rotations=st.lists(st.floats(-179.0, 180.0), min_size=3, max_size=3),
    angles=st.lists(st.floats(2.0, 150.0), min_size=4, max_size=4),
    bend=st.integers(1, 4),
    end=st.sampled_from("AB"),
)
def test_lead_and_tail_together_are_the_bar(rotations, angles, bend, end):
    """With every bend made, both sides laid at the end of the swing have the bar's own distances."""
    table = replace(TABLE, rotations_deg=(0.0, *rotations), angles_deg=tuple(angles))
    nodes = np.array(nodes_from_table(table))
    laid = lay_tube(table, Feed(bend=bend, fed_from=end), [1, 2, 3, 4], swings="clockwise")
    lead_tip = swung(laid.lead.ends_mm[-1:], laid, table.angles_deg[bend - 1])[0]
    span = np.linalg.norm(lead_tip - laid.tail.ends_mm[-1])
    assert span == pytest.approx(np.linalg.norm(nodes[-1] - nodes[0]), abs=1e-6)
    tips = (lead_tip, laid.tail.ends_mm[-1]) if end == "A" else (laid.tail.ends_mm[-1], lead_tip)
    corner = np.array([0.0, -laid.sense * table.clr_mm, 0.0])
    beyond = table.clr_mm * math.tan(math.radians(table.angles_deg[bend - 1]) / 2.0)
    node = corner + np.array([beyond, 0.0, 0.0])
    measured = [np.linalg.norm(tip - node) for tip in tips]
    drawn = [np.linalg.norm(nodes[bend] - nodes[0]), np.linalg.norm(nodes[bend] - nodes[-1])]
    assert measured == pytest.approx(drawn, abs=1e-6)


def test_handedness_of_the_whole_bar():
    """A and B told apart and left from right: the triple product of three legs keeps its sign and size."""
    laid = lay_tube(TABLE, Feed(bend=2, fed_from="B"), [1, 2, 3, 4], swings="anticlockwise")
    lead = swung(laid.lead.ends_mm, laid, TABLE.angles_deg[1])
    nodes = np.array(nodes_from_table(TABLE))
    drawn = np.linalg.det(np.stack([nodes[0] - nodes[2], nodes[-1] - nodes[2], nodes[3] - nodes[2]]))
    node = np.array([TABLE.clr_mm * math.tan(math.radians(75.0) / 2.0), -laid.sense * TABLE.clr_mm, 0.0])
    along = lead[0] - lead[1]
    tail_tip, lead_tip = laid.tail.ends_mm[-1], lead[-1]
    third = node - along / np.linalg.norm(along) * np.linalg.norm(nodes[3] - nodes[2])
    laid_out = np.linalg.det(np.stack([tail_tip - node, lead_tip - node, third - node]))
    assert laid_out == pytest.approx(drawn, rel=1e-9)


def test_the_turn_between_two_bends_is_the_difference_of_their_lies():
    level = SetUp(swings="clockwise", tilt_deg=0.0)
    other = SetUp(swings="anticlockwise", tilt_deg=0.0)
    totals = TABLE.rotations_total_deg
    one = Feed(bend=1, fed_from="A")
    assert turn_between_deg((one, level), (one, other), totals) == 180.0
    assert lie_deg(one, SetUp(swings="anticlockwise", tilt_deg=30.0), totals) == pytest.approx(-30.0)

"""A cage gives its bars and their bends to a rule book: each figure is worked out by hand from the nodes."""

import math

import pytest
from tests.jobs.rule_facts.typed import HOOP, ON_MH, SHELL, THIN, TOP, bar, hoop

from hoopwright.bars import BendTable
from hoopwright.cage import Role
from hoopwright.store import AsBentRecord, Project


def test_a_bend_has_the_radius_of_its_calibration_and_a_measured_bar_its_own(facts):
    samples = 'od_mm = 45.0\nwall_mm = 2.5\ndie = "x"\n[[plain]]\nclr_mm = 150.0\n'
    assert {one.clr_mm for one in facts(hoop(), samples=samples).bars[0].bends} == {150.0}
    bent = AsBentRecord(
        bar_id="MH",
        source="tape",
        date="2026-01-01",
        table=BendTable(
            straights_mm=(950.0, 900.0, 950.0),
            rotations_deg=(0.0, 0.0),
            angles_deg=(91.0, 88.5),
            clr_mm=152.0,
        ),
        drawn_nodes_mm=HOOP,
    )
    (mh,) = facts(hoop(), samples=samples, project=Project(name="car", as_bent=(bent,))).bars
    assert [(one.angle_deg, one.clr_mm) for one in mh.bends] == [
        (pytest.approx(91.0), 152.0),
        (pytest.approx(88.5), 152.0),
    ]


def test_nothing_is_known_of_an_empty_project(facts):
    empty = facts()
    assert (empty.bars, empty.feet, empty.joints, empty.drivers, empty.patterns) == (None,) * 5
    assert (empty.openings, empty.extent, empty.holes, empty.gussets) == (None,) * 4
    assert empty.measures == ()


def test_a_bar_with_its_bends_and_its_side(facts):
    backstay = bar("BS-L", Role.BACKSTAY, ((-1000.0, 400.0, TOP), (-1440.0, 370.0, 200.0)), ON_MH, SHELL)
    found = facts(hoop(), backstay, bar("BS-R", Role.BACKSTAY, (), ON_MH, SHELL, mirror_of="BS-L"))
    mh, left, right = found.bars
    assert [one.angle_deg for one in mh.bends] == pytest.approx([90.0, 90.0])
    assert [one.clr_mm for one in mh.bends] == [137.5, 137.5]
    assert (mh.side, left.side, right.side) == ("", "L", "R")
    assert left.down_mm == pytest.approx((-440.0, -30.0, -900.0))
    assert right.down_mm == pytest.approx((-440.0, 30.0, -900.0))
    assert left.length_mm == pytest.approx(math.hypot(440, 30, 900))
    assert left.bends == ()
    # two right angles of 137.5: each cuts 2 x 137.5 off the corner and adds a quarter of the circle
    assert mh.length_mm == pytest.approx(2 * 1100 + 1200 - 4 * 137.5 + math.pi * 137.5)


def test_an_end_typed_the_other_way_round_gives_the_same_vector(facts):
    found = facts(bar("BS-L", Role.BACKSTAY, ((-1440.0, 370.0, 200.0), (-1000.0, 400.0, TOP))))
    assert found.bars[0].down_mm == pytest.approx((-440.0, -30.0, -900.0))


def test_bends_in_the_leg_by_the_middle_of_their_arcs(facts):
    nodes = ((0.0, 500.0, 0.0), (0.0, 500.0, 600.0), (-600.0, 500.0, 600.0), (-600.0, 100.0, 600.0))
    # the first arc runs from 462.5 to 678.5 along the bar, the second begins after 325 more
    for leg_mm, expected in (
        (None, [None, None]),
        (560.0, [False, False]),
        (580.0, [True, False]),
        (1300.0, [True] * 2),
    ):
        found = facts(bar("SB", Role.SIDE_BAR, nodes, leg_mm=leg_mm))
        assert [one.in_leg for one in found.bars[0].bends] == expected
    first, second = found.bars[0].bends
    assert first.side_view_deg == pytest.approx(90.0)
    assert second.side_view_deg is None  # its last straight is seen end on
    assert first.place_mm[1] == 500.0


def test_a_reverse_bend_is_told(facts):
    zig = ((0.0, 0.0, 0.0), (500.0, 0.0, 0.0), (900.0, 0.0, 400.0), (1500.0, 0.0, 400.0))
    assert [one.is_reverse for one in facts(bar("Z", Role.DOOR_BAR, zig)).bars[0].bends] == [False, True]


def test_a_bar_that_cannot_be_bent_has_its_tube_and_no_shape(facts):
    broken = bar("B", Role.DOOR_BAR, ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 100.0, 0.0)), clr_mm=137.5)
    (one,) = facts(broken).bars
    assert (one.tube, one.bends, one.down_mm, one.length_mm) == (THIN, None, None, None)

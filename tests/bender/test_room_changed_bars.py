"""Bars made otherwise so that they go: the nodes stay, and two parts make the whole."""

import numpy as np
import pytest

from hoopwright.bars import BendTable, nodes_from_table
from hoopwright.bender.room.changed_tasks import on_die, parts, short_straights, smaller_die_mm
from hoopwright.bender.room.found import OrderSearch
from hoopwright.bender.room.search import find_order
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.room.step_check import BendingTask
from hoopwright.bender.room.ways_out import ways_out

TABLE = BendTable(
    straights_mm=(420.0, 95.0, 510.0, 280.0),
    rotations_deg=(0.0, 35.0, -120.0),
    angles_deg=(40.0, 75.0, 55.0),
    clr_mm=137.5,
)


def task_for(table):
    return BendingTask(
        name="bar", table=table, od_mm=45.0, kg_per_m=2.62, swings_deg=table.angles_deg,
        clamp_mm=120.0, tail_mm=120.0, keep_clear_mm=0.0,
    )  # fmt: skip


def test_another_die_leaves_the_nodes_where_they_are():
    task = task_for(TABLE)
    smaller = smaller_die_mm(task)
    changed = on_die(task, smaller).table
    assert np.array(nodes_from_table(changed)) == pytest.approx(np.array(nodes_from_table(TABLE)), abs=1e-6)
    assert min(changed.straights_mm) >= 120.0
    assert min(on_die(task, smaller + 0.2).table.straights_mm) < 120.0


def test_no_die_helps_a_short_straight_between_bends_that_are_none():
    flat = BendTable(
        straights_mm=(300.0, 50.0, 300.0), rotations_deg=(0.0, 0.0), angles_deg=(0.0, 0.0), clr_mm=137.5
    )
    task, bender = task_for(flat), StandingBender(name="b", axis_height_mm=900.0, clamp_mm=120.0)
    assert short_straights(task) == [1]
    assert smaller_die_mm(task) is None
    found = find_order(task, bender)
    assert isinstance(found, OrderSearch)
    assert not any("die of radius" in way.what for way in ways_out(task, bender, found.orders))


@pytest.mark.parametrize("straight", [1, 2])
def test_two_parts_have_the_bends_and_the_length_of_the_whole(straight):
    first, second = (part.table for part in parts(task_for(TABLE), straight))
    assert first.angles_deg + second.angles_deg == TABLE.angles_deg
    assert first.developed_mm + second.developed_mm == pytest.approx(TABLE.developed_mm)
    assert first.straights_mm[-1] == second.straights_mm[0] == TABLE.straights_mm[straight] / 2.0
    ends = np.array(nodes_from_table(first))[1:-1], np.array(nodes_from_table(TABLE))[1 : straight + 1]
    assert ends[0] == pytest.approx(ends[1], abs=1e-6)
    inner = [np.linalg.norm(np.diff(np.array(nodes_from_table(t)), axis=0), axis=1) for t in (second, TABLE)]
    assert inner[0][1:] == pytest.approx(inner[1][straight + 1 :])

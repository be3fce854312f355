"""Which tube runs through and which is cut, from the nodes and the order."""

import math
from dataclasses import replace

import pytest

from hoopwright.cage import Cage, End, Member, Role, bars_of
from hoopwright.joints.meet import assembly_order, circles
from hoopwright.joints.meet.met_bars import all_met_bars
from hoopwright.joints.meet.solid_tube import SolidTube
from hoopwright.tubes import TubeSize


def member(name, *nodes, od_mm=38.0, a=None, b=None):
    return Member(
        member_id=name, role=Role.DOOR_BAR, nodes_mm=tuple(tuple(map(float, node)) for node in nodes),
        tube=TubeSize(od_mm=od_mm, wall_mm=2.5), die="d", clr_mm=114.0,
        end_a=End(kind="bar", on=a) if a else End(), end_b=End(kind="bar", on=b) if b else End(),
    )  # fmt: skip


POST = member("P", (0, 0, 0), (0, 0, 1000), od_mm=45.0)
LOW = member("L", (0, 0, 500), (800, 0, 500), a="P")
SLOPED = member("S", (0, 0, 500), (800, 0, 900), a="P")


def met(*members, order=()):
    cage = Cage(members=members)
    solids = {name: SolidTube(bar) for name, bar in bars_of(cage).items()}
    return {(one.bar_id, one.end): one for one in all_met_bars(cage, solids, assembly_order(cage, order))}


def test_a_bar_comes_after_the_bars_that_it_ends_on():
    assert assembly_order(Cage(members=(SLOPED, LOW, POST))) == ("P", "S", "L")
    assert assembly_order(Cage(members=(SLOPED, LOW, POST)), ("P", "L")) == ("P", "L", "S")
    assert assembly_order(Cage(members=(SLOPED, LOW, POST), order=("L",))) == ("L", "P", "S")


def test_the_later_of_two_bars_at_a_node_is_cut_to_both():
    first = met(POST, LOW, SLOPED)
    assert first["L", "A"].further == ()
    assert first["L", "A"].later == ("S",)
    assert (first["S", "A"].main, first["S", "A"].further) == ("P", ("L",))
    turned = met(POST, LOW, SLOPED, order=("P", "S", "L"))
    assert turned["S", "A"].further == ()
    assert turned["L", "A"].further == ("S",)


def test_bars_on_both_sides_of_a_post_do_not_meet():
    other = member("O", (0, 0, 500), (-800, 0, 500), a="P")
    found = met(POST, LOW, other)
    assert all(one.further == one.later == () for one in found.values())


def test_a_bar_that_runs_past_the_node_is_a_header_whatever_the_order():
    past = member("X", (60, -400, 500), (60, 400, 500))
    near = member("X", (36, -400, 500), (36, 400, 500))
    assert met(POST, LOW, past)["L", "A"].further == ()
    assert met(POST, LOW, near)["L", "A"].further == ("X",)


def test_a_bar_far_along_is_no_part_of_the_joint():
    crossing = member("X", (300, -400, 500), (300, 400, 500))
    assert met(POST, LOW, crossing)["L", "A"].further == ()


def test_where_a_bar_comes_clear_is_told():
    found = met(POST, LOW, SLOPED)
    assert found["S", "A"].is_clear
    # heel of equal tubes: OD / 2 / tan(half the angle)
    assert found["S", "A"].clear_mm == pytest.approx(19.0 / math.tan(math.atan2(400.0, 800.0) / 2.0), abs=1.0)
    alongside = member("N", (0, 0, 520), (800, 0, 530), a="P")
    assert not met(POST, LOW, alongside)["N", "A"].is_clear


def test_bars_that_end_on_each_other_are_told():
    ring = (replace(LOW, end_b=End(kind="bar", on="Q")), member("Q", (800, 0, 0), (800, 0, 500), b="L"))
    cage = Cage(members=(POST, *ring))
    assert circles(cage) == (("L", "Q"),)
    found = met(POST, *ring)
    assert found["L", "B"].is_mutual
    assert found["Q", "B"].is_mutual
    assert not found["L", "A"].is_mutual
    assert circles(Cage(members=(POST, LOW, SLOPED))) == ()

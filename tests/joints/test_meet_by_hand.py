"""Ends cut by hand: what the saw is set to, counted from the squared end and the datum line."""

import math

import numpy as np
import pytest

from hoopwright.cage import Cage, End, Member, Role
from hoopwright.joints.meet import ends_of
from hoopwright.joints.meet.hand_cut import hand_cut
from hoopwright.tubes import TubeSize


def member(name, *nodes, od_mm=38.0, a=None, b=None):
    ends = [End(kind="bar", on=on, trim_mm=20.0) if on else End() for on in (a, b)]
    return Member(
        member_id=name, role=Role.DOOR_BAR, nodes_mm=tuple(tuple(map(float, node)) for node in nodes),
        tube=TubeSize(od_mm=od_mm, wall_mm=2.5), die="d", clr_mm=114.0, end_a=ends[0], end_b=ends[1],
    )  # fmt: skip


POST = member("P", (0, 0, 0), (0, 0, 1000), od_mm=45.0)
OTHER = member("Q", (800, 0, 0), (800, 0, 1000), od_mm=45.0)


def test_a_saw_of_the_header_s_own_size_lies_on_its_axis():
    cut = ends_of(Cage(members=(POST, member("B", (0, 0, 300), (500, 0, 600), a="P")))).ends[0]
    by_hand = hand_cut(cut, saws_mm=(38.0, 45.0))
    saw = by_hand.one_saw
    assert saw.saw_mm == 45.0
    assert saw.gap_mm == pytest.approx(0.0, abs=1e-6)
    assert saw.angle_deg == pytest.approx(math.degrees(math.atan2(500, 300)))
    # from the tip back to where the axes cross
    assert saw.along_mm == pytest.approx(-cut.tips[0].inward_mm, abs=1e-3)


@pytest.mark.parametrize(("end", "ends"), [("A", {"a": "P"}), ("B", {"b": "P"})])
@pytest.mark.parametrize("off_mm", [2.0, -2.0])
def test_the_side_of_an_offset_is_the_side_on_which_the_tube_lies(end, ends, off_mm):
    near, far = (0.0, off_mm, 300.0), (500.0, off_mm, 600.0)
    nodes = (near, far) if end == "A" else (far, near)
    cut = ends_of(Cage(members=(POST, member("B", *nodes, **ends)))).ends[0]
    by_hand = hand_cut(cut)
    (toward,) = by_hand.off_toward_deg
    travel = np.subtract(nodes[1], nodes[0]) / np.linalg.norm(np.subtract(nodes[1], nodes[0]))
    turn, side = math.radians(toward), cut.branch.datum
    points_to = math.cos(turn) * side + math.sin(turn) * np.cross(travel, side)
    assert points_to == pytest.approx([0.0, math.copysign(1.0, off_mm), 0.0], abs=1e-9)


def test_two_straight_cuts_of_equal_tubes_leave_nothing():
    cut = ends_of(Cage(members=(POST, member("B", (0, 0, 300), (500, 0, 600), od_mm=45.0, a="P")))).ends[0]
    straight = hand_cut(cut).saw_cuts
    assert straight.left_on_mm == pytest.approx(0.0, abs=1e-6)
    # both pass the tip, at the sides
    assert [one.sides_mm for one in straight.cuts] == pytest.approx([0.0, 0.0], abs=1e-6)
    # mitres of half the angle between the axes, and of the rest to a right angle
    angle = math.degrees(math.atan2(500, 300))
    assert sorted(one.from_square_deg for one in straight.cuts) == pytest.approx(
        sorted([90.0 - angle / 2.0, angle / 2.0])
    )


def test_both_ends_of_a_bar_are_set_from_one_line():
    bar = ends_of(Cage(members=(POST, OTHER, member("B", (0, 0, 300), (800, 0, 600), a="P", b="Q")))).bar("B")
    first, last = (hand_cut(cut) for cut in bar.ends)
    assert first.saws[0].heel_deg == 0.0
    assert last.saws[0].heel_deg == pytest.approx(180.0)
    deep = [max(one.saw_cuts.cuts, key=lambda cut: cut.deepest_mm).clock_deg for one in (first, last)]
    assert deep == pytest.approx([0.0, 180.0], abs=1e-6)


def test_an_end_on_two_headers_says_why_one_saw_does_not_do():
    sloped = member("S", (0, 0, 300), (600, 0, 600), a="P")
    cut = (
        ends_of(Cage(members=(POST, sloped, member("T", (0, 0, 300), (600, 200, 380), a="P"))))
        .bar("T")
        .ends[0]
    )
    by_hand = hand_cut(cut)
    assert by_hand.one_saw is None
    assert [saw.header for saw in by_hand.saws] == ["P", "S"]
    assert all(saw.why_not for saw in by_hand.saws)
    assert by_hand.saw_cuts.left_on_mm > 0.0

"""Ends go along with the bars that they land on."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.cage import (
    Cage,
    End,
    Member,
    Role,
    add_member,
    add_node,
    end_meetings,
    follow,
    free_from_mirror,
    mirror_member,
    move_node,
    replace_member,
)
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
HOOP = (
    (-1500, 610, 0),
    (-1500, 640, 620),
    (-1500, 505, 1085),
    (-1500, -505, 1085),
    (-1500, -640, 620),
    (-1500, -610, 0),
)


def member(name, role, nodes, on_a=None, on_b=None):
    ends = [End(kind="bar", on=on) if on else End(kind="shell") for on in (on_a, on_b)]
    return Member(
        member_id=name,
        role=role,
        nodes_mm=tuple(tuple(float(x) for x in node) for node in nodes),
        tube=TUBE,
        die="45",
        clr_mm=137.5,
        end_a=ends[0],
        end_b=ends[1],
    )


@pytest.fixture
def cage():
    return whole_cage()


def whole_cage():
    made = Cage()
    made = add_member(made, member("MH", Role.MAIN_HOOP, HOOP))
    side = [(-350, 640, 60), (-430, 655, 560), (-880, 525, 1085), (-1500, 380, 1085)]
    made = add_member(made, member("SB-L", Role.SIDE_BAR, side, on_b="MH"))
    made = mirror_member(made, "SB-L", "SB-R")
    screen = np.array(side[2]) + 0.5 * (np.array(side[3]) - np.array(side[2]))
    ends = [screen, screen * [1, -1, 1]]
    made = add_member(made, member("SC", Role.SCREEN_BAR, ends, on_a="SB-L", on_b="SB-R"))
    return add_member(
        made, member("HD", Role.HOOP_DIAGONAL, [(-1500, -300, 1085), (-1500, 625, 310)], on_a="MH", on_b="MH")
    )


def leaned(cage, by_mm):
    hoop = cage.member("MH")
    nodes = tuple((f - by_mm * up / 1085.0, left, up) for f, left, up in hoop.nodes_mm)
    return replace_member(cage, replace(hoop, nodes_mm=nodes))


def test_all_ends_meet_before_the_change(cage):
    assert all(end.meets for end in end_meetings(cage))


@pytest.mark.parametrize("by_mm", [-150.0, 40.0, 200.0])
def test_a_leaned_hoop_takes_along_what_hangs_on_it(cage, by_mm):
    after = leaned(cage, by_mm)
    assert not all(end.meets for end in end_meetings(after))
    followed = follow(cage, after)
    assert all(end.apart_mm < 0.01 for end in end_meetings(followed.cage))
    assert followed.moved == ("SB-L", "SC", "HD")
    assert followed.left == ()
    # the person's own nodes between the ends stay
    assert followed.cage.member("SB-L").nodes_mm[:3] == cage.member("SB-L").nodes_mm[:3]
    assert followed.cage.member("SB-R").mirror_of == "SB-L"


def test_a_symmetric_bar_stays_symmetric(cage):
    screen = np.array(follow(cage, leaned(cage, 100.0)).cage.member("SC").nodes_mm)
    assert screen[0] == pytest.approx(screen[1] * [1, -1, 1], abs=1e-6)


def test_nothing_changed_moves_nothing(cage):
    assert follow(cage, cage).cage == cage


def test_going_back_leads_back(cage):
    there = follow(cage, leaned(cage, 120.0)).cage
    back = follow(there, leaned(there, -120.0)).cage
    for name in ("SB-L", "SC", "HD"):
        assert np.array(back.member(name).nodes_mm) == pytest.approx(
            np.array(cage.member(name).nodes_mm), abs=0.05
        )


def test_an_end_that_was_loose_stays_loose(cage):
    loose = move_node(cage, "HD", 2, (-1500.0, 560.0, 310.0))
    followed = follow(loose, leaned(loose, 100.0))
    assert followed.cage.member("HD").nodes_mm[1] == (-1500.0, 560.0, 310.0)


def test_an_end_put_elsewhere_in_the_same_change_stays_there(cage):
    after = move_node(leaned(cage, 100.0), "HD", 1, (-1580.0, -200.0, 1085.0))
    assert follow(cage, after).cage.member("HD").nodes_mm[0] == (-1580.0, -200.0, 1085.0)


def test_another_number_of_bends_keeps_ends_on_the_axis(cage):
    hoop = cage.member("MH")
    flat = replace(hoop, nodes_mm=(hoop.nodes_mm[0], *hoop.nodes_mm[2:4], hoop.nodes_mm[5]))
    followed = follow(cage, replace_member(cage, flat))
    assert all(end.apart_mm < 0.01 for end in end_meetings(followed.cage))


def test_a_bar_that_could_not_be_bent_stays_and_is_named(cage):
    hoop = cage.member("MH")
    # its end would come within 5 mm of the node before it, where the bend has no room
    beside = replace(hoop, nodes_mm=tuple((f + 620.0, left + 140.0, up) for f, left, up in hoop.nodes_mm))
    followed = follow(cage, replace_member(cage, beside))
    assert "SB-L" in followed.left
    assert followed.cage.member("SB-L") == cage.member("SB-L")


def with_harness(cage):
    """The diagonal runs through; the harness bar is two halves that end on the hoop and on it."""
    middle = np.array([-1500.0, 300.0, 310.0 + (625.0 - 300.0) / 925.0 * 775.0])
    leg = (-1500.0, 610.0 + 30.0 * middle[2] / 620.0, middle[2])
    return add_member(cage, member("HB", Role.HARNESS_BAR, [leg, middle], on_a="MH", on_b="HD"))


def test_a_bar_that_ends_on_a_bar_that_ends_on_the_hoop_goes_along_too(cage):
    crossed = with_harness(cage)
    assert all(end.meets for end in end_meetings(crossed))
    followed = follow(crossed, leaned(crossed, 160.0))
    assert followed.moved == ("SB-L", "SC", "HD", "HB")
    assert all(end.apart_mm < 0.01 for end in end_meetings(followed.cage))


def test_bars_that_end_on_each_other_in_a_circle_come_to_rest(cage):
    crossed = with_harness(cage)
    diagonal = crossed.member("HD")
    harness = np.array(crossed.member("HB").nodes_mm)
    on_harness = tuple(float(x) for x in harness.mean(axis=0))
    circle = replace_member(
        crossed,
        replace(diagonal, nodes_mm=(diagonal.nodes_mm[0], on_harness), end_b=End(kind="bar", on="HB")),
    )
    before = follow(crossed, circle).cage
    followed = follow(before, leaned(before, 60.0))
    # it ends, and no node runs away
    for name in ("HD", "HB"):
        way = np.array(followed.cage.member(name).nodes_mm) - np.array(before.member(name).nodes_mm)
        assert np.abs(way).max() < 120.0


def test_a_node_added_far_from_an_end_leaves_it_where_it_is(cage):
    after = add_node(cage, "MH", 1, (-1500.0, 640.0, 300.0))
    followed = follow(cage, after)
    for end in end_meetings(followed.cage):
        assert end.meets
    # the top of the hoop is as it was, and so are the ends on it
    assert followed.cage.member("SB-L") == cage.member("SB-L")
    assert followed.cage.member("HD").nodes_mm[0] == pytest.approx(cage.member("HD").nodes_mm[0], abs=1e-6)


def test_an_end_at_the_very_end_stays_at_the_end_when_bends_are_added(cage):
    foot = add_member(cage, member("SI", Role.SILL_BAR, [(-350, 640, 60), (-350, 700, 60)], on_a="SB-L"))
    side = foot.member("SB-L")
    nodes = ((-300.0, 640.0, 60.0), (-320.0, 650.0, 300.0), *side.nodes_mm[1:])
    followed = follow(foot, replace_member(foot, replace(side, nodes_mm=nodes)))
    assert followed.cage.member("SI").nodes_mm[0] == pytest.approx((-300.0, 640.0, 60.0), abs=1e-6)


def test_a_bent_screen_bar_between_mirrored_bars_stays_in_its_plane(cage):
    ends = cage.member("SC").nodes_mm
    inner = tuple((f - 20.0, left * 0.5, up + 30.0) for f, left, up in ends)
    bent = replace_member(cage, replace(cage.member("SC"), nodes_mm=(ends[0], *inner, ends[1]), clr_mm=100.0))
    followed = follow(bent, leaned(bent, 150.0))
    assert "SC" in followed.moved
    assert followed.twisted == ()
    assert followed.cage.member("SC").nodes_mm[1:3] == inner


def test_a_bar_that_leaves_its_plane_is_named(cage):
    flat = [(-1500, 300, 1085), (-1500, 200, 700), (-1500, 250, 400), (-1500, 625, 310)]
    bent = add_member(cage, member("XB", Role.ROOF_BAR, flat, on_a="MH", on_b="MH"))
    assert follow(bent, leaned(bent, 100.0)).twisted == ("XB",)


def test_a_mirrored_bar_on_a_freed_one_is_named_and_left_a_mirror(cage):
    door = [(-430, 655, 560), (-1500, 640, 620)]
    on_axis = np.array((-350, 640, 60)) + 0.5 * (np.array((-430, 655, 560)) - np.array((-350, 640, 60)))
    door[0] = tuple(on_axis)
    made = add_member(cage, member("DB-L", Role.DOOR_BAR, door, on_a="SB-L"))
    made = mirror_member(made, "DB-L", "DB-R")
    freed = free_from_mirror(made, "SB-R")
    assert follow(made, freed).parted == ()
    right = freed.member("SB-R")
    shifted = replace(right, nodes_mm=tuple((f, left + 5.0, up) for f, left, up in right.nodes_mm))
    followed = follow(made, replace_member(freed, shifted))
    assert followed.parted == ("DB-R",)
    assert followed.cage.member("DB-R").mirror_of == "DB-L"
    # the screen bar has an end of its own there, which goes along: 5 mm across
    assert np.subtract(
        followed.cage.member("SC").nodes_mm[1], made.member("SC").nodes_mm[1]
    ) == pytest.approx([0.0, 5.0, 0.0], abs=1e-6)


@settings(max_examples=25)
@given(
    st.integers(0, 5),
    st.tuples(*[st.floats(-60.0, 60.0)] * 3),
)
def test_whatever_node_of_the_hoop_moves_ends_meet_or_their_bar_is_named(index, way):
    cage = with_harness(whole_cage())
    hoop = cage.member("MH")
    nodes = [tuple(np.add(node, way)) if i == index else node for i, node in enumerate(hoop.nodes_mm)]
    followed = follow(cage, replace_member(cage, replace(hoop, nodes_mm=tuple(nodes))))
    ends = end_meetings(followed.cage)
    assert {end.bar_id for end in ends if not end.meets} <= {*followed.left, *followed.parted}
    # what has its own nodes is taken onto the axis; a mirror may lie off a one-sided change by what still meets
    own = {one.member_id for one in followed.cage.members if one.mirror_of is None}
    assert {end.bar_id for end in ends if end.bar_id in own and end.apart_mm > 0.01} <= {*followed.left}
    for one in followed.cage.members:
        if one.member_id != "MH":
            assert one.nodes_mm[1:-1] == cage.member(one.member_id).nodes_mm[1:-1]

"""Ends go along with the bars that they land on."""

from dataclasses import replace

import numpy as np
import pytest

from hoopwright.cage import (
    Cage,
    End,
    Member,
    Role,
    add_member,
    end_meetings,
    follow,
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

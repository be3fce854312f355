"""Edits of a cage: each returns another cage, or says why not and changes nothing."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.bars import bend_table
from hoopwright.cage import (
    Cage,
    End,
    Member,
    Role,
    add_member,
    add_node,
    bar_of,
    bars_of,
    free_from_mirror,
    mirror_member,
    move_node,
    remove_member,
    remove_node,
    replace_member,
    side_of,
)
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
SIDE = ((-350.0, 640.0, 60.0), (-430.0, 655.0, 560.0), (-880.0, 525.0, 1125.0), (-1560.0, 505.0, 1150.0))
HOOP = ((-1560.0, 640.0, 0.0), (-1560.0, 505.0, 1085.0), (-1560.0, -505.0, 1085.0), (-1560.0, -640.0, 0.0))


def member(name, nodes=SIDE, role=Role.SIDE_BAR, **more):
    return Member(member_id=name, role=role, nodes_mm=nodes, tube=TUBE, die="45", clr_mm=137.5, **more)


@pytest.fixture
def cage():
    made = add_member(Cage(), member("MH", HOOP, Role.MAIN_HOOP))
    return add_member(made, member("SB-L", end_b=End(kind="bar", on="MH")))


def refused(code, edit, *arguments):
    with pytest.raises(UserError) as stopped:
        edit(*arguments)
    (finding,) = stopped.value.findings
    assert finding.code == code
    assert finding.todo
    return finding


def test_adding_keeps_the_cage_before(cage):
    more = add_member(cage, member("SB-2"))
    assert [m.member_id for m in more.members] == ["MH", "SB-L", "SB-2"]
    assert [m.member_id for m in cage.members] == ["MH", "SB-L"]
    assert "SB-2" in more
    assert "SB-2" not in cage


@pytest.mark.parametrize("name", ["MH", "", "a b", "../x", "-", "thirteen-long", "Ü", "x\n", "a/b", "."])
def test_a_name_that_is_taken_or_none_is_refused(cage, name):
    refused("CAGE-002" if name in cage else "CAGE-009", add_member, cage, member(name))


def test_a_member_that_is_not_there_is_named_with_those_that_are(cage):
    finding = refused("CAGE-001", move_node, cage, "SB-R", 1, (0.0, 0.0, 0.0))
    assert "SB-R" in finding.sentence
    assert "MH" in finding.todo
    assert "SB-L" in finding.todo
    for edit, arguments in (
        (remove_member, ("X",)),
        (remove_node, ("X", 1)),
        (add_node, ("X", 1, (0.0, 0.0, 0.0))),
        (mirror_member, ("X", "Y")),
        (free_from_mirror, ("X",)),
        (bar_of, ("X",)),
        (replace_member, (member("X"),)),
    ):
        refused("CAGE-001", edit, cage, *arguments)


def test_nodes_move_come_and_go_counted_from_1_at_end_a(cage):
    moved = move_node(cage, "SB-L", 2, (-400.0, 660.0, 570.0))
    assert moved.member("SB-L").nodes_mm == (SIDE[0], (-400.0, 660.0, 570.0), *SIDE[2:])
    more = add_node(cage, "SB-L", 1, (1.0, 2.0, 3.0))
    assert more.member("SB-L").nodes_mm == (SIDE[0], (1.0, 2.0, 3.0), *SIDE[1:])
    assert remove_node(more, "SB-L", 2) == cage
    for number in (0, 5, -1):
        refused("CAGE-005", move_node, cage, "SB-L", number, (0.0, 0.0, 0.0))
        refused("CAGE-005", remove_node, cage, "SB-L", number)
    two = add_member(cage, member("S", SIDE[:2]))
    refused("CAGE-005", remove_node, two, "S", 1)


def test_the_mirror_follows_the_bar_that_it_mirrors(cage):
    """Same straights and angles, every rotation with the other sign (design, section 5)."""
    both = mirror_member(cage, "SB-L", "SB-R")
    assert both.member("SB-R").nodes_mm == ()
    left, right = bend_table(bar_of(both, "SB-L")), bend_table(bar_of(both, "SB-R"))
    assert right.straights_mm == pytest.approx(left.straights_mm)
    assert right.angles_deg == pytest.approx(left.angles_deg)
    assert right.rotations_deg[1] == pytest.approx(-left.rotations_deg[1])
    assert left.rotations_deg[1] == pytest.approx(-26.96, abs=0.05)  # acceptance A5
    moved = move_node(both, "SB-L", 1, (-300.0, 600.0, 50.0))
    assert bar_of(moved, "SB-R").nodes_mm[0] == (-300.0, -600.0, 50.0)
    assert [side_of(bar) for bar in bars_of(moved).values()] == ["", "L", "R"]
    assert both.member("SB-R").end_b.on == "MH"


def test_a_mirror_lands_on_the_mirror_of_what_its_twin_lands_on(cage):
    both = mirror_member(cage, "SB-L", "SB-R")
    door = add_member(both, member("DB-L", SIDE[:2], Role.DOOR_BAR, end_a=End(kind="bar", on="SB-L")))
    pair = mirror_member(door, "DB-L", "DB-R")
    assert pair.member("DB-R").end_a.on == "SB-R"


def test_a_mirror_has_no_nodes_of_its_own_until_it_is_freed(cage):
    both = mirror_member(cage, "SB-L", "SB-R")
    refused("CAGE-006", move_node, both, "SB-R", 1, (0.0, 0.0, 0.0))
    refused("CAGE-006", add_node, both, "SB-R", 1, (0.0, 0.0, 0.0))
    refused("CAGE-006", remove_node, both, "SB-R", 1)
    refused("CAGE-006", mirror_member, both, "SB-R", "SB-3")
    refused("CAGE-006", free_from_mirror, both, "SB-L")
    free = free_from_mirror(both, "SB-R")
    assert bar_of(free, "SB-R") == bar_of(both, "SB-R")
    own = move_node(free, "SB-R", 1, (0.0, -600.0, 0.0))
    assert own.member("SB-L") == both.member("SB-L")


def test_what_others_hang_on_cannot_go(cage):
    both = mirror_member(cage, "SB-L", "SB-R")
    finding = refused("CAGE-004", remove_member, both, "MH")
    assert "SB-L" in finding.sentence
    assert "SB-R" in finding.sentence
    refused("CAGE-004", remove_member, both, "SB-L")
    assert remove_member(both, "SB-R") == cage


def test_links_to_nothing_to_itself_or_to_a_mirror_are_refused(cage):
    both = mirror_member(cage, "SB-L", "SB-R")
    for wrong in (
        member("N", end_a=End(kind="bar", on="nobody")),
        member("N", end_b=End(kind="bar", on="N")),
        member("N", (), mirror_of="nobody"),
        member("N", (), mirror_of="SB-R"),
    ):
        refused("CAGE-003", add_member, both, wrong)
    refused("CAGE-003", replace_member, both, replace(both.member("SB-L"), mirror_of="SB-L", nodes_mm=()))
    # a bar that is mirrored cannot become a mirror itself: its own mirror would have no nodes
    refused("CAGE-003", replace_member, both, replace(both.member("SB-L"), mirror_of="MH", nodes_mm=()))


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(1, 6), st.floats(-2000, 2000)), max_size=25))
def test_undo_is_the_cage_before(edits):
    """Whatever is done, every cage on the way stays what it was, so that going back gives it exactly."""
    start = mirror_member(add_member(Cage(), member("SB-L")), "SB-L", "SB-R")
    history, seen = [start], [bars_of(start)]
    for kind, number, value in edits:
        now = history[-1]
        try:
            history.append(
                [
                    lambda now=now, n=number, v=value: move_node(now, "SB-L", n, (v, 600.0, v)),
                    lambda now=now, n=number, v=value: add_node(now, "SB-L", n, (v, 1.0, 2.0)),
                    lambda now=now, n=number: remove_node(now, "SB-L", n),
                    lambda now=now, n=number: mirror_member(now, "SB-L", f"M{n}"),
                ][kind]()
            )
            seen.append(bars_of(history[-1]))
        except UserError:
            assert history[-1] is now
    for cage, bars in zip(history, seen, strict=True):
        assert bars_of(cage) == bars
        for name, bar in bars.items():
            if name != "SB-L":
                assert bar.nodes_mm == tuple((f, -left, u) for f, left, u in bars["SB-L"].nodes_mm)

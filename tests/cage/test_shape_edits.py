"""Tube, die and ends of a bar: its mirror is changed with it, and what cannot be is refused."""

import math

import pytest

from hoopwright.cage import Cage, End, Member, Role, add_member, bar_of, mirror_member
from hoopwright.cage.shape_edits import put_end, put_tube
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
THIN = TubeSize(od_mm=38.0, wall_mm=2.5)


def member(name, nodes, role=Role.SIDE_BAR):
    return Member(member_id=name, role=role, nodes_mm=nodes, tube=TUBE, die="45", clr_mm=137.5)


@pytest.fixture
def cage():
    made = add_member(
        Cage(), member("MH", ((-900.0, 600.0, 0.0), (-900.0, 500.0, 1000.0), (-900.0, -500.0, 1000.0)))
    )
    made = add_member(
        made, member("SB-L", ((-300.0, 600.0, 0.0), (-400.0, 550.0, 900.0), (-900.0, 500.0, 1000.0)))
    )
    made = mirror_member(made, "SB-L", "SB-R")
    made = add_member(made, member("DB-L", ((-320.0, 600.0, 300.0), (-900.0, 570.0, 300.0)), Role.DOOR_BAR))
    return mirror_member(made, "DB-L", "DB-R")


def test_a_tube_is_changed_on_both_sides(cage):
    for asked, other in (("SB-L", "SB-R"), ("SB-R", "SB-L")):
        changed = put_tube(cage, asked, tube=THIN, die="38", clr_mm=114.0)
        for name in (asked, other):
            bar = bar_of(changed, name)
            assert (bar.tube, bar.clr_mm, changed.member(name).die) == (THIN, 114.0, "38")
        assert changed.member("MH") == cage.member("MH")


def test_an_end_lands_on_the_bar_of_its_own_side(cage):
    end = End(kind="bar", on="SB-L", trim_mm=15.0, landing_mm=60.0)
    changed = put_end(cage, "DB-L", "A", end)
    assert changed.member("DB-L").end_a == end
    assert changed.member("DB-R").end_a.on == "SB-R"
    assert changed.member("DB-R").end_a.trim_mm == 15.0
    # asked of the mirror, it is the other way round
    changed = put_end(cage, "DB-R", "B", End(kind="bar", on="SB-R"))
    assert changed.member("DB-L").end_b.on == "SB-L"
    # a bar that spans both sides stays the same for both
    changed = put_end(cage, "DB-L", "B", End(kind="bar", on="MH"))
    assert changed.member("DB-R").end_b.on == "MH"


@pytest.mark.parametrize("bad", [-1.0, 1e6, math.nan])
def test_a_trim_that_cannot_be_is_refused(cage, bad):
    for end in (End(trim_mm=bad), End(landing_mm=bad)):
        with pytest.raises(UserError) as refused:
            put_end(cage, "DB-L", "A", end)
        assert refused.value.findings[0].code == "CAGE-026"


def test_an_end_lands_on_nothing_that_is_not_there(cage):
    for on in ("XX", "DB-L"):
        with pytest.raises(UserError) as refused:
            put_end(cage, "DB-L", "A", End(kind="bar", on=on))
        assert refused.value.findings[0].code in {"CAGE-003", "CAGE-001"}

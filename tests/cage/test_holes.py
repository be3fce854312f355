"""Holes for bars: they are on the axis of their bar, and go where the bar goes."""

import math
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.cage import (
    Cage,
    Hole,
    Member,
    Role,
    add_hole,
    add_member,
    free_from_mirror,
    holes_gone_along,
    holes_of,
    mirror_member,
    move_node,
    remove_hole,
    remove_member,
    usual_hole_mm,
)
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=38.0, wall_mm=2.5)
HOLE = Hole(bar_id="SK-L", place_mm=(300.0, 520.0, 610.0), diameter_mm=48.0, deep_mm=50.0)


@pytest.fixture
def cage() -> Cage:
    link = Member(
        member_id="SK-L",
        role=Role.STRUT_LINK,
        nodes_mm=((0.0, 500.0, 600.0), (1000.0, 500.0, 600.0)),
        tube=TUBE,
        die="38",
        clr_mm=115.0,
    )
    return mirror_member(add_member(Cage(), link), "SK-L", "SK-R")


def test_a_hole_is_laid_onto_the_axis(cage):
    (hole,) = add_hole(cage, HOLE).holes
    assert hole.place_mm == pytest.approx((300.0, 500.0, 600.0))
    assert usual_hole_mm(38.0) == 48.0


def test_the_mirrored_bar_has_the_mirrored_hole(cage):
    left, right = holes_of(add_hole(cage, HOLE))
    assert (left.hole.bar_id, right.hole.bar_id) == ("SK-L", "SK-R")
    assert right.hole.place_mm == pytest.approx(np.array(left.hole.place_mm) * [1, -1, 1])
    assert right.direction == pytest.approx(np.array(left.direction) * [1, -1, 1])
    assert math.hypot(*right.direction) == pytest.approx(1.0)
    assert left.off_mm == right.off_mm == pytest.approx(0.0)


def test_a_hole_goes_along_with_its_bar_and_its_mirror(cage):
    cage = add_hole(cage, HOLE)
    moved = move_node(cage, "SK-L", 2, (1000.0, 500.0, 700.0))
    assert [one.off_mm for one in holes_of(moved)] == pytest.approx([300.0 * math.sin(math.atan(0.1))] * 2)
    gone, went = holes_gone_along(cage, moved)
    assert went == {"SK-L": pytest.approx(300.0 * math.sin(math.atan(0.1)))}
    left, right = holes_of(gone)
    assert left.off_mm == pytest.approx(0.0, abs=1e-9)
    # on the line through (0, 500, 600) that rises one in ten
    assert left.hole.place_mm[2] - 600.0 == pytest.approx(left.hole.place_mm[0] / 10.0)
    assert right.hole.place_mm == pytest.approx(np.array(left.hole.place_mm) * [1, -1, 1])
    assert holes_gone_along(gone, gone) == (gone, {})


def test_a_removed_bar_takes_its_holes_along_and_a_freed_one_keeps_them(cage):
    cage = add_hole(cage, HOLE)
    freed = free_from_mirror(cage, "SK-R")
    assert [hole.bar_id for hole in freed.holes] == ["SK-L", "SK-R"]
    assert holes_of(freed) == holes_of(cage)
    only_right = remove_member(freed, "SK-L")
    assert [one.hole.bar_id for one in holes_of(only_right)] == ["SK-R"]
    assert remove_member(remove_member(cage, "SK-R"), "SK-L").holes == ()


def test_a_hole_is_removed_by_its_number(cage):
    second = replace(HOLE, place_mm=(600.0, 500.0, 600.0))
    cage = add_hole(add_hole(cage, HOLE), second)
    assert [hole.place_mm[0] for hole in remove_hole(cage, "SK-L", 1).holes] == [600.0]
    assert [hole.place_mm[0] for hole in remove_hole(cage, "SK-L", 2).holes] == [300.0]
    for number in (0, 3, -1):
        with pytest.raises(UserError, match="HOLE-002"):
            remove_hole(cage, "SK-L", number)


@pytest.mark.parametrize(
    ("code", "wrong"),
    [
        ("CAGE-001", {"bar_id": "XX"}),
        ("CAGE-006", {"bar_id": "SK-R"}),
        ("HOLE-001", {"diameter_mm": 43.9}),
        ("HOLE-001", {"diameter_mm": math.nan}),
        ("HOLE-001", {"diameter_mm": 1e6}),
        ("HOLE-001", {"deep_mm": 0.0}),
        ("HOLE-001", {"deep_mm": math.inf}),
        ("HOLE-001", {"place_mm": (math.nan, 0.0, 0.0)}),
        ("HOLE-001", {"place_mm": (1e9, 0.0, 0.0)}),
    ],
)
def test_holes_that_cannot_be_are_refused(cage, code, wrong):
    with pytest.raises(UserError, match=code):
        add_hole(cage, replace(HOLE, **wrong))

"""Landings of feet: whose they are, what is refused, and what becomes of them when their bar is changed."""

import math
from dataclasses import replace

import pytest

from hoopwright.cage import (
    Cage,
    End,
    Landing,
    LandingKind,
    Member,
    Role,
    add_member,
    feet_of,
    free_from_mirror,
    landing_at,
    mirror_member,
    put_landing,
    remove_landing,
    remove_member,
)
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize


@pytest.fixture
def cage():
    bar = Member(
        member_id="SB-L",
        role=Role.SIDE_BAR,
        nodes_mm=((0.0, 500.0, 0.0), (0.0, 500.0, 900.0)),
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
        die="45",
        clr_mm=137.5,
        end_a=End(kind="shell"),
    )
    return mirror_member(add_member(Cage(), bar), "SB-L", "SB-R")


PLATE = Landing(bar_id="SB-L", end="A", length_mm=120.0, width_mm=100.0, turn_deg=12.0)


def stops(change):
    with pytest.raises(UserError) as stopped:
        change()
    (found,) = stopped.value.findings
    return found


def test_a_mirrored_bar_has_the_landing_of_its_source(cage):
    landed = put_landing(cage, PLATE)
    assert [(foot.bar_id, foot.end) for foot in feet_of(landed)] == [("SB-L", "A"), ("SB-R", "A")]
    mirrored = landing_at(landed, "SB-R", "A")
    assert mirrored == replace(PLATE, bar_id="SB-R", turn_deg=-12.0)
    assert stops(lambda: put_landing(landed, replace(PLATE, bar_id="SB-R"))).code == "CAGE-006"
    freed = free_from_mirror(landed, "SB-R")
    assert landing_at(freed, "SB-R", "A") == mirrored
    assert landing_at(put_landing(freed, replace(PLATE, length_mm=150.0)), "SB-R", "A") == mirrored


def test_an_end_has_one_landing(cage):
    twice = put_landing(put_landing(cage, PLATE), replace(PLATE, length_mm=150.0))
    assert [landing.length_mm for landing in twice.landings] == [150.0]
    assert remove_landing(twice, "SB-L", "A").landings == ()
    assert stops(lambda: remove_landing(cage, "SB-L", "A")).code == "LAND-003"
    assert stops(lambda: remove_landing(twice, "XX", "A")).code == "CAGE-001"


def test_landings_go_with_their_bar(cage):
    landed = put_landing(cage, PLATE)
    alone = remove_member(landed, "SB-R")
    assert remove_member(alone, "SB-L").landings == ()


def test_an_end_that_stands_on_nothing(cage):
    found = stops(lambda: put_landing(cage, replace(PLATE, end="B")))
    assert found.code == "LAND-002"
    assert "nothing" in found.sentence


@pytest.mark.parametrize(
    ("change", "limit"),
    [
        ({"length_mm": 0.0}, 20.0),
        ({"length_mm": math.nan}, 20.0),
        ({"width_mm": 25_400.0}, 1000.0),
        ({"thickness_mm": 0.125}, 0.8),
        ({"thickness_mm": math.inf}, 20.0),
        ({"turn_deg": 400.0}, 180.0),
        ({"area_mm2": 1.2}, 1.0),
        ({"bolts": -1}, 0.0),
        ({"bolts": 4, "bolt_mm": 0.0}, 4.0),
        ({"k_ratio": 4.47}, 0.6),
        ({"most_folds": 9}, 4.0),
        ({"kind": LandingKind.BOX}, 10.0),
        ({"kind": LandingKind.FOLDED, "turn_deg": 0.0, "wall_mm": 5.0}, 10.0),
    ],
)
def test_numbers_that_cannot_be(cage, change, limit):
    found = stops(lambda: put_landing(cage, replace(PLATE, **change)))
    assert found.code == "LAND-001"
    assert found.limit == limit
    assert found.todo


@pytest.mark.parametrize(
    "change",
    [
        {"height_mm": 50.0},
        {"kind": LandingKind.FOLDED},
        {"kind": LandingKind.FOLDED, "turn_deg": 0.0, "most_folds": 0},
        {"kind": LandingKind.BOX, "height_mm": 60.0, "bolts": 4, "bolt_mm": 8.0},
    ],
)
def test_what_does_not_go_together(cage, change):
    assert stops(lambda: put_landing(cage, replace(PLATE, **change))).code == "LAND-001"

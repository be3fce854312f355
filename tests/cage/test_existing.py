"""Bars that exist in the place of the drawn ones."""

from dataclasses import replace

import numpy as np
import pytest

from hoopwright.cage import (
    Cage,
    End,
    Hole,
    Member,
    Role,
    add_hole,
    add_member,
    aimed_at_existing,
    bar_of,
    holes_of,
    mirror_member,
    touched_by,
    with_existing,
)
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


def member(name, nodes, **keys):
    return Member(
        member_id=name, role=Role.SIDE_BAR, nodes_mm=nodes, tube=TUBE, die="45", clr_mm=137.5, **keys
    )


@pytest.fixture
def cage():
    made = add_member(Cage(), member("MH", ((0.0, 600.0, 0.0), (0.0, 500.0, 1000.0), (0.0, -500.0, 1000.0))))
    on = End(kind="bar", on="MH")
    made = add_member(
        made, member("SB-L", ((900.0, 640.0, 60.0), (500.0, 600.0, 900.0), (0.0, 500.0, 1000.0)), end_b=on)
    )
    made = add_hole(made, Hole(bar_id="SB-L", place_mm=(800.0, 630.0, 270.0), diameter_mm=60.0, deep_mm=20.0))
    return mirror_member(made, "SB-L", "SB-R")


def test_the_mirror_of_a_bent_bar_keeps_its_place_and_its_holes(cage):
    bent = replace(bar_of(cage, "SB-L"), clr_mm=139.0).with_nodes(bar_of(cage, "SB-L").nodes + 3.0)
    made = with_existing(cage, {"SB-L": bent})
    assert bar_of(made, "SB-L") == bent
    assert bar_of(made, "SB-R") == bar_of(cage, "SB-R")
    assert [one.hole.bar_id for one in holes_of(made)] == [one.hole.bar_id for one in holes_of(cage)]


def test_a_bent_mirror_leaves_its_source(cage):
    bent = bar_of(cage, "SB-R").with_nodes(bar_of(cage, "SB-R").nodes - 3.0)
    made = with_existing(cage, {"SB-R": bent})
    assert bar_of(made, "SB-R") == bent
    assert bar_of(made, "SB-L") == bar_of(cage, "SB-L")


def test_a_bar_that_is_not_there_changes_nothing(cage):
    assert with_existing(cage, {"ZZ": bar_of(cage, "MH")}) == cage


def test_what_hangs_on_a_bar(cage):
    assert touched_by(cage, "MH") == ("SB-L", "SB-R")
    assert touched_by(cage, "SB-L") == ("SB-R",)
    assert touched_by(cage, "SB-R") == ("SB-L",)


def test_straight_bars_are_aimed_at_what_exists_and_bent_ones_stay(cage):
    """Ends keep their share of the piece that they land on; a bar on an aimed bar goes along; a mirror by its side."""
    on_hoop, on_low = End(kind="bar", on="MH"), End(kind="bar", on="LOW")
    made = add_member(cage, member("LOW", ((0.0, 550.0, 500.0), (800.0, 600.0, 500.0)), end_a=on_hoop))
    made = add_member(made, member("TOP", ((400.0, 575.0, 500.0), (400.0, 575.0, 900.0)), end_a=on_low))
    made = mirror_member(made, "LOW", "LOW-R")
    drawn = bar_of(made, "MH")
    moved = drawn.with_nodes(drawn.nodes + np.array([6.0, 0.0, 0.0]))
    existing = with_existing(made, {"MH": moved})
    aimed, names = aimed_at_existing(made, existing)
    assert names == ("LOW", "TOP")
    assert bar_of(aimed, "LOW").nodes_mm[0] == pytest.approx((6.0, 550.0, 500.0))
    assert bar_of(aimed, "LOW").nodes_mm[1] == (800.0, 600.0, 500.0)
    low = bar_of(aimed, "LOW").nodes
    assert bar_of(aimed, "TOP").nodes[0] == pytest.approx(low[0] + (low[1] - low[0]) / 2.0, abs=1e-6)
    # LOW-R was drawn as a mirror and lands on nothing of its own: it stays where it was
    assert bar_of(aimed, "LOW-R") == bar_of(made, "LOW-R")
    assert bar_of(aimed, "SB-L") == bar_of(made, "SB-L")
    assert aimed_at_existing(made, with_existing(made, {})) == (made, ())

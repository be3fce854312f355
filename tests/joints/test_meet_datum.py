"""The datum line is one line of the tube: the bend table says where each bend lies round it."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar, bend_table, centreline, mirrored
from hoopwright.geometry import angle_between_deg, wrap_deg
from hoopwright.joints.meet import bend_datum, datum_along, drawn_tube, on_tube_mm
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=38.0, wall_mm=2.5)
TWISTED = ((0, 0, 0), (500, 0, 0), (500, 400, 0), (500, 400, 300), (200, 700, 300))
SIDE = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))


def bar(nodes, clr_mm=100.0):
    return Bar(name="B", nodes_mm=tuple(tuple(map(float, node)) for node in nodes), clr_mm=clr_mm, tube=TUBE)


@pytest.mark.parametrize("nodes", [TWISTED, SIDE], ids=["four legs", "side bar"])
def test_the_outside_of_each_bend_lies_where_the_bend_table_turns_it(nodes):
    datum = bend_datum(bar(nodes))
    totals = bend_table(bar(nodes)).rotations_total_deg
    assert [side.bend for side in datum.bends] == list(range(1, len(totals) + 1))
    for side, total in zip(datum.bends, totals, strict=True):
        assert wrap_deg(side.outside_deg - total) == pytest.approx(0.0, abs=1e-9)
    assert "outside of bend 1" in datum.words


def test_the_line_is_the_same_at_both_ends():
    """Seen from end B the last bend's outside lies where the datum of end B says."""
    made = bar(TWISTED)
    datum, nodes = bend_datum(made), made.nodes
    before, after = nodes[-2] - nodes[-3], nodes[-1] - nodes[-2]
    outside = np.cross(after / np.linalg.norm(after), np.cross(before, after))
    outside *= np.sign(outside @ (nodes[-2] - (nodes[-3] + nodes[-1]) / 2.0))
    assert datum.around_deg("B", outside) == pytest.approx(datum.bends[-1].outside_deg, abs=1e-9)


def test_the_mirrored_bar_turns_the_other_way():
    left, right = bend_datum(bar(SIDE)), bend_datum(mirrored(bar(SIDE), "R"))
    assert [side.outside_deg for side in right.bends] == pytest.approx(
        [-side.outside_deg for side in left.bends], abs=1e-9
    )


def test_a_straight_bar_has_no_outside_and_takes_any_line():
    made = bar(((0, 0, 0), (0, 1000, 0)))
    assert bend_datum(made) is None
    datum = datum_along(made, np.array([0.0, 5.0, 2.0]), "up")
    assert datum.side_a == pytest.approx([0, 0, 1])
    assert datum.side_b == pytest.approx([0, 0, 1])
    # looking along the travel, to the left of the car, clockwise from up is backward
    assert datum.around_deg("A", np.array([1.0, 0.0, 0.0])) == pytest.approx(90.0)


def test_a_bend_whose_plane_is_noise_gives_no_datum():
    made = bar(((0, 0, 0), (500, 0, 0), (1000, 5, 0), (1000, 600, 0)))
    datum = bend_datum(made)
    assert "outside of bend 2" in datum.words
    assert [side.bend for side in datum.bends] == [2]


def test_places_on_the_tube_go_by_the_tube_that_each_bend_uses():
    made = bar(TWISTED)
    path = centreline(made)
    tube = drawn_tube(path, trim_a_mm=15.0, trim_b_mm=20.0)
    assert tube.blank_mm == pytest.approx(path.length_mm + 35.0)
    assert on_tube_mm(tube, path, "A", 30.0) == pytest.approx(45.0)
    assert on_tube_mm(tube, path, "B", 30.0) == pytest.approx(tube.blank_mm - 50.0)
    arcs = sum(bend_table(made).arcs_mm)
    assert arcs == pytest.approx(100.0 * math.radians(3 * 90.0))
    assert angle_between_deg(made.nodes[1] - made.nodes[0], (1.0, 0.0, 0.0)) == 0.0

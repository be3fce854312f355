import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hoopwright.geometry import Arc, FilletedPath, Line, angle_between_deg, fillet_path

RADIUS_MM = 137.5


@st.composite
def paths(draw):
    """Corner points that leave room for every arc, and their path."""
    count = draw(st.integers(2, 6))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    steps = rng.normal(size=(count - 1, 3))
    steps *= (rng.uniform(50.0, 900.0, count - 1) / np.linalg.norm(steps, axis=1))[:, None]
    nodes = np.vstack([[0.0, 0.0, 0.0], np.cumsum(steps, axis=0)])
    try:
        return nodes, fillet_path(nodes, [RADIUS_MM] * (count - 2))
    except ValueError:
        assume(False)
        raise


@given(paths())
def test_position_and_tangent_run_on_where_pieces_meet(made):
    _, path = made
    for before, after in pairwise(path.pieces):
        end = np.array([before.length_mm])
        assert before.at(end)[0] == pytest.approx(after.at(np.zeros(1))[0], abs=1e-8)
        assert before.direction_at(end)[0] == pytest.approx(after.direction_at(np.zeros(1))[0], abs=1e-8)


@given(paths())
def test_directions_are_unit_and_are_the_slope_of_the_positions(made):
    _, path = made
    along = np.linspace(0.0, path.length_mm, 41)[1:-1]
    directions = path.directions_at(along)
    assert np.linalg.norm(directions, axis=1) == pytest.approx(1.0, abs=1e-12)
    slope = (path.at(along + 1e-3) - path.at(along - 1e-3)) / 2e-3
    assert directions == pytest.approx(slope, abs=2e-5)


@given(paths())
def test_length_is_the_length_that_is_walked(made):
    _, path = made
    walked = np.linalg.norm(np.diff(path.at(np.linspace(0.0, path.length_mm, 20001)), axis=0), axis=1).sum()
    assert path.length_mm == pytest.approx(walked, rel=1e-6)


@given(paths())
def test_arc_lengths_and_angles(made):
    nodes, path = made
    legs = np.diff(nodes, axis=0)
    arcs = [piece for piece in path.pieces if isinstance(piece, Arc)]
    assert [arc.angle_deg for arc in arcs] == pytest.approx(
        [angle_between_deg(a, b) for a, b in pairwise(legs)]
    )
    for arc in arcs:
        assert arc.length_mm == pytest.approx(RADIUS_MM * math.radians(arc.angle_deg))
        on_arc = arc.at(np.linspace(0.0, arc.length_mm, 9))
        assert np.linalg.norm(on_arc - arc.centre_mm, axis=1) == pytest.approx(RADIUS_MM)


@given(paths())
def test_straights_lie_on_the_legs_and_the_ends_are_the_end_nodes(made):
    nodes, path = made
    assert path.at(0.0)[0] == pytest.approx(nodes[0], abs=1e-9)
    assert path.at(path.length_mm)[0] == pytest.approx(nodes[-1], abs=1e-8)
    lines = [piece for piece in path.pieces if isinstance(piece, Line)]
    for line, node, leg in zip(lines, nodes[:-1], np.diff(nodes, axis=0), strict=True):
        off = np.cross(line.at(np.array([0.0, line.length_mm])) - node, leg / np.linalg.norm(leg))
        assert np.abs(off).max() < 1e-8


def test_quarter_turn_by_hand():
    path = fillet_path([[0, 0, 0], [300, 0, 0], [300, 400, 0]], [100.0])
    assert path.starts_mm == pytest.approx([0, 200, 200 + 50 * math.pi, 500 + 50 * math.pi])
    assert path.at([200.0 + 25 * math.pi])[0] == pytest.approx(
        [200 + 100 * math.sqrt(0.5), 100 - 100 * math.sqrt(0.5), 0]
    )


def test_beyond_the_ends_the_end_straights_go_on():
    path = fillet_path([[0, 0, 0], [300, 0, 0], [300, 400, 0]], [100.0])
    assert path.at([-50.0])[0] == pytest.approx([-50, 0, 0])
    assert path.at([path.length_mm + 50.0])[0] == pytest.approx([300, 450, 0])


def test_arcs_that_meet_have_a_straight_of_no_length_between_them():
    path = fillet_path([[0, 0, 0], [100, 0, 0], [100, 200, 0], [300, 200, 0]], [100.0, 100.0])
    assert [piece.length_mm for piece in path.pieces] == pytest.approx(
        [0, 50 * math.pi, 0, 50 * math.pi, 100]
    )


def test_even_distances_reach_both_ends_and_keep_the_spacing():
    path = FilletedPath((Line(np.zeros(3), np.array([1.0, 0, 0]), 95.0),))
    assert path.even_distances(10.0) == pytest.approx(np.linspace(0, 95, 11))
    assert path.even_distances(500.0).tolist() == [0.0, 95.0]


@given(st.integers(0, 2**32 - 1))
def test_no_arc_is_laid_where_nodes_are_in_line_but_for_rounding(seed):
    rng = np.random.default_rng(seed)
    start, step = rng.normal(size=3) * 1000.0, rng.normal(size=3)
    path = fillet_path([start, start + 237.1 * step, start + 611.7 * step], [RADIUS_MM])
    assert [type(piece) for piece in path.pieces] == [Line, Line]
    assert path.length_mm == pytest.approx(611.7 * np.linalg.norm(step))


@pytest.mark.parametrize(
    ("nodes", "why"),
    [
        ([[0, 0, 0], [100, 0, 0], [100, 150, 0], [300, 150, 0]], "overlap by 50.000 mm on leg 2"),
        ([[0, 0, 0], [90, 0, 0], [90, 300, 0], [300, 300, 0]], "overlap by 10.000 mm on leg 1"),
        ([[0, 0, 0], [0, 0, 0], [300, 0, 0], [300, 300, 0]], "no direction"),
        ([[0, 0, 0], [500, 0, 0], [0, 0, 0], [0, 500, 0]], "overlap"),
    ],
)
def test_what_cannot_be_is_refused(nodes, why):
    with pytest.raises(ValueError, match=why):
        fillet_path(nodes, [100.0, 100.0])

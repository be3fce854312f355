"""The skin mesh: closed, wound outward, as large as Pappus says, inside and outside by libigl."""

import math
from collections import Counter

import igl
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.bars import Bar, BendTable, centreline, developed_mm, nodes_from_table, skin_mesh
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
NODES = ((-350.0, 640.0, 60.0), (-430.0, 655.0, 560.0), (-880.0, 525.0, 1125.0), (-1560.0, 505.0, 1150.0))
SIDE = Bar(name="SB", nodes_mm=NODES, clr_mm=137.5, tube=TUBE)
# Two bends that meet without a straight, and a node on a straight.
MEETING = Bar(
    name="Z",
    nodes_mm=(
        *[(0.0, 0.0, 0.0), (300.0, 0.0, 0.0), (500.0, 0.0, 0.0)],
        *[(500.0, 200.0, 0.0), (500.0, 200.0, 400.0)],
    ),
    clr_mm=100.0,
    tube=TUBE,
)


def volume_mm3(mesh):
    a, b, c = np.moveaxis(mesh.vertices_mm[mesh.triangles], 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def pappus_mm3(bar):
    """A section swept square to its path holds its area times the way of its centre (Pappus)."""
    return math.pi / 4.0 * bar.tube.od_mm**2 * developed_mm(bar)


@st.composite
def bars(draw):
    count = draw(st.integers(0, 4))
    table = BendTable(
        straights_mm=(*(draw(st.floats(0.0, 500.0)) for _ in range(count)), draw(st.floats(1.0, 500.0))),
        rotations_deg=(0.0, *(draw(st.floats(-180, 180)) for _ in range(count - 1))) if count else (),
        angles_deg=tuple(draw(st.floats(1.5, 170.0)) for _ in range(count)),
        clr_mm=137.5,
    )
    return Bar(name="B", nodes_mm=nodes_from_table(table), clr_mm=137.5, tube=TUBE)


@given(bars(), st.integers(3, 24))
def test_every_edge_is_walked_once_each_way(bar, around):
    mesh = skin_mesh(bar, around=around)
    walked = Counter((int(t[k]), int(t[k - 2])) for t in mesh.triangles for k in range(3))
    assert set(walked.values()) == {1}
    assert all((b, a) in walked for a, b in walked)
    assert np.array_equal(np.unique(mesh.triangles), np.arange(len(mesh.vertices_mm)))


@settings(deadline=None)
@given(bars())
def test_volume_is_that_of_pappus(bar):
    """With 180 points round, the polygon holds 2e-4 less than the circle; outward winding gives plus."""
    mesh = skin_mesh(bar, around=180, arc_step_deg=2.0)
    assert volume_mm3(mesh) == pytest.approx(pappus_mm3(bar), rel=5e-4)


@pytest.mark.parametrize("bar", [SIDE, MEETING], ids=["side bar", "meeting bends"])
def test_volume_comes_nearer_as_the_square_of_the_steps(bar):
    lacks = [
        pappus_mm3(bar) - volume_mm3(skin_mesh(bar, around=around, arc_step_deg=step))
        for around, step in ((32, 6.0), (64, 3.0), (128, 1.5))
    ]
    assert lacks[0] > lacks[1] > lacks[2] > 0.0
    assert lacks[0] / lacks[1] == pytest.approx(4.0, rel=0.1)
    assert lacks[1] / lacks[2] == pytest.approx(4.0, rel=0.1)


@pytest.mark.parametrize("bar", [SIDE, MEETING], ids=["side bar", "meeting bends"])
def test_every_corner_of_the_mesh_lies_on_the_skin(bar):
    mesh = skin_mesh(bar, around=12)
    path = centreline(bar)
    axis = path.at(path.even_distances(0.5))
    for vertex in mesh.vertices_mm[:-2:7]:
        assert np.linalg.norm(axis - vertex, axis=1).min() == pytest.approx(22.5, abs=0.01)


def test_inside_and_outside_by_winding_number():
    """Libigl's generalized winding number: 1 inside a closed outward mesh, 0 outside (Jacobson 2013)."""
    mesh = skin_mesh(SIDE)
    path = centreline(SIDE)
    along = np.linspace(5.0, path.length_mm - 5.0, 60)
    middles, travels = path.at(along), path.directions_at(along)
    rng = np.random.default_rng(2)
    across = np.cross(travels, rng.normal(size=travels.shape))
    across /= np.linalg.norm(across, axis=1)[:, None]
    points = np.concatenate([middles, middles + 21.5 * across, middles + 23.0 * across])
    winding = igl.winding_number(mesh.vertices_mm, mesh.triangles.astype(np.int64), points)
    assert winding[:120] == pytest.approx(1.0, abs=1e-6)
    assert winding[120:] == pytest.approx(0.0, abs=1e-6)


def test_ends_are_flat_and_square():
    mesh = skin_mesh(SIDE, around=16)
    first, last = mesh.vertices_mm[:16], mesh.vertices_mm[-18:-2]
    path = centreline(SIDE)
    for ring, node, along in ((first, NODES[0], 0.0), (last, NODES[-1], path.length_mm)):
        assert np.abs((ring - node) @ path.directions_at(along)[0]).max() < 1e-9
        assert np.linalg.norm(ring - node, axis=1) == pytest.approx(22.5)


@given(st.integers(0, 2**32 - 1))
def test_nodes_in_line_do_not_squash_the_skin(seed):
    rng = np.random.default_rng(seed)
    start, step = rng.normal(size=3) * 1000.0, rng.normal(size=3)
    nodes = [start, start + 237.1 * step, start + 611.7 * step]
    bar = SIDE.with_nodes(nodes)
    off = np.cross(skin_mesh(bar).vertices_mm[:-2] - start, step / np.linalg.norm(step))
    assert np.linalg.norm(off, axis=1) == pytest.approx(22.5, abs=1e-6)

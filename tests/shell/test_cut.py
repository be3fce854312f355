"""Holes cut in sheets whose every distance and area is known."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Transform
from hoopwright.shell.clearance import TubeToMeasure, measure_gaps
from hoopwright.shell.cut import RoundCut, cut_shell, without_edges
from hoopwright.shell.prepared import prepare_scan
from hoopwright.shell.scan import Scan
from hoopwright.shell.shell import make_shell
from hoopwright.tubes import TubeSize

OD_MM, RADIUS_MM = 38.0, 24.0
BAR = Bar(
    name="SK",
    nodes_mm=((-400.0, 0.0, 0.0), (400.0, 0.0, 0.0)),
    clr_mm=115.0,
    tube=TubeSize(od_mm=OD_MM, wall_mm=2.5),
)
CUT = RoundCut(
    name="SK",
    edge_name="the edge of hole 1 for SK",
    place_mm=(0.0, 0.0, 0.0),
    direction=(1.0, 0.0, 0.0),
    radius_mm=RADIUS_MM,
    edge_mm=29.2,
    deep_mm=60.0,
)


def sheet(at_mm, tilt_deg=0.0, pieces=60, half_mm=300.0):
    """A square sheet across the bar: points and triangles."""
    side = np.linspace(-half_mm, half_mm, pieces + 1)
    left, up = np.meshgrid(side, side)
    shift = np.tan(np.radians(tilt_deg)) * up
    points = np.column_stack([(at_mm + shift).ravel(), left.ravel(), up.ravel()])
    i = np.arange(pieces * (pieces + 1)).reshape(pieces, pieces + 1)[:, :-1].ravel()
    quads = [[i, i + 1, i + pieces + 2], [i, i + pieces + 2, i + pieces + 1]]
    return points, np.concatenate([np.stack(quad, axis=1) for quad in quads])


def shell_of(*sheets, cloud=False):
    points, triangles, count = [], [], 0
    for some, faces in sheets:
        points.append(some)
        triangles.append(faces + count)
        count += len(some)
    scan = Scan(
        points=np.concatenate(points).astype(np.float32),
        triangles=np.empty((0, 3), dtype=np.int32) if cloud else np.concatenate(triangles).astype(np.int32),
        offset=np.zeros(3),
        declared_unit="mm",
        declared_by="",
        source_name="sheets",
    )
    return make_shell(prepare_scan(scan, "mm"), Transform.identity("scan", "vehicle"))


def measured(shell, name="SK"):
    path = centreline(BAR)
    (gaps,) = measure_gaps(shell, [TubeToMeasure(name=name, path=path, od_mm=OD_MM)])
    return gaps


def area_of(shell):
    corners = shell.prepared.tree.corners.reshape(-1, 3, 3).astype(np.float64)
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return float(np.linalg.norm(np.cross(one, other), axis=1).sum() / 2.0)


@pytest.mark.parametrize("pieces", [1, 7, 60])
@pytest.mark.parametrize("tilt_deg", [0.0, 25.0, 50.0])
def test_a_hole_in_one_sheet(pieces, tilt_deg):
    """Closed forms: the edge lies one radius from the axis; an ellipse of area pi r^2 / cos is gone."""
    shell = shell_of(sheet(0.7, tilt_deg, pieces))
    before = measured(shell)
    assert len(before.crossings) == 1
    assert before.smallest.gap_mm == pytest.approx(-OD_MM / 2.0, abs=0.8)
    cut = cut_shell(shell, [CUT])
    after = measured(cut.shell)
    assert after.crossings == ()
    (edge,) = after.edges
    assert edge.gap_mm == pytest.approx(RADIUS_MM - OD_MM / 2.0, abs=0.03)
    assert "edge" in edge.region
    # what is no edge lies farther from the axis than the edge does
    assert after.smallest.gap_mm >= 29.2 - OD_MM / 2.0 - 0.001
    gone = math.pi * RADIUS_MM**2 / math.cos(math.radians(tilt_deg))
    ((skin,),) = cut.skins
    assert skin.area_mm2 == pytest.approx(gone, rel=2e-3)
    assert area_of(shell) - area_of(cut.shell) == pytest.approx(gone, rel=2e-3)
    assert len(cut.shell.prepared.tree.corners) == len(cut.shell.prepared.regions.of_triangle)
    assert len(cut.shell.prepared.tree.corners) == len(cut.shell.body.of_triangle)
    # another bar holds the common gap to that edge
    other = measured(cut.shell, "MH")
    assert other.edges == ()
    assert other.smallest.gap_mm == pytest.approx(edge.gap_mm)


def test_the_nearest_metal_is_that_of_the_sheet_less_the_cylinder():
    """Brute force as oracle: distance from random places to a dense sampling of the sheet outside the cylinder."""
    cut = cut_shell(shell_of(sheet(0.0, 20.0)), [CUT]).shell
    random = np.random.default_rng(1)
    places = random.uniform(-60.0, 60.0, (40, 3))
    up, left = (grid.ravel() for grid in np.meshgrid(np.arange(-150, 150, 0.5), np.arange(-150, 150, 0.5)))
    metal = np.column_stack([math.tan(math.radians(20.0)) * up, left, up])
    metal = metal[np.hypot(left, up) >= RADIUS_MM]
    brute = np.array([np.linalg.norm(metal - place, axis=1).min() for place in places])
    assert cut.nearest(places).distance_mm == pytest.approx(brute, abs=0.4)


def test_two_skins_of_a_box_are_both_cut_and_a_third_stays():
    cut = cut_shell(shell_of(sheet(-20.0), sheet(20.0), sheet(110.7)), [CUT])
    (skins,) = cut.skins
    assert [round(skin.along_mm) for skin in skins] == [-20, 20]
    after = measured(cut.shell)
    (crossing,) = after.crossings
    assert crossing.axis_mm[0] == pytest.approx(110.7, abs=0.01)


def test_a_skin_near_the_hole_that_is_not_cut_stays_what_it_is():
    """A strip along the bar, 5 mm off the tube, is no edge of the hole though it lies as near."""
    points, triangles = sheet(0.0, half_mm=25.0, pieces=10)
    strip = np.column_stack([points[:, 1], np.full(len(points), 25.5), points[:, 2]])
    cut = cut_shell(shell_of(sheet(0.0), (strip, triangles)), [CUT])
    after = measured(cut.shell)
    assert after.smallest.gap_mm == pytest.approx(25.5 - OD_MM / 2.0, abs=0.01)
    assert after.smallest.metal_mm[1] == pytest.approx(25.5)
    assert len(cut.skins[0]) == 1


def test_a_hole_beside_the_metal_cuts_nothing():
    shell = shell_of(sheet(150.0))
    cut = cut_shell(shell, [CUT])
    assert cut.skins == ((),)
    assert np.array_equal(cut.shell.prepared.tree.corners, shell.prepared.tree.corners)
    assert measured(cut.shell).smallest == measured(shell).smallest


def test_two_holes_through_one_place_and_edges_taken_off():
    second = RoundCut(
        name="XX",
        edge_name="the edge of hole 1 for XX",
        place_mm=(0.0, 40.0, 0.0),
        direction=(1.0, 0.1, 0.0),
        radius_mm=24.0,
        edge_mm=29.2,
        deep_mm=60.0,
    )
    shell = shell_of(sheet(0.0, 10.0))
    cut = cut_shell(shell, [CUT, second])
    assert [len(skins) for skins in cut.skins] == [1, 1]
    assert set(cut.shell.edges.values()) == {"SK", "XX"}
    assert measured(cut.shell).edges[0].gap_mm == pytest.approx(5.0, abs=0.03)
    wide = without_edges(cut.shell, "SK")
    assert measured(wide).edges == ()
    assert measured(wide).smallest.gap_mm > 5.5 or "XX" in measured(wide).smallest.region
    assert cut_shell(shell, []).shell is shell


def test_points_of_a_cloud_in_the_hole_are_left_out():
    cut = cut_shell(shell_of(sheet(0.0, pieces=200), cloud=True), [CUT])
    ((skin,),) = cut.skins
    assert skin.area_mm2 == 0.0
    after = measured(cut.shell)
    assert RADIUS_MM - OD_MM / 2.0 - 0.05 <= after.edges[0].gap_mm < RADIUS_MM - OD_MM / 2.0 + 3.0


def test_slivers_and_points_of_no_area_are_cut_too():
    line = np.array([[0.0, -200.0, 0.0], [0.0, 200.0, 0.0], [0.0, 0.0, 0.0]])
    cut = cut_shell(shell_of(sheet(0.0), (line, np.array([[0, 1, 2]]))), [CUT])
    after = measured(cut.shell)
    assert after.crossings == ()
    assert min(gap.gap_mm for gap in (*after.edges, *after.regions)) == pytest.approx(5.0, abs=0.03)

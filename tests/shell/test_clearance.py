"""Gaps in a body whose every distance is known, and against a brute-force reference."""

import math

import igl
import numpy as np
import pytest

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Transform
from hoopwright.shell.clearance import measure_gaps
from hoopwright.tubes import TubeSize

# gap of the hoop to each plane alone, worked out in closed form below
ROOF, UPPER, LOWER, CHAMFER = 10.5, 16.6, 18.4, 36.6


def by_plane(gaps):
    """Smallest gap of each flat of the section, by where its metal lies."""
    found = {}
    for gap in gaps.regions:
        _, left, up = gap.metal_mm
        side = "left" if left > 0 else "right"
        flat = (
            "roof" if up > 1117.0 and abs(left) < 499.0
            else "chamfer" if up > 1083.0
            else "upper" if up > 621.0
            else "lower"
        )  # fmt: skip
        key = flat if flat == "roof" else f"{side} {flat}"
        if key not in found or gap.gap_mm < found[key].gap_mm:
            found[key] = gap
    return found


def plane_gap(bar, a, b):
    """Least distance of the densely sampled axis to the line through two (left, up) places, less the tube."""
    points = centreline(bar).at(np.linspace(0.0, centreline(bar).length_mm, 200_001))[:, 1:]
    (al, au), (bl, bu) = a, b
    normal = np.array([au - bu, bl - al]) / math.hypot(bl - al, bu - au)
    return float(np.abs((points - [al, au]) @ normal).min()) - bar.tube.od_mm / 2.0


def check_symmetric(found):
    assert found["roof"].gap_mm == pytest.approx(ROOF, abs=0.3)
    for side in ("left", "right"):
        assert found[f"{side} upper"].gap_mm == pytest.approx(UPPER, abs=0.3)
        assert found[f"{side} lower"].gap_mm == pytest.approx(LOWER, abs=0.3)
        assert found[f"{side} chamfer"].gap_mm == pytest.approx(CHAMFER, abs=0.5)


def test_closed_forms(bodies):
    """The stated figures are the planes' own distances to the true centreline, arcs included."""
    hoop = bodies.hoop()
    assert plane_gap(hoop, (500, 1118), (-500, 1118)) == pytest.approx(ROOF, abs=0.01)
    assert plane_gap(hoop, (680, 620), (556, 1082)) == pytest.approx(UPPER, abs=0.06)
    assert plane_gap(hoop, (680, 0), (680, 620)) == pytest.approx(LOWER, abs=0.06)
    assert plane_gap(hoop, (556, 1082), (500, 1118)) == pytest.approx(CHAMFER, abs=0.06)


@pytest.mark.parametrize("piece_mm", [12.0, 45.0, 200.0])
def test_gaps_per_region_whatever_the_mesh_density(bodies, piece_mm):
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(piece_mm=piece_mm)))
    gaps = measure_gaps(shell, [bodies.tube_along(bodies.hoop())])[0]
    found = by_plane(gaps)
    check_symmetric(found)
    assert len(gaps.regions) == 7
    upper = found["left upper"]
    out = np.array(upper.metal_mm) - upper.axis_mm
    skin = np.array(upper.axis_mm) + out / np.linalg.norm(out) * 22.5
    assert skin[1:] == pytest.approx([656.0, 644.0], abs=6.0)
    assert upper.axis_mm[1:] == pytest.approx([634.0, 639.0], abs=2.0)
    assert upper.axis_mm[0] == -900.0
    assert gaps.smallest is gaps.regions[0]
    assert gaps.smallest.gap_mm == pytest.approx(gaps.gap_mm.min(), abs=1e-9)
    assert (gaps.outside, gaps.unseen, gaps.crossings) == ((), (), ())


def test_the_right_side_6_mm_in(bodies):
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(right_in_mm=6.0)))
    found = by_plane(measure_gaps(shell, [bodies.tube_along(bodies.hoop())])[0])
    assert found["right upper"].gap_mm == pytest.approx(10.8, abs=0.3)
    assert found["right lower"].gap_mm == pytest.approx(12.4, abs=0.3)
    assert found["left upper"].gap_mm == pytest.approx(UPPER, abs=0.3)
    assert found["left lower"].gap_mm == pytest.approx(LOWER, abs=0.3)


def spoilt(bodies, trouble):
    rng = np.random.default_rng(11)
    if trouble == "holes":
        openings = [(-700.0, -500.0, True, 200.0, 400.0), (-1300.0, -1150.0, False, 100.0, 500.0)]
        return bodies.section_soup(piece_mm=20.0, openings=openings)
    soup = bodies.section_soup(piece_mm=20.0)
    if trouble == "flipped faces":
        turned = rng.random(len(soup)) < 0.5
        soup[turned] = soup[turned][:, ::-1]
    if trouble == "doubled vertices":
        # every panel repeated, and corners of neighbours no longer the same bits
        soup = np.concatenate([soup, soup[::3]]) + rng.normal(0.0, 1e-3, (len(soup) + len(soup[::3]), 3, 3))
    if trouble == "loose pieces":
        # panels are not joined, and a few brackets hang free inside, away from the hoop
        gone = rng.random(len(soup)) < 0.02
        gone &= np.abs(soup[:, :, 0].mean(axis=1) + 900.0) > 100.0
        boxes = rng.uniform([-400.0, -200.0, 200.0], [-200.0, 200.0, 500.0], (12, 1, 3))
        soup = np.concatenate([soup[~gone], boxes + rng.normal(0.0, 15.0, (12, 3, 3))])
    if trouble == "degenerate triangles":
        flat = soup[::5].copy()
        flat[:, 2] = flat[:, 1]
        soup = np.concatenate([soup, flat])
    return soup


@pytest.mark.parametrize(
    "trouble", ["flipped faces", "doubled vertices", "loose pieces", "holes", "degenerate triangles"]
)
def test_a_scan_s_faults_do_not_move_the_gaps(bodies, trouble):
    shell = bodies.shell_of(bodies.as_scan(spoilt(bodies, trouble)))
    gaps = measure_gaps(shell, [bodies.tube_along(bodies.hoop())])[0]
    check_symmetric(by_plane(gaps))
    assert gaps.crossings == ()


def test_noise_moves_the_gaps_by_no_more_than_itself(bodies):
    soup = bodies.section_soup(piece_mm=15.0).astype(np.float32)
    points, number = np.unique(soup.reshape(-1, 3), axis=0, return_inverse=True)
    shifts = np.clip(np.random.default_rng(3).normal(0.0, 0.3, points.shape), -0.8, 0.8)
    shell = bodies.shell_of(bodies.as_scan((points + shifts)[number].reshape(-1, 3, 3)))
    found = by_plane(measure_gaps(shell, [bodies.tube_along(bodies.hoop())])[0])
    for flat, wanted in (("roof", ROOF), ("left upper", UPPER), ("right lower", LOWER)):
        assert wanted - 1.5 < found[flat].gap_mm < wanted + 0.3


def test_every_sample_against_libigl(bodies):
    """A tilted bar through a shell that lies askew: each sample, and the least of all, from another library."""
    rng = np.random.default_rng(4)
    turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    turn *= np.sign(np.linalg.det(turn))
    to_vehicle = Transform(
        rotation=turn, shift_mm=np.array([900.0, -70.0, 30.0]), source="scan", target="vehicle"
    )
    soup = to_vehicle.inverse().points(bodies.section_soup(piece_mm=70.0).reshape(-1, 3)).reshape(-1, 3, 3)
    scan = bodies.as_scan(soup)
    shell = bodies.shell_of(scan, to_vehicle)
    bar = Bar(
        name="SB",
        nodes_mm=((-350, 600, 60), (-430, 620, 560), (-880, 480, 1050), (-1560, 450, 1085)),
        clr_mm=137.5,
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
    )
    gaps = measure_gaps(shell, [bodies.tube_along(bar)])[0]
    vertices = to_vehicle.points(scan.points)
    faces = scan.triangles.astype(np.int64)
    squared = np.asarray(igl.point_mesh_squared_distance(gaps.points_mm, vertices, faces)[0]).ravel()
    assert gaps.gap_mm == pytest.approx(np.sqrt(squared) - 22.5, abs=1e-6)
    dense = centreline(bar).at(np.linspace(0.0, centreline(bar).length_mm, 20_000))
    least = np.sqrt(np.asarray(igl.point_mesh_squared_distance(dense, vertices, faces)[0]).min()) - 22.5
    assert gaps.smallest.gap_mm == pytest.approx(least, abs=0.03)


def test_each_region_against_all_its_own_triangles(bodies):
    """The blockwise walk down the tree gives what a plain loop over every region's triangles gives."""
    shell = bodies.shell_of(bodies.as_scan(spoilt(bodies, "loose pieces")))
    tubes = [bodies.tube_along(bodies.hoop(forward)) for forward in (-900.0, -500.0)]
    tubes.append(bodies.straight((-300.0, -500.0, 300.0), (-1500.0, 550.0, 500.0), landing_a_mm=200.0))
    of_triangle, tree = shell.prepared.regions.of_triangle, shell.prepared.tree
    for gaps in measure_gaps(shell, tubes):
        by_name = {gap.region: gap for gap in gaps.regions}
        for region, name in enumerate(shell.region_names):
            own = tree.corners[of_triangle == region].reshape(-1, 3)
            if not len(own):
                continue
            faces = np.arange(len(own)).reshape(-1, 3)
            squared = igl.point_mesh_squared_distance(
                gaps.points_mm[gaps.judged], own.astype(np.float64), faces
            )[0]
            gap = math.sqrt(np.asarray(squared).min()) - gaps.tube.od_mm / 2.0
            if gap < 149.9:
                assert by_name[name].gap_mm == pytest.approx(gap, abs=1e-6)
            elif gap > 150.1:
                assert name not in by_name


def test_many_tubes_at_once_give_what_each_gives_alone(bodies, section_shell):
    tubes = [bodies.tube_along(bodies.hoop(forward)) for forward in (-300.0, -901.0, -1500.0)]
    tubes.append(bodies.straight((-200.0, 0.0, 300.0), (-1600.0, 100.0, 900.0)))
    together = measure_gaps(section_shell, tubes)
    for tube, gaps in zip(tubes, together, strict=True):
        alone = measure_gaps(section_shell, [tube])[0]
        assert np.array_equal(gaps.gap_mm, alone.gap_mm)
        assert gaps.regions == alone.regions
    assert measure_gaps(section_shell, []) == ()


def test_landings_are_measured_but_not_judged(bodies, section_shell):
    """A bar that runs into the left wall at a right angle: its end touches, and only that end."""
    a, b = (-900.0, 0.0, 300.0), (-900.0, 680.0, 300.0)
    plain = measure_gaps(section_shell, [bodies.straight(a, b)])[0]
    assert plain.smallest.gap_mm == pytest.approx(-22.5)
    landed = measure_gaps(section_shell, [bodies.straight(a, b, landing_b_mm=100.0)])[0]
    assert landed.smallest.gap_mm == pytest.approx(77.5, abs=2.1)
    assert landed.gap_mm.min() == pytest.approx(-22.5)
    assert not landed.judged[-1]
    assert landed.judged[0]
    other = measure_gaps(section_shell, [bodies.straight(b, a, landing_b_mm=100.0)])[0]
    assert other.smallest.gap_mm == pytest.approx(-22.5)


@pytest.mark.parametrize("spacing_mm", [2.0, 8.0, 150.0])
def test_the_gap_counts_from_the_very_place_where_a_landing_ends(bodies, section_shell, spacing_mm):
    """Straight at the left wall, 680 mm off: the nearest judged place is where the landing begins, at any spacing."""
    bar = bodies.straight((-900.0, 0.0, 300.0), (-900.0, 680.0, 300.0), landing_a_mm=31.7, landing_b_mm=100.3)
    gaps = measure_gaps(section_shell, [bar], spacing_mm=spacing_mm)[0]
    assert gaps.smallest.gap_mm == pytest.approx(100.3 - 22.5, abs=1e-6)
    assert gaps.smallest.along_mm == pytest.approx(680.0 - 100.3)
    assert gaps.along_mm[gaps.judged][[0, -1]] == pytest.approx([31.7, 680.0 - 100.3])


def test_it_cuts_in_by_as_much_as_it_does(bodies, section_shell):
    bar = bodies.straight((-400.0, 670.0, 300.0), (-1400.0, 670.0, 300.0))
    gaps = measure_gaps(section_shell, [bar])[0]
    assert gaps.smallest.gap_mm == pytest.approx(10.0 - 22.5)
    assert gaps.crossings == ()


def test_a_crossed_skin_is_found_though_both_sides_are_clear(bodies, section_shell):
    """Square through a wall with samples 150 mm apart: each of them is clear of the metal."""
    bar = bodies.straight((-900.0, 305.0, 301.0), (-900.0, 1055.0, 301.0))
    coarse = measure_gaps(section_shell, [bar], spacing_mm=150.0)[0]
    assert coarse.gap_mm.min() > 20.0
    assert len(coarse.crossings) == 1
    crossing = coarse.crossings[0]
    assert crossing.axis_mm == pytest.approx((-900.0, 680.0, 301.0), abs=1e-6)
    assert crossing.along_mm == pytest.approx(375.0)
    assert crossing.gap_mm == -22.5
    assert "wall" in crossing.region
    fine = measure_gaps(section_shell, [bar])[0]
    assert fine.crossings[0].axis_mm == pytest.approx(crossing.axis_mm, abs=1e-6)


def test_a_stretch_outside_the_outline_is_found(bodies, section_shell):
    """The far end lies 375 mm beyond the wall: outside, from 10 mm beyond it on."""
    bar = bodies.straight((-900.0, 305.0, 301.0), (-900.0, 1055.0, 301.0))
    (stretch,) = measure_gaps(section_shell, [bar])[0].outside
    assert stretch.from_mm == pytest.approx(385.0, abs=3.0)
    assert stretch.to_mm == pytest.approx(750.0)
    assert stretch.worst_mm == pytest.approx(375.0, abs=1.0)


def test_out_through_an_opening_without_touching_is_found(bodies):
    openings = [(-1200.0, -600.0, True, 100.0, 560.0)]
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(piece_mm=20.0, openings=openings)))
    bar = bodies.straight((-900.0, 305.0, 331.0), (-900.0, 1055.0, 331.0))
    gaps = measure_gaps(shell, [bar])[0]
    assert gaps.crossings == ()
    assert gaps.gap_mm.min() > 150.0
    (stretch,) = gaps.outside
    assert stretch.worst_mm == pytest.approx(375.0, abs=12.0)
    inside = measure_gaps(shell, [bodies.straight((-900.0, 305.0, 331.0), (-900.0, 560.0, 331.0))])[0]
    assert inside.outside == ()


def test_beyond_the_ends_of_the_car_is_outside(bodies, section_shell):
    """Along the middle and out by the open front: no metal is ever near, and yet it has left the car."""
    bar = bodies.straight((-500.0, 0.0, 500.0), (700.0, 0.0, 500.0))
    gaps = measure_gaps(section_shell, [bar])[0]
    assert gaps.crossings == ()
    (stretch,) = gaps.outside
    assert stretch.to_mm == pytest.approx(1200.0)
    assert stretch.worst_mm == pytest.approx(700.0, abs=20.0)


OPENING = [(-1200.0, -600.0, True, 100.0, 560.0)]


def beside_the_left_wall(bodies):
    return bodies.straight((-200.0, 640.0, 330.0), (-1600.0, 640.0, 330.0))


def check_unseen(gaps):
    (stretch,) = gaps.unseen
    # 40 mm from the wall the fan of rays reaches 23 mm to either side; stretches are told to 20 mm
    assert stretch.from_mm == pytest.approx(400.0, abs=45.0)
    assert stretch.to_mm == pytest.approx(1000.0, abs=45.0)
    assert stretch.place_mm == pytest.approx((-900.0, 640.0, 330.0), abs=40.0)


def test_no_metal_outward_is_unseen_never_free(bodies, section_shell):
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(piece_mm=20.0, openings=OPENING)))
    check_unseen(measure_gaps(shell, [beside_the_left_wall(bodies)])[0])
    assert measure_gaps(section_shell, [beside_the_left_wall(bodies)])[0].unseen == ()


def test_in_a_cloud_too(bodies):
    for openings, expected in ((OPENING, check_unseen), ((), None)):
        corners = bodies.section_soup(piece_mm=8.0, openings=openings).reshape(-1, 3)
        shell = bodies.shell_of(bodies.as_cloud(np.unique(corners.astype(np.float32), axis=0)))
        gaps = measure_gaps(shell, [beside_the_left_wall(bodies)])[0]
        if expected:
            expected(gaps)
        else:
            assert gaps.unseen == ()
        assert gaps.smallest.gap_mm == pytest.approx(17.5, abs=0.8)


def test_a_section_without_any_metal_is_never_free(bodies):
    """Two halves of a car with 600 mm between them that nobody scanned, then with one sill that joins them."""
    for low in (-10.0, 60.0):
        openings = [(-1200.0, -600.0, is_left, low, 1200.0) for is_left in (True, False)]
        shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(piece_mm=20.0, openings=openings)))
        gaps = measure_gaps(shell, [bodies.straight((-200.0, 0.0, 500.0), (-1600.0, 0.0, 500.0))])[0]
        told = gaps.unseen + gaps.outside
        assert any(one.from_mm < 600.0 and one.to_mm > 800.0 for one in told)

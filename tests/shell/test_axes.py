"""Symmetry plane and vehicle axes of a body with known section, in any pose."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from hoopwright.democar import DemoCar, build_demo_scan
from hoopwright.findings import UserError
from hoopwright.geometry import Transform
from hoopwright.shell.axes import propose_axes
from hoopwright.shell.prepared import prepare_scan
from hoopwright.shell.scan import Scan
from hoopwright.shell.shell import make_shell
from hoopwright.shell.symmetry import find_symmetry_planes

INCH = 25.4


def posed(soup, turn, shift_mm):
    return turn.apply(np.asarray(soup).reshape(-1, 3)).reshape(-1, 3, 3) + shift_mm


def roll_then_yaw(roll_deg, yaw_deg):
    return Rotation.from_euler("xz", [roll_deg, yaw_deg], degrees=True)


def check_section(shell, length_mm=1800.0, share=(0.1, 0.5, 0.9)):
    """Walls at left +-680 up to 620 and the roof at 1118, to half a millimetre, anywhere along the car."""
    for forward in (-length_mm * s for s in share):
        middle = np.array([[forward, 0.0, 400.0]])
        for up in (100.0, 400.0, 610.0):
            at = middle * [1.0, 1.0, 0.0] + [0.0, 0.0, up]
            assert shell.first_hits(at, np.array([0.0, 1.0, 0.0])).place_mm[0, 1] == pytest.approx(
                680, abs=0.5
            )
            assert shell.first_hits(at, np.array([0.0, -1.0, 0.0])).place_mm[0, 1] == pytest.approx(
                -680, abs=0.5
            )
        for left in (-450.0, 0.0, 450.0):
            hit = shell.first_hits(middle + np.array([0.0, left, 0.0]), np.array([0.0, 0.0, 1.0]))
            assert hit.place_mm[0, 2] == pytest.approx(1118.0, abs=0.5)


@pytest.mark.slow
def test_in_inches_rolled_yawed_and_shifted(bodies):
    """Acceptance A1: the axes from the symmetry plane and the lower edges, the nose asked for."""
    soup = posed(bodies.section_soup(piece_mm=12.0), roll_then_yaw(2.0, 1.2), [300.0, -200.0, 150.0]) / INCH
    prepared = prepare_scan(bodies.as_scan(soup), "in")
    asked = propose_axes(prepared.tree, prepared.surfels)
    assert not asked.nose_sure  # a plain section looks the same from both ends
    found = propose_axes(prepared.tree, prepared.surfels, nose="+x")
    assert found.nose_sure
    assert found.nose == "+x"
    assert found.up == "+z"
    assert found.up_sure
    assert found.level_rms_deg < 0.05
    assert found.level_area_m2 > 1.0
    assert found.symmetry.rms_mm < 0.1
    assert found.symmetry.matched_share > 0.99
    shell = make_shell(prepared, found.to_vehicle)
    check_section(shell)
    low, high = shell.body_box()
    assert high[0] == pytest.approx(0.0, abs=0.6)
    assert low[0] == pytest.approx(-1800.0, abs=1.0)
    assert low[2] == pytest.approx(0.0, abs=0.5)
    other = propose_axes(prepared.tree, prepared.surfels, nose="-x")
    turned = found.to_vehicle.inverse().then(
        Transform(
            rotation=other.to_vehicle.rotation,
            shift_mm=other.to_vehicle.shift_mm,
            source="scan",
            target="vehicle",
        )
    )
    assert turned.rotation == pytest.approx(np.diag([-1.0, -1.0, 1.0]), abs=1e-6)


@pytest.mark.slow
def test_the_same_scan_gives_the_same_axes(bodies):
    prepared = prepare_scan(bodies.as_scan(bodies.section_soup()), "mm")
    first, again = (propose_axes(prepared.tree, prepared.surfels, seed=4) for _ in range(2))
    assert np.array_equal(first.to_vehicle.rotation, again.to_vehicle.rotation)
    assert np.array_equal(first.to_vehicle.shift_mm, again.to_vehicle.shift_mm)


@pytest.mark.slow
@settings(max_examples=4, deadline=None, derandomize=True)
@given(st.integers(0, 10**6))
def test_any_pose(bodies, seed):
    """Quite another pose each time, upside down too; only the nose is asked for."""
    rng = np.random.default_rng(seed)
    turn = Rotation.random(random_state=seed)
    soup = posed(bodies.section_soup(piece_mm=25.0), turn, rng.uniform(-3000.0, 3000.0, 3))
    prepared = prepare_scan(bodies.as_scan(soup), "mm")
    free = propose_axes(prepared.tree, prepared.surfels)
    found = propose_axes(prepared.tree, prepared.surfels, nose=free.nose, up=free.up)
    made = turn.as_matrix().T @ found.to_vehicle.rotation.T
    # forward may be either end; up and the centre plane may not
    assert abs(made[0, 0]) == pytest.approx(1.0, abs=1e-5)
    assert made[2, 2] == pytest.approx(1.0, abs=1e-5)
    check_section(make_shell(prepared, found.to_vehicle))


def with_floor_and_clutter(soup):
    """A workshop floor 250 mm below the sills, wavy by a millimetre, and things that stand and lie on it."""
    rng = np.random.default_rng(8)
    lines = np.linspace(-3000.0, 3000.0, 121)
    x, y = np.meshgrid(lines * 0.9 - 700.0, lines * 0.7 + 400.0, indexing="ij")
    x += 0.2 * y
    z = -250.0 + rng.normal(0.0, 0.5, x.shape)
    grid = np.stack([x, y, z], axis=-1)
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    floor = np.concatenate([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)]).reshape(-1, 3, 3)
    base = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], dtype=float)
    box = [np.array([base[0], base[1], base[2]]), np.array([base[0], base[2], base[3]])]
    walls = []
    for k in range(4):
        p, q, up = base[k], base[(k + 1) % 4], np.array([0.0, 0.0, 1.0])
        walls += [np.array([p, q, q + up]), np.array([p, q + up, p + up])]
    box = np.array([*box, *(t + np.array([0.0, 0.0, 1.0]) for t in box), *walls])
    cabinet = box * [500.0, 400.0, 900.0] + [-2600.0, 1500.0, -250.0]
    bench = box * [900.0, 300.0, 700.0] + [200.0, -2100.0, -250.0]
    return np.concatenate([soup, floor, cabinet, bench])


@pytest.mark.slow
def test_workshop_floor_and_clutter_do_not_matter(bodies):
    turn = Rotation.from_euler("xyz", [0.4, -0.7, 25.0], degrees=True)
    clean = bodies.section_soup(piece_mm=20.0)
    # on stands: nothing joins the car with the floor
    soup = posed(with_floor_and_clutter(clean), turn, [1000.0, 500.0, 250.0])
    prepared = prepare_scan(bodies.as_scan(soup), "mm")
    found = propose_axes(prepared.tree, prepared.surfels, nose="+x")
    shell = make_shell(prepared, found.to_vehicle)
    check_section(shell)
    low, high = shell.body_box()
    assert low[2] > -20.0
    assert high[1] - low[1] == pytest.approx(1360.0, abs=5.0)


@pytest.mark.slow
def test_standing_on_the_floor(bodies):
    """Four posts join the car to the floor; the car is still told from it."""
    posts = []
    for forward in (-300.0, -1500.0):
        for left in (-600.0, 600.0):
            for dx, dy in ((80.0, 0.0), (0.0, 80.0)):
                a = np.array([forward, left, -250.0])
                b, rise = a + np.array([dx, dy, 0.0]), np.array([0.0, 0.0, 252.0])
                posts += [[a, b, b + rise], [a, b + rise, a + rise]]
    soup = np.concatenate([with_floor_and_clutter(bodies.section_soup(piece_mm=20.0)), np.array(posts)])
    prepared = prepare_scan(bodies.as_scan(posed(soup, roll_then_yaw(1.0, 10.0), [0.0, 0.0, 900.0])), "mm")
    found = propose_axes(prepared.tree, prepared.surfels, nose="+x")
    # left and right are found; which height is zero depends on the posts
    walls = make_shell(prepared, found.to_vehicle)
    roof = walls.first_hits(np.array([[-900.0, 0.0, 700.0]]), np.array([0.0, 0.0, 1.0])).place_mm[0, 2]
    start = np.array([[-900.0, 0.0, roof - 800.0]])
    assert walls.first_hits(start, np.array([0.0, 1.0, 0.0])).place_mm[0, 1] == pytest.approx(680, abs=0.8)
    assert walls.first_hits(start, np.array([0.0, -1.0, 0.0])).place_mm[0, 1] == pytest.approx(-680, abs=0.8)


def irregular(bodies, seed=1):
    """A section with unlike ends, so that only one plane repeats it."""
    soup = bodies.section_soup(piece_mm=30.0)
    rise = np.interp(soup[:, :, 0], [-1800.0, -1200.0, 0.0], [0.0, 0.0, 260.0])
    soup[:, :, 2] *= 1.0 - rise / 1118.0 * (soup[:, :, 2] > 300.0)
    return soup


@pytest.mark.slow
def test_one_half_alone_has_no_symmetry(bodies):
    """The demo car, and all of it right of the centre plane missing."""
    car = build_demo_scan(DemoCar(spacing_mm=30.0))
    left = car.pose.inverse().points(car.triangles.reshape(-1, 3))[:, 1].reshape(-1, 3)
    prepared = prepare_scan(bodies.as_scan(car.triangles[left.min(axis=1) > 60.0]), "mm")
    with pytest.raises(UserError) as stopped:
        propose_axes(prepared.tree, prepared.surfels)
    (finding,) = stopped.value.findings
    assert finding.code == "SCAN-020"
    assert finding.measured < finding.limit
    assert "landmarks" in finding.todo


def test_two_planes_are_told(section_shell):
    """A plain section repeats itself end to end too: the narrow way is taken, and the other one named."""
    found = propose_axes(section_shell.prepared.tree, section_shell.prepared.surfels)
    assert [f.code for f in found.findings] == ["SCAN-022"]
    assert "1360 mm was taken" in found.findings[0].sentence
    width = found.findings[0].sentence.split("lie across ")[1].split()[0]
    assert float(width) == pytest.approx(1800.0, abs=20.0)  # the middle 99 %
    assert abs(found.symmetry.plane.normal[1]) == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize(("asked", "wrong"), [("nose", "+y"), ("nose", "-z"), ("up", "+x"), ("up", "-y")])
def test_an_answer_against_the_shape_is_refused(bodies, section_shell, asked, wrong):
    prepared = section_shell.prepared
    with pytest.raises(UserError) as stopped:
        propose_axes(prepared.tree, prepared.surfels, **{asked: wrong})
    (finding,) = stopped.value.findings
    assert finding.code == "SCAN-021"
    assert wrong in finding.sentence
    assert finding.objects == (wrong,)


@pytest.mark.slow
def test_planes_of_a_car_askew_are_found_to_a_hundredth_of_a_degree(bodies):
    turn = Rotation.from_euler("xyz", [12.0, 33.0, -140.0], degrees=True)
    soup = posed(irregular(bodies), turn, [10.0, 2000.0, -700.0])
    prepared = prepare_scan(bodies.as_scan(soup), "mm")
    best, *others = find_symmetry_planes(prepared.surfels)
    assert all(other.matched_share < 0.9 * best.matched_share for other in others)
    wanted = turn.apply([0.0, 1.0, 0.0])
    cosine = abs(float(best.plane.normal @ wanted))
    assert np.degrees(np.arccos(min(1.0, cosine))) < 0.02
    centre = turn.apply([-900.0, 0.0, 500.0]) + np.array([10.0, 2000.0, -700.0])
    assert abs(float(best.plane.normal @ centre) - best.plane.offset_mm) < 0.1


@pytest.mark.slow
def test_a_cloud_of_the_same_body(bodies):
    rng = np.random.default_rng(2)
    soup = irregular(bodies)
    pick = rng.integers(0, len(soup), 250_000)
    points = (soup[pick] * rng.dirichlet((1, 1, 1), len(pick))[..., None]).sum(axis=1)
    turn = Rotation.from_euler("xyz", [-4.0, 3.0, 70.0], degrees=True)
    cloud = (turn.apply(points + rng.normal(0.0, 0.2, points.shape))).astype(np.float32)
    scan = Scan(
        points=cloud,
        triangles=np.empty((0, 3), dtype=np.int32),
        offset=np.zeros(3),
        declared_unit=None,
        declared_by="",
        source_name="cloud.xyz",
    )
    prepared = prepare_scan(scan, "mm")
    assert prepared.is_cloud
    assert prepared.spacing_mm > 0.5
    found = propose_axes(prepared.tree, prepared.surfels)
    across = turn.apply([0.0, 1.0, 0.0])
    assert abs(float(found.symmetry.plane.normal @ across)) > np.cos(np.radians(0.1))

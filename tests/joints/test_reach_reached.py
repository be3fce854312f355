"""What a torch reaches: closed form under a flat roof, a collision library, and what must not change it."""

import itertools
import math
from dataclasses import replace

import fcl
import numpy as np
import pytest

from hoopwright.bars import Bar, mirrored
from hoopwright.joints.reach.obstacles import rods_apart_mm, rods_of
from hoopwright.joints.reach.reached import reach_of
from hoopwright.joints.reach.seam import WeldSeam, seam_on_bar
from hoopwright.joints.reach.torch import Torch, hold, ways_to_hold
from hoopwright.tubes import TubeSize

ROOF_MM, RADIUS_MM = 1118.0, 22.5
NEEDLE = Torch(
    nozzle_od_mm=12.0,
    nozzle_length_mm=80.0,
    handle_length_mm=0.0,
    neck_deg=0.0,
    stick_out_mm=8.0,
    lean_deg=0.0,
    travel_deg=0.0,
)
NO_BARS = rods_of({})


def bar(name, *nodes, od_mm=45.0):
    return Bar(name=name, nodes_mm=nodes, clr_mm=137.5, tube=TubeSize(od_mm=od_mm, wall_mm=2.5))


def ring(gap_mm, points=720):
    """A seam square round a tube that runs along under the flat roof, its skin a gap below it."""
    around = np.arange(points) * 360.0 / points
    turned = np.radians(around)
    outward = np.stack([np.zeros(points), np.sin(turned), np.cos(turned)], axis=1)
    middle = np.array([-900.0, 0.0, ROOF_MM - RADIUS_MM - gap_mm])
    return WeldSeam(
        name="ring",
        kind="bar",
        bars=("T",),
        end="A",
        around_deg=around,
        points_mm=middle + RADIUS_MM * outward,
        bisectors=outward,
        travels=np.cross(outward, [1.0, 0.0, 0.0]),
        outward=outward,
    )


@pytest.mark.parametrize("gap_mm", [0.5, 10.5, 30.0, 60.5, 90.0])
def test_under_a_flat_roof_it_is_the_closed_form(section_shell, gap_mm):
    """A straight torch held square to the skin, a from the top: blocked while (R + s + L) cos a + r > R + gap."""
    reach = reach_of(ring(gap_mm), NEEDLE, section_shell, NO_BARS)
    far = RADIUS_MM + NEEDLE.stick_out_mm + NEEDLE.nozzle_length_mm
    height = (RADIUS_MM + gap_mm - NEEDLE.nozzle_od_mm / 2.0) / far
    blocked_deg = 2.0 * math.degrees(math.acos(height)) if height < 1.0 else 0.0
    # points are half a degree apart
    assert 360.0 - reach.reached_deg == pytest.approx(blocked_deg, abs=1.01)
    assert {name for name, _ in reach.blockers} <= {"roof, up 1118"}


def test_a_wider_gap_never_reaches_less(section_shell):
    torch = Torch()
    shares = [reach_of(ring(gap, 72), torch, section_shell, NO_BARS).reached for gap in range(2, 140, 8)]
    for less, more in itertools.pairwise(shares):
        assert (more | ~less).all()
    assert shares[0].mean() < shares[-1].mean() == 1.0


def test_more_ways_to_hold_never_reach_less(section_shell):
    """Ways of a stiffer hand are among those of a looser one."""
    stiff = replace(Torch(), lean_deg=0.0, travel_deg=0.0)
    for gap in (10.0, 40.0):
        first = reach_of(ring(gap, 72), stiff, section_shell, NO_BARS).reached
        second = reach_of(ring(gap, 72), Torch(), section_shell, NO_BARS).reached
        assert (second | ~first).all()


def as_fcl(start, end, radius_mm):
    axis = np.asarray(end, dtype=float) - start
    length = float(np.linalg.norm(axis))
    z = axis / length if length > 0.0 else np.array([0.0, 0.0, 1.0])
    x = np.cross(z, np.eye(3)[int(np.argmin(np.abs(z)))])
    x /= np.linalg.norm(x)
    turned = np.stack([x, np.cross(z, x), z], axis=1)
    return fcl.CollisionObject(
        fcl.Capsule(radius_mm, length), fcl.Transform(turned, (np.asarray(start) + end) / 2.0)
    )


def touch(one, other):
    return fcl.collide(one, other, fcl.CollisionRequest(), fcl.CollisionResult()) > 0


def test_a_collision_library_finds_the_same_points_free(bodies, section_shell):
    """Every way, every turn of the handle, against the mesh and a bar as python-fcl has them."""
    corners = np.asarray(bodies.section_soup(), dtype=np.float64)
    model = fcl.BVHModel()
    model.beginModel(3 * len(corners), len(corners))
    model.addSubModel(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3))
    model.endModel()
    mesh = fcl.CollisionObject(model)
    torch = Torch(nozzle_length_mm=50.0)
    header = bar("H", (-900.0, -450.0, 1075.0), (-900.0, 450.0, 1075.0))
    branch = bar("B", (-900.0, 300.0, 1075.0), (-500.0, 250.0, 1060.0), od_mm=38.0)
    other = bar("O", (-860.0, 150.0, 900.0), (-860.0, 420.0, 1050.0), od_mm=38.0)
    seam = seam_on_bar(branch, "A", header, points=36)
    rods = rods_of({"H": header, "B": branch, "O": other})
    found = reach_of(seam, torch, section_shell, rods)
    solids = [mesh, *(as_fcl(*one.nodes_mm, one.tube.od_mm / 2.0 - 0.3) for one in (header, branch, other))]
    free = np.zeros(len(seam.points_mm), dtype=bool)
    for way in ways_to_hold(torch):
        poses = hold(torch, seam.points_mm, seam.bisectors, seam.travels, lean_deg=way[0], travel_deg=way[1])
        for k in np.flatnonzero(~free):
            nozzle = as_fcl(poses.nozzle_from_mm[k], poses.nozzle_to_mm[k], torch.radii_mm[0])
            wire = as_fcl(seam.points_mm[k], poses.nozzle_from_mm[k], 0.05)
            if any(touch(nozzle, solid) for solid in solids) or touch(wire, mesh) or touch(wire, solids[3]):
                continue
            free[k] = any(
                not any(
                    touch(as_fcl(poses.nozzle_to_mm[k], end[k], torch.radii_mm[1]), solid) for solid in solids
                )
                for end in poses.handles_to_mm
            )
    assert (free == found.reached).all()
    assert 0.2 < free.mean() < 0.95


def test_a_mirrored_joint_reaches_the_same(section_shell):
    header = bar("H", (-900.0, -450.0, 1080.0), (-900.0, 450.0, 1080.0))
    branch = bar("B", (-900.0, 320.0, 1080.0), (-400.0, 420.0, 1000.0), od_mm=38.0)
    here = reach_of(
        seam_on_bar(branch, "A", header), Torch(), section_shell, rods_of({"H": header, "B": branch})
    )
    twins = {"H": mirrored(header, "H"), "B": mirrored(branch, "B")}
    there = reach_of(seam_on_bar(twins["B"], "A", twins["H"]), Torch(), section_shell, rods_of(twins))
    assert there.share == pytest.approx(here.share, abs=1.5 / 72)
    assert 0.3 < here.share < 1.0
    assert [name.replace("right", "left") for name, _ in there.blockers] == [
        name for name, _ in here.blockers
    ]


def test_another_bar_in_the_way_is_named_and_what_it_covers_does_not_count(section_shell):
    header = bar("H", (-900.0, -400.0, 600.0), (-900.0, 400.0, 600.0))
    branch = bar("B", (-900.0, 0.0, 600.0), (-500.0, 0.0, 600.0), od_mm=38.0)
    near = bar("N", (-860.0, -400.0, 640.0), (-860.0, 400.0, 640.0), od_mm=38.0)
    alone = reach_of(
        seam_on_bar(branch, "A", header), Torch(), section_shell, rods_of({"H": header, "B": branch})
    )
    assert alone.is_whole
    assert not alone.covered.any()
    bars = {"H": header, "B": branch, "N": near}
    blocked = reach_of(seam_on_bar(branch, "A", header), Torch(), section_shell, rods_of(bars))
    assert blocked.blockers[0][0] == "N"
    assert not blocked.is_whole
    before = reach_of(
        seam_on_bar(branch, "A", header), Torch(), section_shell, rods_of(bars), without=frozenset({"N"})
    )
    assert (before.reached == alone.reached).all()
    twin = bar("N", (-900.0, 25.0, 600.0), (-500.0, 60.0, 600.0), od_mm=38.0)
    beside = reach_of(
        seam_on_bar(branch, "A", header),
        Torch(),
        section_shell,
        rods_of({"H": header, "B": branch, "N": twin}),
    )
    assert beside.covered.any()
    assert not (beside.covered & beside.reached).any()


def test_stretches_out_of_reach_go_round_the_heel(section_shell):
    reach = reach_of(ring(10.5), NEEDLE, section_shell, NO_BARS)
    ((low, high),) = reach.unreached_deg
    assert low > 180.0
    assert high > 360.0
    assert high - low == pytest.approx(360.0 - reach.reached_deg, abs=1e-6)
    # the top is the middle of what is out of reach
    assert (low + high) / 2.0 == pytest.approx(360.0, abs=0.5)


def test_pieces_of_line_are_as_far_apart_as_dense_points_on_them():
    rng = np.random.default_rng(4)
    a, b, p, q = rng.uniform(-50.0, 50.0, (4, 12, 3))
    q[3], b[5] = p[3], a[5]
    found = rods_apart_mm(a, b, p, q)
    share = np.linspace(0.0, 1.0, 301)[:, None]
    for i in range(12):
        for j in range(12):
            one, two = a[i] + share * (b[i] - a[i]), p[j] + share * (q[j] - p[j])
            dense = np.linalg.norm(one[:, None] - two[None], axis=2).min()
            assert dense - 0.35 <= found[i, j] <= dense + 1e-9

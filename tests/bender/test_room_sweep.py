"""The sweep against the Flexible Collision Library (J. Pan, S. Chitta, D. Manocha, ICRA 2012), and invariants."""

import math
from dataclasses import replace

import fcl
import numpy as np
import pytest

from hoopwright.bars import BendTable
from hoopwright.bender import Feed
from hoopwright.bender.room.fields import FLAT, ROUND
from hoopwright.bender.room.moving import clearances_at
from hoopwright.bender.room.obstacles import surroundings
from hoopwright.bender.room.solids import BENDERS_OWN, box, post, rail
from hoopwright.bender.room.standing import StandingBender, plain_solids
from hoopwright.bender.room.step_check import BAR_ITSELF, BendingTask
from hoopwright.bender.room.steps import check_step, moving_tube
from hoopwright.bender.room.sweep import CLOSE_MM, CLOSE_SHARE
from hoopwright.bender.room.tube_parts import ARC_STEP_DEG, lay_tube

OD_MM = 45.0
STANDS_OFF = 1.0 - math.cos(math.radians(ARC_STEP_DEG / 2.0))
"""How far an arc of radius 1 stands off its chords; bends are taken that much thicker."""


def random_case(seed):
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 5))
    table = BendTable(
        straights_mm=tuple(rng.uniform(120.0, 900.0, count + 1)),
        rotations_deg=(0.0, *rng.uniform(-180.0, 180.0, count - 1)),
        angles_deg=tuple(rng.uniform(10.0, 120.0, count)),
        clr_mm=float(rng.uniform(80.0, 200.0)),
    )
    swings = str(rng.choice(["clockwise", "anticlockwise"]))
    solids = (
        box(
            "bench", "room", tuple(rng.uniform(-900, 900, 3)), tuple(rng.uniform(50, 500, 3)), turned_deg=33.0
        ),
        post(
            "post",
            "room",
            tuple(rng.uniform(-900, 900, 3)),
            diameter_mm=150.0,
            height_mm=float(rng.uniform(99, 2000)),
        ),
        rail(
            "rail", "room", tuple(rng.uniform(-900, 900, 3)), tuple(rng.uniform(-900, 900, 3)), radius_mm=30.0
        ),
    )
    bender = StandingBender(
        name="b", axis_height_mm=float(rng.uniform(400, 1200)), clamp_mm=100.0, swings=(swings,),
        tilts_deg=(float(rng.choice([0.0, 90.0, -90.0, 25.0])),), ceiling_mm=2300.0,
        ahead_mm=float(rng.uniform(300, 2500)), left_mm=float(rng.uniform(300, 2500)), solids=solids,
    )  # fmt: skip
    feed = Feed(bend=int(rng.integers(1, count + 1)), fed_from=str(rng.choice(["A", "B"])))
    made = [bend for bend in range(1, count + 1) if bend != feed.bend and rng.random() < 0.6]
    return table, bender, feed, made


def task_for(table, **changes):
    task = BendingTask(
        name="bar", table=table, od_mm=OD_MM, kg_per_m=2.62, swings_deg=table.angles_deg,
        clamp_mm=100.0, tail_mm=100.0, keep_clear_mm=0.0,
    )  # fmt: skip
    return replace(task, **changes)


def around_it(table, bender):
    tilt_deg = bender.tilts_deg[0]
    return surroundings(bender, plain_solids(table.clr_mm, bender.axis_height_mm, tilt_deg), tilt_deg)


def checked(table, bender, feed, made):
    around = surroundings(
        bender, plain_solids(table.clr_mm, bender.axis_height_mm, bender.tilts_deg[0]), bender.tilts_deg[0]
    )
    return around, check_step(task_for(table), around, bender.set_ups[0], feed, made)


def placed(shape, axes, middle):
    return fcl.CollisionObject(shape, fcl.Transform(np.ascontiguousarray(axes.T), np.array(middle)))


def as_fcl(obstacles, k):
    """An obstacle as the library's own shape; a half-space as a very large box behind its face."""
    axes, middle, half = obstacles.axes[k], obstacles.middles_mm[k], obstacles.halves_mm[k]
    if obstacles.kinds[k] == FLAT:
        deep = 20_000.0
        return placed(fcl.Box(2 * deep, 2 * deep, deep), axes, middle - axes[2] * deep / 2.0)
    if obstacles.kinds[k] == ROUND:
        return placed(fcl.Cylinder(half[0], 2.0 * half[2]), axes, middle)
    if obstacles.rounded_mm[k] > 0.0:
        return placed(fcl.Capsule(obstacles.rounded_mm[k], 2.0 * half[2]), axes, middle)
    return placed(fcl.Box(*(2.0 * half)), axes, middle)


def tube_piece(start, end, shape):
    z = (end - start) / np.linalg.norm(end - start)
    x = np.cross(z, np.eye(3)[np.argmin(np.abs(z))])
    x /= np.linalg.norm(x)
    return placed(
        shape(OD_MM / 2.0, float(np.linalg.norm(end - start))),
        np.stack([x, np.cross(z, x), z]),
        (start + end) / 2.0,
    )


def apart_mm(one, other):
    """Distance by the library; below 0 where the two touch."""
    if fcl.collide(one, other, fcl.CollisionRequest(), fcl.CollisionResult()):
        return -1.0
    return fcl.distance(one, other, fcl.DistanceRequest(), fcl.DistanceResult())


@pytest.mark.parametrize("seed", range(12))
def test_each_pose_lies_between_the_flat_ended_and_the_round_ended_piece(seed):
    """Ours is never more than to the flat-ended cylinder, and never less than to the capsule round it."""
    table, bender, feed, made = random_case(seed)
    around = surroundings(
        bender, plain_solids(table.clr_mm, bender.axis_height_mm, bender.tilts_deg[0]), bender.tilts_deg[0]
    )
    laid = lay_tube(table, feed, made, swings=bender.swings[0])
    tube = moving_tube(laid, OD_MM, table.angles_deg[feed.bend - 1])
    rng = np.random.default_rng(seed)
    count = 150
    piece = rng.integers(0, len(tube.starts_mm), count)
    which = rng.integers(0, len(around.obstacles), count)
    swung = rng.uniform(0.0, tube.swing_rad, count)
    ours, _ = clearances_at(tube, around.obstacles, piece, which, swung)
    starts, ends = tube.placed(piece, swung)
    for k in range(count):
        obstacle = as_fcl(around.obstacles, which[k])
        flat = apart_mm(tube_piece(starts[k], ends[k], fcl.Cylinder), obstacle)
        capsule = apart_mm(tube_piece(starts[k], ends[k], fcl.Capsule), obstacle)
        if flat >= 0.0:
            assert ours[k] <= flat + 0.02
        else:
            assert ours[k] <= 0.02
        if capsule >= 0.0:
            assert ours[k] >= capsule - 0.02 - STANDS_OFF * table.clr_mm
        if around.obstacles.kinds[which[k]] == FLAT and flat >= 0.0:
            assert ours[k] == pytest.approx(flat, abs=0.02 + STANDS_OFF * table.clr_mm)


@pytest.mark.parametrize("seed", range(12))
def test_no_sampled_pose_is_nearer_than_the_sweep_says(seed):
    """Sixty poses of the swing by the library: none below what is proven, and the least one not far above it."""
    table, bender, feed, made = random_case(seed)
    around, step = checked(table, bender, feed, made)
    laid = lay_tube(table, feed, made, swings=bender.swings[0])
    tube = moving_tube(laid, OD_MM, table.angles_deg[feed.bend - 1])
    obstacles = [as_fcl(around.obstacles, k) for k in range(len(around.names))]
    beyond = np.concatenate([laid.lead.beyond, laid.tail.beyond])
    least = np.full(len(around.names), np.inf)
    for swung in np.linspace(0.0, tube.swing_rad, 60):
        starts, ends = tube.placed(np.arange(len(beyond)), np.full(len(beyond), swung))
        pieces = [tube_piece(start, end, fcl.Cylinder) for start, end in zip(starts, ends, strict=True)]
        for k, obstacle in enumerate(obstacles):
            used = [
                p
                for p, bent in zip(pieces, beyond, strict=True)
                if bent or around.stands[k] not in BENDERS_OWN
            ]
            manager = fcl.DynamicAABBTreeCollisionManager()
            manager.registerObjects(used)
            manager.setup()
            if not used:
                continue
            data = fcl.DistanceData()
            manager.distance(obstacle, data, fcl.defaultDistanceCallback)
            least[k] = min(least[k], data.result.min_distance)
    by_name = {one.to: one for one in step.clearances}
    fastest = float(tube.rates_mm_per_rad().max()) * tube.swing_rad / 59.0
    for k, name in enumerate(around.names):
        if not np.isfinite(least[k]):
            continue
        found = by_name[name]
        assert found.proven_mm <= max(least[k], 0.0) + 0.02
        if least[k] > fastest + OD_MM:
            assert found.clearance_mm > 0.0
            assert found.clearance_mm >= least[k] - fastest - OD_MM / 2.0


@pytest.mark.parametrize("seed", range(8))
def test_what_is_proven_is_close_to_what_was_found(seed):
    _, step = checked(*random_case(seed))
    for one in step.clearances:
        assert (
            0.0
            <= one.clearance_mm - one.proven_mm
            <= max(CLOSE_MM, CLOSE_SHARE * abs(one.clearance_mm)) + 1e-9
        )


@pytest.mark.parametrize("seed", range(10))
def test_a_fine_sampling_of_the_swing_finds_nothing_below_what_is_proven(seed):
    """Two thousand poses with our own distance: what lies between the stretches was not missed."""
    table, bender, feed, made = random_case(seed)
    around, step = checked(table, bender, feed, made)
    laid = lay_tube(table, feed, made, swings=bender.swings[0])
    tube = moving_tube(laid, OD_MM, table.angles_deg[feed.bend - 1])
    poses = np.linspace(0.0, tube.swing_rad, 2000)
    for one in step.clearances:
        if one.to == BAR_ITSELF or one.stands in BENDERS_OWN:
            continue
        k = around.names.index(one.to)
        pieces = np.arange(len(tube.starts_mm))
        lowest = min(
            clearances_at(
                tube, around.obstacles, pieces, np.full(len(pieces), k), np.full(len(pieces), pose)
            )[0].min()
            for pose in poses[:: 20 if k > 3 else 40]
        )
        assert one.proven_mm <= lowest + 1e-6


@pytest.mark.parametrize("seed", range(8))
def test_the_bar_itself_by_the_library(seed):
    """A bar that curls back over its own tail: the bent part against the tail, pose by pose."""
    rng = np.random.default_rng(seed)
    table = BendTable(
        straights_mm=(600.0, 130.0, 140.0, 900.0),
        rotations_deg=(0.0, float(rng.uniform(-60, 60)), float(rng.uniform(-60, 60))),
        angles_deg=(100.0, 110.0, 100.0),
        clr_mm=100.0,
    )
    bender = StandingBender(name="b", axis_height_mm=900.0, clamp_mm=100.0)
    feed, made = Feed(bend=3, fed_from="A"), [1, 2]
    _, step = checked(table, bender, feed, made)
    laid = lay_tube(table, feed, made, swings="clockwise")
    tube = moving_tube(laid, OD_MM, table.angles_deg[2])
    count, bent = len(laid.lead.parts), np.flatnonzero(laid.lead.beyond)
    least = np.inf
    for swung in np.linspace(0.0, tube.swing_rad, 80):
        every = np.arange(len(tube.starts_mm))
        starts, ends = tube.placed(every, np.full(len(every), swung))
        tail = [tube_piece(starts[k], ends[k], fcl.Capsule) for k in range(count, len(every))]
        lead = [tube_piece(starts[k], ends[k], fcl.Cylinder) for k in bent]
        managers = []
        for objects in (tail, lead):
            manager = fcl.DynamicAABBTreeCollisionManager()
            manager.registerObjects(objects)
            manager.setup()
            managers.append(manager)
        data = fcl.DistanceData()
        managers[0].distance(managers[1], data, fcl.defaultDistanceCallback)
        least = min(least, data.result.min_distance)
    found = step.to(BAR_ITSELF)
    assert found.proven_mm <= max(least, 0.0) + 0.05
    fastest = float(tube.rates_mm_per_rad().max()) * tube.swing_rad / 79.0
    if least >= 0.0:  # how deep two bodies cut in is not asked of the library
        assert found.clearance_mm >= least - fastest - OD_MM / 2.0
    else:
        assert found.clearance_mm < 0.0


@pytest.mark.parametrize("seed", range(8))
def test_a_mirrored_bar_on_the_mirrored_bender_has_the_mirrored_clearances(seed):
    table, bender, feed, made = random_case(seed)
    flip = np.array([1.0, -1.0, 1.0])

    def other(solid):
        size = tuple(np.array(solid.size_mm) * (flip if solid.kind == "rail" else 1.0))
        return replace(
            solid,
            middle_mm=tuple(np.array(solid.middle_mm) * flip),
            size_mm=size,
            turned_deg=-solid.turned_deg,
        )

    mirrored_bender = replace(
        bender,
        swings=("anticlockwise" if bender.swings[0] == "clockwise" else "clockwise",),
        tilts_deg=(-bender.tilts_deg[0],),
        left_mm=bender.right_mm,
        right_mm=bender.left_mm,
        solids=tuple(other(solid) for solid in bender.solids),
    )
    mirrored_table = replace(table, rotations_deg=tuple(-turn for turn in table.rotations_deg))
    _, here = checked(table, bender, feed, made)
    _, there = checked(mirrored_table, mirrored_bender, feed, made)
    swapped = {"wall left": "wall right", "wall right": "wall left"}
    mine = {swapped.get(one.to, one.to): one.clearance_mm for one in here.clearances}
    assert {one.to: one.clearance_mm for one in there.clearances} == pytest.approx(mine, abs=0.5, rel=0.004)
    assert here.works == there.works


@pytest.mark.parametrize("clr_mm", [60.0, 137.5, 400.0])
def test_the_outside_of_a_bend_is_not_cut_short_by_its_chords(clr_mm):
    """By hand: a flat U lies with its outside at twice the radius and half a tube to the right of the feed line."""
    table = BendTable(
        straights_mm=(300.0, 130.0, 500.0), rotations_deg=(0.0, 0.0), angles_deg=(90.0, 90.0), clr_mm=clr_mm
    )
    bender = StandingBender(name="b", axis_height_mm=900.0, clamp_mm=100.0, ahead_mm=3000.0)
    around = surroundings(bender, (), 0.0)
    step = check_step(task_for(table), around, bender.set_ups[0], Feed(bend=2, fed_from="A"), [1])
    # before the swing bend 1 turns the leg square: its outside is the farthest ahead
    beginning = 3000.0 - (130.0 + clr_mm + OD_MM / 2.0)
    assert step.to("wall ahead").clearance_mm <= beginning + 1e-6


def test_a_tube_that_touches_nothing_has_nothing_but_what_stands_there():
    table, bender, feed, made = random_case(3)
    bare = replace(bender, solids=(), ceiling_mm=None, ahead_mm=None, left_mm=None)
    around = surroundings(bare, (), bare.tilts_deg[0])
    step = check_step(task_for(table), around, bare.set_ups[0], feed, made)
    assert {one.to for one in step.clearances} <= {"floor", BAR_ITSELF}

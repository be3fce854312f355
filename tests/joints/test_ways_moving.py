"""Balls moved past metal and capsules, against the exact mesh, the capsules' own distance, and dense samples."""

import numpy as np
import pytest

from hoopwright.geometry import Capsule, distance_to_capsules_mm, rotation_about
from hoopwright.joints.ways.poses import quaternion
from hoopwright.shell.moving import (
    SLACK_MM,
    BallBody,
    at_rest,
    between,
    free_share,
    make_surroundings,
    measure,
    placed,
    room,
    turn_matrix,
)
from hoopwright.shell.moving_kernel import _from_grid

PILLARS = (
    Capsule(name="one", start_mm=(-600.0, -300.0, 100.0), end_mm=(-600.0, -300.0, 900.0), radius_mm=20.0),
    Capsule(name="two", start_mm=(-900.0, 300.0, 500.0), end_mm=(-1200.0, 100.0, 500.0), radius_mm=22.5),
)


@pytest.fixture(scope="module")
def cabin(bodies):
    return bodies.shell_of(bodies.as_scan(bodies.cabin_soup()))


@pytest.fixture(scope="module")
def around(cabin):
    return make_surroundings(
        cabin, np.array([-1900.0, -800.0, -100.0]), np.array([100.0, 800.0, 1200.0])
    ).with_capsules(PILLARS)


def rod(length=600.0, radius=20.0, gap=3.0, count=61):
    balls = np.zeros((count, 6))
    balls[:, 0] = np.linspace(-length / 2.0, length / 2.0, count) - 900.0
    balls[:, 2], balls[:, 3] = 550.0, radius
    balls[:, 4], balls[:, 5] = np.arange(count)[::-1], length / (count - 1)
    return BallBody(
        balls=balls,
        middle_mm=np.array([-900.0, 0.0, 550.0]),
        at_rest_mm=np.full(count, np.inf),
        near_mm=100.0,
        gap_mm=gap,
    )


def random_pose(random, shift=500.0):
    return np.concatenate([
        random.uniform(-shift, shift, 3), quaternion(random.normal(size=3), float(random.uniform(0.0, 180.0)))
    ])  # fmt: skip


def test_the_grid_never_says_more_than_the_mesh(cabin, around):
    random = np.random.default_rng(4)
    places = random.uniform([-2300.0, -1000.0, -400.0], [400.0, 1000.0, 1500.0], (4000, 3))
    exact = cabin.nearest(places).distance_mm
    values, low, cell, metal = around.packed[:4]
    bound = np.array([_from_grid(values, low, cell, metal, *place) for place in places])
    assert (bound <= exact + 1e-3).all()
    near = (exact > 25.0) & (exact < 80.0)
    assert float((exact - bound)[near].max()) < 0.9 * cell


def test_distances_to_capsules_are_those_of_the_geometry(around):
    random, body = np.random.default_rng(5), rod()
    for _ in range(30):
        pose = random_pose(random)
        found = measure(around, body, pose).capsule_mm
        exact = distance_to_capsules_mm(placed(body.balls[:, :3], body.middle_mm, pose), PILLARS) - 20.0
        near = exact < 95.0
        assert np.allclose(found[near], exact[near], atol=1e-9)
        assert (found[~near] >= 95.0).all()


def test_a_pose_is_refused_just_where_a_ball_lacks_room(around):
    random, body = np.random.default_rng(6), rod()
    verdicts = []
    for _ in range(400):
        pose = random_pose(random)
        verdicts.append(room(around, body, pose) >= 0.0)
        assert verdicts[-1] == bool((measure(around, body, pose).least_mm >= body.gap_mm).all())
    assert 40 < sum(verdicts) < 360


def test_no_contact_hides_between_the_poses_of_a_free_motion(around):
    random, body = np.random.default_rng(7), rod()
    free = 0
    for _ in range(150):
        start, end = random_pose(random, 300.0), random_pose(random, 300.0)
        if room(around, body, start) < 0.0 or free_share(around, body, start, end) < 1.0:
            continue
        free += 1
        for share in np.linspace(0.0, 1.0, 400):
            least = measure(around, body, between(start, end, float(share))).least_mm.min()
            assert least >= body.gap_mm - SLACK_MM - 1e-9
    assert free > 5


def test_a_thin_post_in_the_way_is_not_stepped_over(around):
    body = rod(length=40.0, radius=2.0, gap=1.0, count=5)
    post = (
        Capsule(name="post", start_mm=(-900.0, 100.0, 0.0), end_mm=(-900.0, 100.0, 1000.0), radius_mm=0.5),
    )
    past = np.array([0.0, 400.0, 0.0, 0.0, 0.0, 0.0, 1.0])
    assert free_share(around.with_capsules(()), body, at_rest(), past) == 1.0
    assert 0.0 < free_share(around.with_capsules(post), body, at_rest(), past) < 0.25


def test_free_one_way_is_free_the_other_way(around):
    random, body = np.random.default_rng(8), rod()
    for _ in range(100):
        start, end = random_pose(random, 250.0), random_pose(random, 250.0)
        if room(around, body, start) < 0.0:
            continue
        forward, back = (free_share(around, body, a, b) for a, b in ((start, end), (end, start)))
        if forward >= 1.0 and back < 1.0:
            # both look at other poses between: what one refuses, the other may pass only within the slack
            blocked = measure(around, body, between(end, start, back)).least_mm.min()
            assert blocked > body.gap_mm - 2.0 * SLACK_MM


def test_turns_are_those_of_rodrigues_formula():
    assert np.allclose(
        turn_matrix(quaternion((1.0, 2.0, -0.5), 73.0)), rotation_about((1.0, 2.0, -0.5), 73.0)
    )

"""The ladder carried round a corner: the longest that passes is known in closed form.

For a corridor of widths a and b that meet at a right angle, a thin ladder carried level passes up to the length
(a^(2/3) + b^(2/3))^(3/2). A standard exercise of calculus; source from memory: J. Stewart, Calculus, chapter on
optimisation. For a tube the walls stand off by its radius and clearance r, and the longest axis is the least over the
angle t of ((a - r) sin t + (b - r) cos t - r) / (sin t cos t).
"""

import numpy as np
import pytest

from hoopwright.joints.ways.planner import Question, plan
from hoopwright.joints.ways.poses import quaternion
from hoopwright.shell.moving import BallBody, free_share, make_surroundings, room

pytest.importorskip("ompl")
WIDE_A, WIDE_B, FAR = 900.0, 600.0, 2600.0
FLAT, TALL = 8.0, 400.0
RADIUS, GAP = 2.0, 1.0


def wall(start, end, up, pieces=12):
    """An upright wall between two places of the plan."""
    cuts = np.linspace(0.0, 1.0, pieces + 1)
    low = np.array([[*(np.array(start) + share * np.subtract(end, start)), 0.0] for share in cuts])
    high = low + np.array([0.0, 0.0, up])
    return [
        tri
        for a, b, c, d in zip(low[:-1], low[1:], high[1:], high[:-1], strict=True)
        for tri in ((a, b, c), (a, c, d))
    ]


def corridor(high):
    """Outer walls along both axes, inner corner at (a, b), a floor and a lid; shape (n, 3, 3)."""
    triangles = [
        *wall((0.0, 0.0), (FAR, 0.0), high),
        *wall((0.0, 0.0), (0.0, FAR), high),
        *wall((WIDE_A, WIDE_B), (FAR, WIDE_B), high),
        *wall((WIDE_A, WIDE_B), (WIDE_A, FAR), high),
    ]
    for up in (0.0, high):
        corners = np.array([[0.0, 0.0, up], [FAR, 0.0, up], [FAR, FAR, up], [0.0, FAR, up]])
        triangles += [corners[[0, 1, 2]], corners[[0, 2, 3]]]
    return np.array(triangles)


def surroundings(bodies, high):
    shell = bodies.shell_of(bodies.as_scan(corridor(high)))
    return make_surroundings(shell, np.array([-50.0, -50.0, -50.0]), np.array([FAR, FAR, high + 50.0]))


@pytest.fixture(scope="module")
def flat(bodies):
    return surroundings(bodies, FLAT)


@pytest.fixture(scope="module")
def tall(bodies):
    return surroundings(bodies, TALL)


def longest(a, b, r=0.0):
    t = np.linspace(0.02, np.pi / 2.0 - 0.02, 200_001)
    return float((((a - r) * np.sin(t) + (b - r) * np.cos(t) - r) / (np.sin(t) * np.cos(t))).min())


def rod(length):
    count = int(length / 5.0) + 1
    balls = np.zeros((count, 6))
    balls[:, 0] = np.linspace(-length / 2.0, length / 2.0, count)
    balls[:, 3], balls[:, 4], balls[:, 5] = RADIUS, np.arange(count)[::-1], length / (count - 1)
    return BallBody(
        balls=balls, middle_mm=np.zeros(3), at_rest_mm=np.full(count, np.inf), near_mm=1.0, gap_mm=GAP
    )


def goes_round(around, length, trials):
    body, up = rod(length), TALL / 2.0
    along = np.array([FAR - length / 2.0 - 20.0, WIDE_B / 2.0, up, *quaternion((0.0, 0.0, 1.0), 0.0)])
    across = np.array([WIDE_A / 2.0, FAR - length / 2.0 - 20.0, up, *quaternion((0.0, 0.0, 1.0), 90.0)])
    assert room(around, body, along) >= 0.0
    assert room(around, body, across) >= 0.0
    return plan(
        Question(
            starts=[along],
            goals=[across],
            low_mm=np.array([0.0, 0.0, 0.0]),
            high_mm=np.array([FAR, FAR, TALL]),
            farthest_mm=body.farthest_mm,
            is_free=lambda pose: room(around, body, pose) >= 0.0,
            goes=lambda a, b: free_share(around, body, a, b) >= 1.0,
            seed=1,
            trials=trials,
        )
    )


def ladder_pose(length, angle_deg, r):
    """The rod with both ends on the outer walls, as far from the inner corner as it goes."""
    t = np.radians(angle_deg)
    middle = np.array([length / 2.0 * np.cos(t) + r, length / 2.0 * np.sin(t) + r, FLAT / 2.0])
    return np.concatenate([middle, quaternion((0.0, 0.0, 1.0), 180.0 - angle_deg)])


def test_the_formula_is_the_textbook_one():
    classic = (WIDE_A ** (2.0 / 3.0) + WIDE_B ** (2.0 / 3.0)) ** 1.5
    assert longest(WIDE_A, WIDE_B) == pytest.approx(classic, rel=1e-8)


@pytest.mark.parametrize(("share", "passes"), [(0.995, True), (1.005, False)])
def test_slid_along_the_outer_walls_it_passes_just_up_to_that_length(flat, share, passes):
    """Every pose of the ladder's own motion, no planner: the corner stops it just above."""
    r = RADIUS + GAP
    length = share * longest(WIDE_A, WIDE_B, r)
    body = rod(length)
    poses = [ladder_pose(length, angle, r + 0.2) for angle in np.linspace(2.0, 88.0, 173)]
    free = [room(flat, body, pose) >= 0.0 for pose in poses]
    assert all(free) == passes


@pytest.mark.slow
def test_the_planner_carries_round_what_passes_and_the_same_way_again(tall):
    length = 0.5 * longest(WIDE_A, WIDE_B, RADIUS + GAP)
    answer = goes_round(tall, length, 50_000)
    assert answer.poses
    again = goes_round(tall, length, 50_000)
    assert [tuple(a) for a in answer.poses] == [tuple(b) for b in again.poses]


@pytest.mark.slow
def test_the_planner_never_carries_round_what_cannot_pass(tall):
    """Tilted as far as the corridor is high, its plan is still longer than the longest that passes."""
    length = 1.01 * float(np.hypot(longest(WIDE_A, WIDE_B, RADIUS + GAP), TALL))
    assert not goes_round(tall, length, 20_000).poses

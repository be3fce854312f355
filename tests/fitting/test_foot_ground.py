"""What a foot lands on, where the metal under it is known: walls with folds at known places, and a second skin."""

import numpy as np
import pytest

from hoopwright.fitting.foot_ground import foot_ground


def second_skin(left_mm):
    """A flat wall of 200 x 200 mm beside the body's own, as triangles (n, 3, 3)."""
    corners = np.array([[-1000.0, left_mm, 200.0], [-800.0, left_mm, 200.0], [-800.0, left_mm, 400.0],
                        [-1000.0, left_mm, 400.0]])  # fmt: skip
    return np.stack([corners[[0, 1, 2]], corners[[0, 2, 3]]])


def test_a_flat_wall_far_from_folds(section_shell):
    """The wall leans by 15 degrees at up 620, which is no fold; the chamfer is 790 mm away."""
    ground = foot_ground(section_shell, (-900.0, 676.0, 300.0), (-900.0, 500.0, 300.0))
    assert (ground.behind_mm, ground.fold_mm) == (None, None)
    assert "left wall" in ground.region


def test_the_distance_to_a_fold(section_shell):
    """The leaning wall ends at the chamfer, at left 556 and up 1082: worked out along the wall."""
    share = 0.6
    place = (-900.0, 680.0 - share * 124.0, 620.0 + share * 462.0)
    ground = foot_ground(section_shell, place, (-900.0, 400.0, 700.0))
    assert ground.behind_mm is None
    assert ground.fold_mm == pytest.approx((1.0 - share) * np.hypot(124.0, 462.0), abs=15.0)


@pytest.mark.parametrize("away_mm", [30.0, 90.0])
def test_a_second_skin_makes_a_box(bodies, away_mm):
    soup = np.concatenate([bodies.section_soup(), second_skin(680.0 + away_mm)])
    shell = bodies.shell_of(bodies.as_scan(soup))
    ground = foot_ground(shell, (-900.0, 676.0, 300.0), (-900.0, 500.0, 300.0))
    assert ground.behind_mm == pytest.approx(away_mm, abs=0.1)
    # seen from the other side, the bar standing outside: no second skin behind
    outside = foot_ground(shell, (-1200.0, 684.0, 300.0), (-1200.0, 900.0, 300.0))
    assert outside.behind_mm is None


def test_what_the_scan_cannot_tell(bodies, section_shell):
    assert foot_ground(section_shell, (-900.0, 0.0, 300.0), (-900.0, 0.0, 500.0)) is None
    points = bodies.section_soup(piece_mm=20.0).reshape(-1, 3)
    cloud = bodies.shell_of(bodies.as_cloud(points))
    assert foot_ground(cloud, (-900.0, 676.0, 300.0), (-900.0, 500.0, 300.0)) is None

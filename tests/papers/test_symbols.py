import math

import numpy as np
import pytest
import segno

from hoopwright.papers.drawing import Box, Circle, Polygon, Polyline
from hoopwright.papers.symbols import clock_face, square_code, turn_arrow
from hoopwright.papers.views import VIEW_NAMES, axis_arrows, fit_view, view


def test_the_square_code_is_the_codes_matrix_with_a_quiet_zone():
    text = "hoopwright:blue coupe/MH/3f9a1c07d2b4"
    box = Box(left_mm=10.0, top_mm=20.0, width_mm=29.0, height_mm=29.0)
    matrix = np.array([list(row) for row in segno.make_qr(text, error="m", boost_error=False).matrix])
    module = 29.0 / (len(matrix) + 8)
    seen = np.zeros_like(matrix)
    for item in square_code(text, box):
        (left, top), (right, _), (_, bottom), _ = item.points_mm
        first, last = (round((x - 10.0) / module) - 4 for x in (left, right))
        row = round((top - 20.0) / module) - 4
        assert bottom - top == pytest.approx(module)
        seen[row, first:last] = 1
    assert (seen == matrix).all()


@pytest.mark.parametrize("clockwise", [True, False])
def test_the_turn_arrow_goes_its_way(clockwise):
    ring, head = turn_arrow((50.0, 50.0), 4.0, clockwise=clockwise)
    assert isinstance(ring, Polyline)
    assert isinstance(head, Polygon)
    around = np.unwrap([math.atan2(down - 50.0, right - 50.0) for right, down in ring.points_mm])
    # Down grows downward on paper, so a growing angle is clockwise as seen.
    assert (around[-1] > around[0]) == clockwise
    tip, base = np.array(head.points_mm[0]), np.array(ring.points_mm[-1])
    travel = np.array(ring.points_mm[-1]) - np.array(ring.points_mm[-2])
    assert (tip - base) @ travel > 0.0


@pytest.mark.parametrize(("hour", "way"), [(12.0, (0, -1)), (3.0, (1, 0)), (6.0, (0, 1)), (9.0, (-1, 0))])
def test_the_clock_hand_points_to_its_hour(hour, way):
    head = next(item for item in clock_face((10.0, 10.0), 5.0, hour) if isinstance(item, Polygon))
    tip = np.array(head.points_mm[0]) - 10.0
    assert tip / np.linalg.norm(tip) == pytest.approx(way, abs=1e-9)
    assert all(isinstance(i, Circle | Polyline | Polygon) for i in clock_face((0, 0), 5.0, hour))


@pytest.mark.parametrize(
    ("name", "front", "left", "up"),
    [
        ("side", (-1, 0), (0, 0), (0, 1)),
        ("right side", (1, 0), (0, 0), (0, 1)),
        ("front", (0, 0), (1, 0), (0, 1)),
        ("rear", (0, 0), (-1, 0), (0, 1)),
        ("top", (-1, 0), (0, -1), (0, 0)),
    ],
)
def test_views_lay_the_axes_as_a_viewer_sees_them(name, front, left, up):
    assert view(name).flat(np.eye(3)) == pytest.approx(np.array([front, left, up]), abs=1e-12)


@pytest.mark.parametrize("name", VIEW_NAMES)
def test_views_are_not_mirrored_and_fit_their_box(name):
    seen = view(name)
    assert seen.across @ seen.upward == pytest.approx(0.0, abs=1e-12)
    toward_viewer = np.cross(seen.across, seen.upward)
    assert np.linalg.norm(toward_viewer) == pytest.approx(1.0)
    if name.startswith("oblique"):
        assert (toward_viewer[0] > 0) == ("rear" not in name)
        assert toward_viewer[2] > 0
        assert (toward_viewer[1] > 0) == (name == "oblique left")
    box = Box(left_mm=20.0, top_mm=30.0, width_mm=80.0, height_mm=50.0)
    cube = np.array([(x, y, z) for x in (0, 2000) for y in (-700, 700) for z in (0, 1100)], float)
    points = np.array(fit_view(seen, [cube], box).points(cube))
    low, high = points.min(axis=0), points.max(axis=0)
    assert (low >= np.array([20.0, 30.0]) - 1e-9).all()
    assert (high <= np.array([100.0, 80.0]) + 1e-9).all()
    assert max((high - low) / np.array([80.0, 50.0])) == pytest.approx(1.0)
    assert axis_arrows(seen, (20.0, 80.0))

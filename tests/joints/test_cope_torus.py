"""Lines and a whole torus, all at once, against numpy's roots one by one and against circles that cut it.

Outside checks: `numpy.roots` (eigenvalues of the companion matrix) of the quartic multiplied out by hand, and plane
sections of a torus, which are circles.
"""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hoopwright.joints.cope.rays import Rays
from hoopwright.joints.cope.torus import Torus, stretches_in_torus

RING, TUBE = 137.5, 22.5


def stretches(start, direction, ring=RING, tube=TUBE):
    """Stretches of one ray or several parallel ones."""
    starts = np.atleast_2d(np.array(start, dtype=float))
    way = np.array(direction, dtype=float)
    rays = Rays(starts_mm=starts, direction=way / np.linalg.norm(way))
    return stretches_in_torus(rays, Torus(ring_mm=ring, tube_mm=tube))


def known(row):
    return row[np.isfinite(row)]


def by_numpy(start, way, ring, tube):
    """Real roots of (|p|^2 + R^2 - r^2)^2 = 4 R^2 (x^2 + y^2), multiplied out by hand."""
    middle = -float(start @ way)
    x, y, z = (start + middle * way) / ring
    bulk = x * x + y * y + z * z + 1.0 - (tube / ring) ** 2
    flat = 1.0 - way[2] ** 2
    cross = 2.0 * (x * way[0] + y * way[1])
    found = np.roots([1.0, 0.0, 2.0 * bulk - 4.0 * flat, -4.0 * cross, bulk**2 - 4.0 * (x * x + y * y)])
    return np.sort(found[np.abs(found.imag) < 1e-8].real) * ring + middle


ways = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda way: np.linalg.norm(way) > 0.1)
sizes = st.sampled_from([(60.0, 12.5), (137.5, 22.5), (1000.0, 30.0), (20000.0, 22.5)])


@settings(max_examples=150)
@given(
    sizes, ways, st.floats(0.0, 360.0), st.floats(0.0, 0.97), st.floats(0.0, 360.0), st.floats(-300.0, 300.0)
)
@example((137.5, 22.5), (0.0, 0.0, 1.0), 20.0, 0.9, 30.0, 5.0)
@example((137.5, 22.5), (1.0, 0.0, 0.0), 0.0, 0.5, 90.0, 0.0)
@example((137.5, 22.5), (1.0, 0.0, 1e-9), 0.0, 0.9, 90.0, 0.0)
@example((20000.0, 22.5), (0.0, 0.0, 1.0), 10.0, 0.8, 170.0, 40.0)
def test_all_at_once_as_numpy_one_by_one(size, way, turn_deg, share, around_deg, back_mm):
    """Rays through places inside the tube, so that each has roots."""
    ring, tube = size
    way = np.array(way) / np.linalg.norm(way)
    turns, arounds = np.radians(turn_deg + np.arange(8) * 0.7), np.radians(around_deg + np.arange(8) * 45.0)
    out = ring + share * tube * np.cos(arounds)
    inside = np.stack([out * np.cos(turns), out * np.sin(turns), share * tube * np.sin(arounds)], axis=1)
    starts = inside + back_mm * way
    start, end = stretches(starts, way, ring, tube)
    for row, one in enumerate(starts):
        roots = by_numpy(one, way, ring, tube)
        apart = np.diff(roots).min(initial=np.inf)
        if apart > 0.1 and len(roots) in (2, 4):
            assert known(end[row]) == pytest.approx(roots[1::2], abs=1e-3 if ring > 1e4 else 1e-6)
            assert known(start[row]) == pytest.approx(roots[::2], abs=1e-3)
        # the ray is inside where it passes the place that it was laid through
        assert np.any((start[row] <= -back_mm + 1e-3) & (end[row] >= -back_mm - 1e-3))
    rows, columns = np.nonzero(np.isfinite(end))
    on_skin = starts[rows] + end[rows, columns][:, None] * way
    past = np.hypot(np.hypot(on_skin[:, 0], on_skin[:, 1]) - ring, on_skin[:, 2]) - tube
    assert np.abs(past).max() < (1e-7 if ring > 1e4 else 1e-9)


def test_rays_through_the_hole_and_past_it():
    for starts, way in (
        ([0, 0, 50], [0, 0, 1]),
        ([40, -20, 0], [0.1, 0.2, 1]),
        ([0, 0, 23], [1, 0, 0]),
        ([161, 0, 0], [0, 1, 0.01]),
    ):
        start, end = stretches(starts, way)
        assert not np.isfinite(start).any()
        assert not np.isfinite(end).any()


def test_a_ray_across_the_whole_ring():
    start, end = stretches([500, 0, 0], [-1, 0, 0])
    assert start[0] == pytest.approx([340.0, 615.0], abs=1e-3)
    assert end[0] == pytest.approx([385.0, 660.0], abs=1e-10)


@pytest.mark.parametrize("inside_mm", [-1e-3, -1e-6, -2e-7, -5e-8, 0.0, 1e-9, 1e-6, 1e-3, 1.0])
@pytest.mark.parametrize("at", ["outside", "top", "hole"])
def test_rays_that_touch(at, inside_mm):
    """Square to the ring's plane the sections are two circles of the tube; in the plane, of R + r and R - r."""
    if at == "top":
        # straight over the top of the tube, across the ring: it dips into both sides of it
        start, end = stretches([0, 0, TUBE - inside_mm], [1, 0, 0])
        half = np.sqrt(max(0.0, TUBE**2 - (TUBE - inside_mm) ** 2))
        middles = np.array([-RING, RING])
    elif at == "outside":
        start, end = stretches([RING + TUBE - inside_mm, 0, 0], [0, 0, 1])
        half = np.sqrt(max(0.0, TUBE**2 - (TUBE - inside_mm) ** 2))
        middles = np.array([0.0])
    else:
        start, end = stretches([RING - TUBE + inside_mm, 0, 0], [0, 0, 1])
        half = np.sqrt(max(0.0, TUBE**2 - (TUBE - inside_mm) ** 2))
        middles = np.array([0.0])
    if inside_mm < -1e-7:
        assert len(known(end[0])) == 0
        return
    assert known(end[0]) == pytest.approx(middles + half, abs=1e-5)
    assert known(start[0]) == pytest.approx(middles - half, abs=1e-3)


@pytest.mark.parametrize("into_hole_mm", [-1.0, -1e-3, -1e-6, 0.0, 5e-8, 2e-7, 1e-6, 1e-3, 1.0])
def test_rays_that_leave_into_the_hole_for_a_moment(into_hole_mm):
    """In the ring's plane: a chord of the circle of R + r, less the chord of the hole where that is crossed."""
    hole = RING - TUBE
    aside = hole - into_hole_mm
    start, end = stretches([aside, 300, 0], [0, -1, 0])
    outer = np.sqrt((RING + TUBE) ** 2 - aside**2)
    if into_hole_mm <= 1e-7:
        assert known(end[0]) == pytest.approx([300 + outer], abs=1e-9)
        return
    half = np.sqrt(hole**2 - aside**2)
    assert end[0] == pytest.approx([300 - half, 300 + outer], abs=1e-6)
    assert start[0] == pytest.approx([300 - outer, 300 + half], abs=1e-3)


@pytest.mark.parametrize("below_mm", [0.0, 1e-6, 1e-3, 0.1])
def test_a_ray_along_the_crown(below_mm):
    """Four roots in one place: along the top of the bend, where skin and ray part only as the fourth power."""
    start, end = stretches([RING, 200, TUBE - below_mm], [0, -1, 0])
    out = np.sqrt(TUBE**2 - (TUBE - below_mm) ** 2)
    half = np.sqrt((RING + out) ** 2 - RING**2)
    assert np.nanmax(end[0]) == pytest.approx(200 + half, abs=1e-6 if below_mm else 0.5)
    assert np.nanmin(start[0]) == pytest.approx(200 - half, abs=1e-3 if below_mm else 0.5)

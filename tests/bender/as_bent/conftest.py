"""A hoop and a side bar of the bender's acceptance, and points as a scanner would take them of a bar."""

import numpy as np
import pytest

from hoopwright.bars import Bar, skin_mesh
from hoopwright.geometry import rotation_about
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


@pytest.fixture
def hoop():
    nodes = ((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0))
    return Bar(name="MH", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


@pytest.fixture
def side_bar():
    nodes = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))
    return Bar(name="SB-L", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


@pytest.fixture
def scan_of():
    """`simulated_scan`, to be called with a bar, a count and random numbers."""
    return simulated_scan


NOISE_MM = 0.5


def simulated_scan(bar, count, rng, *, noise_mm=NOISE_MM, seen_from=None, unseen=(), floor_share=0.0):
    """Points on the skin, evenly by area, with a normal error in every direction, in a frame of the scan's own.

    Args:
        bar: The bar.
        count: How many points, floor included.
        rng: Random numbers.
        noise_mm: Standard deviation of each coordinate.
        seen_from: Direction to the scanner: what faces away is not seen.
        unseen: Balls (centre, radius) in which nothing was seen.
        floor_share: Share of the points that lie on a floor close under the bar and on a lump of dirt on it.
    """
    mesh = skin_mesh(bar, around=128, arc_step_deg=1.0)
    corners = mesh.vertices_mm[mesh.triangles]
    sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    area = np.linalg.norm(sides, axis=1)
    if seen_from is not None:
        area = area * (sides @ np.asarray(seen_from) > -0.1 * area * np.linalg.norm(seen_from))
    on_bar = int(count * (1.0 - floor_share))
    chosen = corners[rng.choice(len(area), on_bar, p=area / area.sum())]
    u, w = rng.random((2, on_bar, 1))
    u, w = np.where(u + w > 1.0, 1.0 - u, u), np.where(u + w > 1.0, 1.0 - w, w)
    points = chosen[:, 0] + u * (chosen[:, 1] - chosen[:, 0]) + w * (chosen[:, 2] - chosen[:, 0])
    for centre, radius_mm in unseen:
        points = points[np.linalg.norm(points - centre, axis=1) > radius_mm]
    points = np.concatenate([points, _floor(points, count - on_bar, rng)])
    points += rng.normal(0.0, noise_mm, points.shape)
    turn = rotation_about(rng.normal(size=3), float(rng.uniform(0.0, 360.0)))
    return points @ turn.T + rng.uniform(-500.0, 500.0, 3)


def _floor(points, count, rng):
    low, high = points.min(axis=0), points.max(axis=0)
    thin = int(np.argmin(high - low))
    floor = rng.uniform(low - 200.0, high + 200.0, (count, 3))
    floor[:, thin] = low[thin] - 18.0
    lump = count // 10
    floor[:lump] = (low + high) / 2.0 + rng.uniform(-1.0, 1.0, (lump, 3)) * (60.0, 40.0, 40.0)
    return floor

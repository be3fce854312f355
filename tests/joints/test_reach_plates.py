"""Plates in a torch's way: distances against scipy's own minimiser, and a plate between torch and seam."""

import numpy as np
import pytest
from scipy.optimize import minimize
from tests.joints.test_reach_reached import bar

from hoopwright.joints.reach.obstacles import rods_of
from hoopwright.joints.reach.plate_obstacles import plate_triangles, rods_to_triangles_mm
from hoopwright.joints.reach.reached import reach_of
from hoopwright.joints.reach.seam import seam_on_bar
from hoopwright.joints.reach.torch import Torch
from hoopwright.papers.plate_mesh import prism_mesh

HEADER = bar("H", (-900.0, -450.0, 1075.0), (-900.0, 450.0, 1075.0))
BRANCH = bar("B", (-900.0, 0.0, 1075.0), (-500.0, 0.0, 1075.0), od_mm=38.0)


def least_mm(start, end, corners):
    """A convex problem, by a general-purpose minimiser from several starts."""

    def apart(x):
        place = start + x[0] * (end - start)
        return float(
            (
                (place - corners[0] - x[1] * (corners[1] - corners[0]) - x[2] * (corners[2] - corners[0]))
                ** 2
            ).sum()
        )

    inside = {"type": "ineq", "fun": lambda x: 1.0 - x[1] - x[2]}
    starts = ((0.5, 0.3, 0.3), (0.0, 0.0, 0.0), (1.0, 0.9, 0.05), (0.2, 0.05, 0.9))
    found = [
        minimize(apart, x, bounds=[(0, 1)] * 3, constraints=[inside], method="SLSQP", options={"ftol": 1e-12})
        for x in starts
    ]
    return np.sqrt(max(0.0, min(one.fun for one in found)))


def test_distances_are_the_least_there_are():
    random = np.random.default_rng(7)
    starts, ends = random.uniform(-50.0, 50.0, (2, 12, 3))
    triangles = random.uniform(-50.0, 50.0, (10, 3, 3))
    ours = rods_to_triangles_mm(starts, ends, triangles)
    assert (ours == 0.0).any()
    for i, row in enumerate(ours):
        for k, value in enumerate(row):
            assert value == pytest.approx(least_mm(starts[i], ends[i], triangles[k]), abs=0.02)


def plate(name, low, high):
    (x0, y0, z0), (x1, y1, z1) = low, high
    outline = np.array([(x0, y0, z0), (x1, y0, z0), (x1, y1, z0), (x0, y1, z0)])
    vertices, faces = prism_mesh(outline, np.array([0.0, 0.0, z1 - z0]))
    return {name: vertices[faces]}


def test_a_plate_over_a_joint_hides_its_upper_side_and_is_named():
    seam, rods, torch = (
        seam_on_bar(BRANCH, "A", HEADER, points=72),
        rods_of({"H": HEADER, "B": BRANCH}),
        Torch(),
    )
    free = reach_of(seam, torch, None, rods)
    assert free.is_whole
    parts = plate("P", (-960.0, -80.0, 1110.0), (-780.0, 80.0, 1113.0))
    plates = plate_triangles(parts, frozenset({"P"}))
    hidden = reach_of(seam, torch, None, rods, plates=plates)
    assert 90.0 < 360.0 - hidden.reached_deg < 270.0
    assert [name for name, _ in hidden.blockers] == ["P"]
    # what is above the header is hidden, what hangs under it is not
    over = seam.points_mm[:, 2] > 1085.0
    assert not hidden.reached[over].any()
    assert hidden.reached[seam.points_mm[:, 2] < 1065.0].all()
    assert reach_of(seam, torch, None, rods, plates=plates, without=frozenset({"P"})).is_whole


def test_a_plate_out_of_reach_changes_nothing():
    seam, rods, torch = (
        seam_on_bar(BRANCH, "A", HEADER, points=36),
        rods_of({"H": HEADER, "B": BRANCH}),
        Torch(),
    )
    far = plate_triangles(plate("P", (-960.0, -80.0, 1400.0), (-780.0, 80.0, 1403.0)))
    assert reach_of(seam, torch, None, rods, plates=far).is_whole

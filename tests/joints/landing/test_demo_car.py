"""Plates on the demo car, whose floor and sills are drawn by formula, scanned with noise."""

import numpy as np
import pytest

from hoopwright.bars import Bar
from hoopwright.cage import Landing, LandingKind
from hoopwright.democar import DemoCar, build_demo_scan
from hoopwright.democar.lines import CABIN_HALF_WIDTH_MM, FLOOR_MM
from hoopwright.joints.landing.fit import fit_landing, usual_landing
from hoopwright.tubes import TubeSize

# the scanner's noise of 0.3 mm, and the foot of a pressing under the plate's edge
TRUE_WITHIN_MM = 1.4
TRUE_WITHIN_DEG = 1.2


@pytest.fixture(scope="module")
def car(bodies):
    scan = build_demo_scan(DemoCar())
    vehicle = scan.pose.inverse().points(scan.triangles.reshape(-1, 3)).reshape(-1, 3, 3)
    return bodies.shell_of(bodies.as_scan(vehicle))


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("forward", [-2050.0, -1700.0, -1300.0])
def test_a_plate_wraps_floor_and_sill(car, forward, side):
    foot = (forward, side * 593.0, FLOOR_MM)
    bar = Bar(
        name="MH",
        nodes_mm=(foot, (forward - 20.0, side * 615.0, FLOOR_MM + 500.0)),
        clr_mm=137.5,
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
    )
    landing = usual_landing(car, bar, "A")
    assert landing.kind is LandingKind.FOLDED
    fitted = fit_landing(car, bar, landing)
    sole, wall = fitted.faces
    assert np.abs(sole.outline_mm[:, 2] - FLOOR_MM).max() < TRUE_WITHIN_MM
    # the right side of the demo car stands in by its skew
    true_mm = side * (CABIN_HALF_WIDTH_MM - (DemoCar().skew_mm if side < 0.0 else 0.0))
    assert np.abs(wall.outline_mm[:, 1] - true_mm).max() < TRUE_WITHIN_MM
    assert np.degrees(np.arccos(sole.plane.normal[2])) < TRUE_WITHIN_DEG
    assert np.degrees(np.arccos(-side * wall.plane.normal[1])) < TRUE_WITHIN_DEG
    for face in fitted.faces:
        assert face.gap.largest_mm < 1.5, face
        assert face.gap.seen_ratio == 1.0


def test_a_bead_of_the_floor_is_named(car):
    """A flat plate that must reach over the floor's pressings, 9 mm high, says so with the place."""
    foot = (-1700.0, 500.0, FLOOR_MM)
    bar = Bar(
        name="T",
        nodes_mm=(foot, (-1700.0, 500.0, 500.0)),
        clr_mm=137.5,
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
    )
    fitted = fit_landing(car, bar, Landing(bar_id="T", end="A", length_mm=120.0, width_mm=240.0))
    (found,) = [found for found in fitted.findings if found.code == "LAND-019"]
    assert 7.0 < found.measured < 11.0
    gap = fitted.faces[0].gap
    assert gap.high_at_mm == found.point_mm
    assert 0.3 < gap.within_ratio < 0.9


def test_the_gap_is_that_of_the_nearest_metal(car):
    """Rays square to the plate and the nearest metal of the whole scan tell the same, but for slopes."""
    bar = Bar(
        name="MH", nodes_mm=((-2050.0, 593.0, FLOOR_MM), (-2070.0, 615.0, 545.0)), clr_mm=137.5,
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
    )  # fmt: skip
    fitted = fit_landing(car, bar, Landing(bar_id="MH", end="A", kind=LandingKind.FOLDED))
    for face in fitted.faces:
        a, b, d = face.outline_mm[0], face.outline_mm[1], face.outline_mm[-1]
        share = np.stack(np.meshgrid(np.linspace(0.1, 0.9, 30), np.linspace(0.2, 0.9, 30)), -1).reshape(-1, 2)
        places = a + share[:, :1] * (b - a) + share[:, 1:] * (d - a)
        away = car.nearest(places).distance_mm
        assert away.max() <= face.gap.largest_mm + 0.05
        assert away.mean() == pytest.approx(face.gap.mean_mm, abs=0.15)

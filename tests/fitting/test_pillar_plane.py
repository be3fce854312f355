"""The B-pillars' plane: a cabin whose openings, and so its pillars, are cut where the test says."""

import numpy as np
import pytest

from hoopwright.findings import UserError
from hoopwright.fitting.pillar_plane import find_pillar_plane

STANDS_AT_MM = -950.0


def cabin(bodies, lean_deg=0.0, left_ahead_mm=0.0, piece_mm=20.0):
    """A cabin with two openings on each side; the pillar between them is 120 mm wide and leans."""
    openings = []
    slope = np.tan(np.radians(lean_deg))
    for low in np.arange(180.0, 980.0, piece_mm):
        for is_left in (True, False):
            middle = (
                STANDS_AT_MM - slope * (low + piece_mm / 2.0 - 580.0) + (left_ahead_mm if is_left else 0.0)
            )
            openings.append((middle + 60.0, middle + 500.0, is_left, low, low + piece_mm))
            openings.append((middle - 500.0, middle - 60.0, is_left, low, low + piece_mm))
    return bodies.shell_of(bodies.as_scan(bodies.cabin_soup(piece_mm=piece_mm, openings=openings)))


@pytest.mark.parametrize("lean_deg", [0.0, 12.0])
def test_station_and_lean_are_those_that_were_cut(bodies, lean_deg):
    found = find_pillar_plane(cabin(bodies, lean_deg))
    # the cut follows whole triangles of 20 mm
    assert found.forward_at_mm(580.0) == pytest.approx(STANDS_AT_MM, abs=15.0)
    assert found.lean_deg == pytest.approx(lean_deg, abs=1.5)
    assert found.residual_mm < 15.0
    assert abs(found.apart_mm) < 10.0


def test_sides_that_stand_apart_are_told_not_averaged(bodies):
    with pytest.raises(UserError) as stop:
        find_pillar_plane(cabin(bodies, left_ahead_mm=120.0))
    assert stop.value.findings[0].code == "FIT-061"
    assert "120 mm apart" in stop.value.findings[0].sentence


def test_a_body_without_openings_has_no_pillar(bodies):
    with pytest.raises(UserError) as stop:
        find_pillar_plane(bodies.shell_of(bodies.as_scan(bodies.cabin_soup())))
    assert stop.value.findings[0].code == "FIT-061"
    assert "0 heights" in stop.value.findings[0].sentence

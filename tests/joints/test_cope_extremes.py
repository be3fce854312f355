"""Smallest and greatest of a closed line from its generators, against the same line at a million places."""

import numpy as np
import pytest

from hoopwright.joints.cope.extremes import greatest, smallest

GRID = np.arange(360.0)
DENSE = np.linspace(0.0, 360.0, 1_000_001)


def smooth(deg):
    rad = np.radians(deg)
    return 20.0 * np.cos(rad - 0.7123) + 3.0 * np.sin(2.0 * rad) + 0.4 * np.cos(5.0 * rad + 1.0)


def skew(deg):
    """Its lowest place lies between generators, with a third difference that a corner has not."""
    u = np.radians(np.asarray(deg) - 180.3)
    return -40.0 * np.cos(u) - 20.0 * np.sin(u) ** 3


def equal_tubes(deg):
    """Two lines that meet on generators, at 90 and 270."""
    return 22.5 * np.abs(np.cos(np.radians(deg)))


def two_headers(deg):
    """Two lines that meet between generators."""
    return np.maximum(smooth(np.asarray(deg)), 22.5 * np.abs(np.cos(np.radians(deg) + 0.3)))


def sharp(deg):
    """As steep as a cope at 5 degrees."""
    return 250.0 * np.cos(np.radians(deg) - 0.31) + 10.0 * np.sin(6.0 * np.radians(deg))


def with_a_gap(deg):
    """Not cut over part of the turn, next to the smallest length."""
    deg = np.asarray(deg)
    return np.where((deg % 360.0 > 200.3) & (deg % 360.0 < 231.7), np.nan, smooth(deg))


@pytest.mark.parametrize("line", [smooth, skew, equal_tubes, two_headers, sharp, with_a_gap])
def test_as_at_a_million_places(line):
    dense = line(DENSE)
    low, low_deg = smallest(line, GRID, line(GRID))
    high, high_deg = greatest(line, GRID, line(GRID))
    within_mm = 1e-3 if line is with_a_gap else 1e-4
    assert low == pytest.approx(np.nanmin(dense), abs=within_mm)
    assert high == pytest.approx(np.nanmax(dense), abs=within_mm)
    assert float(line(low_deg)) == pytest.approx(low, abs=1e-5)
    assert float(line(high_deg)) == pytest.approx(high, abs=1e-5)


def test_a_smooth_line_is_not_looked_at_again():
    def never(deg):
        raise AssertionError(deg)

    assert smallest(never, GRID, smooth(GRID))[0] == pytest.approx(smooth(DENSE).min(), abs=1e-6)
    assert smallest(never, GRID, equal_tubes(GRID))[0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("turned_deg", [0.0, 0.001, 0.2, 0.5, 0.77, 0.999, -0.3, 17.4])
def test_where_two_smooth_lines_meet(turned_deg):
    """Between generators too, from either side, without looking again."""

    def never(deg):
        raise AssertionError(deg)

    def line(deg):
        rad = np.radians(np.asarray(deg) - turned_deg)
        return np.maximum(30.0 * np.cos(rad), 22.5 * np.cos(rad + 2.9) + 2.0)

    dense = line(DENSE)
    low, low_deg = smallest(never, GRID, line(GRID))
    assert low == pytest.approx(dense.min(), abs=2e-4)
    assert low == pytest.approx(float(line(low_deg)), abs=1e-5)

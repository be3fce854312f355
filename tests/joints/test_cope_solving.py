"""Many roots and lowest values at once, against scipy's one at a time."""

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from hoopwright.joints.cope.solving import lowest, roots

RATES = np.linspace(0.3, 9.0, 40)
ROWS = np.arange(40)


def bent(x, rows):
    return np.exp(RATES[rows] * x) - 2.0 - rows / 50.0


def barely(x, rows):
    """Nearly a double root: crosses at 0.5 after lying flat."""
    return (x - 0.5) ** 3 * (1.0 + RATES[rows])


def cup(x, rows):
    return np.hypot(x - 0.1 * RATES[rows], 0.2) - 0.2


@pytest.mark.parametrize("swapped", [False, True])
def test_roots(swapped):
    ends = (np.full(40, -1.0), np.full(40, 4.0))
    found = roots(bent, ROWS, *(ends[::-1] if swapped else ends))
    one_by_one = [brentq(bent, -1.0, 4.0, args=(row,), xtol=1e-13) for row in ROWS]
    assert found == pytest.approx(one_by_one, abs=1e-10)


def test_a_root_where_the_function_lies_flat():
    found = roots(barely, ROWS, np.full(40, -1.0), np.full(40, 3.7))
    assert found == pytest.approx(np.full(40, 0.5), abs=1e-6)


def test_lowest():
    places, values = lowest(cup, ROWS, np.full(40, -2.0), np.full(40, 3.0))
    for row in ROWS:
        one = minimize_scalar(cup, bracket=(-2.0, 0.1 * RATES[row] + 0.01, 3.0), args=(row,), tol=1e-12)
        assert places[row] == pytest.approx(one.x, abs=1e-5)
        assert values[row] == pytest.approx(one.fun, abs=1e-10)


@pytest.mark.parametrize("power", [2.0, 4.0])
def test_lowest_where_parabolas_creep(power):
    """Lopsided, flat or near an end: parabolas alone stop up to a hundredth of the span beside it."""
    at, tilt = np.repeat(np.linspace(-1.9, 2.9, 100), 4), np.tile([-0.3, -0.1, 0.15, 0.3], 100)

    def lopsided(x, rows):
        aside = x - at[rows]
        return np.abs(aside) ** power * (1.0 + tilt[rows] * np.tanh(aside))

    places, values = lowest(lopsided, np.arange(400), np.full(400, -2.0), np.full(400, 3.0))
    assert places == pytest.approx(at, abs=1e-5 if power == 2.0 else 5e-3)
    assert values == pytest.approx(np.zeros(400), abs=1e-9)


def test_a_root_beyond_a_steep_side_alone():
    """From the steep side the first guesses move by less than a root may be off."""
    steep = np.array([35])
    found = roots(bent, steep, np.array([-1.0]), np.array([4.0]))
    assert found == pytest.approx([brentq(bent, -1.0, 4.0, args=(35,), xtol=1e-13)], abs=1e-10)


def test_none_at_all():
    none = np.empty(0)
    assert roots(bent, none.astype(int), none, none).shape == (0,)
    assert lowest(cup, none.astype(int), none, none)[0].shape == (0,)

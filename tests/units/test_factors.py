import pytest

from hoopwright.units import KG_PER_M3_TO_KG_PER_MM3, MM_PER_FOOT, MM_PER_INCH, MM_PER_UNIT


def test_inch_and_foot():
    """International yard and pound agreement, 1959: 1 yd = 0.9144 m exactly."""
    assert pytest.approx(914.4, rel=1e-15) == 36 * MM_PER_INCH
    assert pytest.approx(914.4, rel=1e-15) == 3 * MM_PER_FOOT
    assert MM_PER_UNIT == {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


def test_a_cubic_metre_of_water():
    assert pytest.approx(1000.0) == 1000.0 * KG_PER_M3_TO_KG_PER_MM3 * 1000.0**3


def test_the_factors_cannot_be_changed():
    with pytest.raises(TypeError):
        MM_PER_UNIT["in"] = 1.0

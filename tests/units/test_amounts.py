"""Areas and masses as people type them."""

import pytest

from hoopwright.findings import UserError
from hoopwright.units import parse_area_mm2, parse_mass_kg


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("120 cm2", 12_000.0),
        ("120cm²", 12_000.0),
        ("12000 mm^2", 12_000.0),
        ("1 in2", 645.16),  # exact, since the inch is 25.4 mm
        ("100 sq in", 64_516.0),
        ("12,5 cm2", 1250.0),
        (".5 SQ. IN.", 322.58),
    ],
)
def test_areas(text, area):
    assert parse_area_mm2(text) == pytest.approx(area, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "bare", "mass"),
    [
        ("1180", "kg", 1180.0),
        ("1 lb", "kg", 0.45359237),
        ("2700", "lb", 1224.699399),
        ("2700 lbs", "kg", 1224.699399),
    ],
)
def test_masses(text, bare, mass):
    assert parse_mass_kg(text, bare_unit=bare) == pytest.approx(mass, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["", "120", "cm2", "120 mm", "-5 cm2", "1,200 cm2", "1.200,5 cm2", "nan cm2", "9" * 400 + " cm2"]
)
def test_areas_that_are_none(text):
    with pytest.raises(UserError) as error:
        parse_area_mm2(text)
    assert error.value.findings[0].code == "UNIT-003"


@pytest.mark.parametrize("text", ["", "kg", "1,180 kg", "1180 stone", "-1 kg", "1 1/2 lb"])
def test_masses_that_are_none(text):
    with pytest.raises(UserError):
        parse_mass_kg(text)

"""Factors, and lengths and angles as people type and read them."""

from hoopwright.units.amounts import parse_area_mm2, parse_mass_kg
from hoopwright.units.angles import format_angle, parse_angle_deg
from hoopwright.units.factors import (
    KG_PER_M3_TO_KG_PER_MM3,
    KG_PER_POUND,
    KG_PER_UNIT,
    MM2_PER_UNIT,
    MM_PER_FOOT,
    MM_PER_INCH,
    MM_PER_UNIT,
    STANDARD_GRAVITY_M_PER_S2,
)
from hoopwright.units.lengths import LengthUnit, format_inches, format_length, parse_length_mm
from hoopwright.units.shown import nearest, shown
from hoopwright.units.told import told_in

__all__ = [
    "KG_PER_M3_TO_KG_PER_MM3",
    "KG_PER_POUND",
    "KG_PER_UNIT",
    "MM2_PER_UNIT",
    "MM_PER_FOOT",
    "MM_PER_INCH",
    "MM_PER_UNIT",
    "STANDARD_GRAVITY_M_PER_S2",
    "LengthUnit",
    "format_angle",
    "format_inches",
    "format_length",
    "nearest",
    "parse_angle_deg",
    "parse_area_mm2",
    "parse_length_mm",
    "parse_mass_kg",
    "shown",
    "told_in",
]

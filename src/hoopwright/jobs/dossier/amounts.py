"""Values as the file prints them."""

from hoopwright.units import MM_PER_INCH, LengthUnit

_CM2 = 100.0


def fine(length_mm: float, unit: LengthUnit) -> str:
    """A length that is held against a limit: to a tenth of a millimetre, or to a thousandth of an inch."""
    return f"{length_mm:.1f} mm" if unit == "mm" else f'{length_mm / MM_PER_INCH:.3f}"'


def area(area_mm2: float, unit: LengthUnit) -> str:
    """An area in square centimetres or square inches."""
    return f"{area_mm2 / _CM2:.1f} cm2" if unit == "mm" else f"{area_mm2 / MM_PER_INCH**2:.2f} in2"


def amount(value: float | None, unit: str, length_unit: LengthUnit) -> str:
    """A value with its unit, lengths in the unit of the file; empty where there is none."""
    if value is None:
        return ""
    if unit == "mm":
        return fine(value, length_unit)
    return f"{value:.2f}°" if unit == "deg" else f"{value:.2f} {unit}".rstrip()


def in_mm(unit: LengthUnit) -> str:
    """What is said under tables whose words hold lengths, in a file in inches."""
    return "" if unit == "mm" else " Lengths within words are in mm."

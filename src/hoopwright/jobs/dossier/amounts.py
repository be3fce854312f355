"""Values as the file prints them."""

from types import MappingProxyType

from hoopwright.units import MM_PER_INCH, LengthUnit, shown

_CM2 = 100.0
_SIGNS = MappingProxyType({">=": "≥", "<=": "≤", "cm2": "cm²", "mm2": "mm²", "in2": "in²"})


def fine(length_mm: float, unit: LengthUnit) -> str:
    """A length that is held against a limit: to a tenth of a millimetre, or to a thousandth of an inch."""
    # halves of the last figure round alike everywhere, whatever the last bits of a sum
    return f"{shown(length_mm, 1)} mm" if unit == "mm" else f'{shown(length_mm / MM_PER_INCH, 3)}"'


def area(area_mm2: float, unit: LengthUnit) -> str:
    """An area in square centimetres or square inches."""
    return (
        f"{shown(area_mm2 / _CM2, 1)} cm²" if unit == "mm" else f"{shown(area_mm2 / MM_PER_INCH**2, 2)} in²"
    )


def amount(value: float | None, unit: str, length_unit: LengthUnit) -> str:
    """A value with its unit, lengths in the unit of the file; empty where there is none."""
    if value is None:
        return ""
    if unit == "mm":
        return fine(value, length_unit)
    return f"{shown(value, 2)}°" if unit == "deg" else f"{shown(value, 2)} {unit}".rstrip()


def printed(words: str) -> str:
    """A limit or a value as it is typed in a book, with the signs of print."""
    for typed, sign in _SIGNS.items():
        words = words.replace(typed, sign)
    return words


def in_mm(unit: LengthUnit) -> str:
    """What is said under tables whose words hold lengths, in a file in inches."""
    return "" if unit == "mm" else " Lengths within words are in mm."

"""Sentences that hold lengths in mm, as a person reads them who works in inches."""

import re

from hoopwright.units.factors import MM_PER_INCH
from hoopwright.units.lengths import LengthUnit, format_inches

_NUMBER = r"-?\d+(?:\.\d+)?"
_PLACE = rf"(?<=at ){_NUMBER}, {_NUMBER}, {_NUMBER}"
_LENGTHS = re.compile(rf"(?<![\w.])(?:{_PLACE}|{_NUMBER}(?: (?:to|x) {_NUMBER})*) mm\b")
_ONE = re.compile(_NUMBER)
_FINE_MM = 6.0
"""Below this a sixteenth of an inch is too coarse: thousandths."""


def told_in(text: str, unit: LengthUnit) -> str:
    """A sentence with its lengths in a unit; nothing else of it changes, names of regions neither.

    Args:
        text: Words with lengths such as `12.3 mm`, `10 to 20 mm` or `at -900, 680, 620 mm`.
        unit: The unit that is read.
    """
    if unit == "mm":
        return text
    return _LENGTHS.sub(lambda found: _ONE.sub(_inches, found[0].removesuffix(" mm")), text)


def _inches(found: re.Match[str]) -> str:
    length_mm = float(found[0])
    if abs(length_mm) >= _FINE_MM or length_mm == 0.0:
        return format_inches(length_mm)
    return f'{length_mm / MM_PER_INCH:.3f}"'

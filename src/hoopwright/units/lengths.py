"""Lengths as people type them (`44,45`, `1 3/4`, `1-3/4"`, `2' 6 1/2"`) and as they read them."""

import math
import re
from fractions import Fraction
from typing import Literal

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units.factors import MM_PER_FOOT, MM_PER_INCH, MM_PER_UNIT
from hoopwright.units.shown import nearest, shown

LengthUnit = Literal["mm", "in"]

_NUMBER = r"(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_FRACTION = r"(?:(?P<whole>\d{1,9})(?:\s+|\s*-\s*))?(?P<over>\d{1,9})\s*/\s*(?P<under>\d{1,9})"
_SUFFIX = r"(?P<suffix>mm|cm|m|inches|inch|in|feet|foot|ft|\"|')?"
_PLAIN = re.compile(rf"(?P<sign>[+-]?)\s*(?P<number>{_NUMBER}(?:e[+-]?\d+)?)\s*{_SUFFIX}")
_FRACTIONAL = re.compile(rf"(?P<sign>[+-]?)\s*{_FRACTION}\s*{_SUFFIX}")
_FEET = re.compile(r"(?P<sign>[+-]?)\s*(?P<feet>\d{1,9})\s*(?:'|ft|feet|foot)\s*-?\s*(?P<rest>\S.*)")
_UNIT_OF_SUFFIX = {'"': "in", "inch": "in", "inches": "in", "'": "ft", "feet": "ft", "foot": "ft"}
# `1'000` is a thousand to a Swiss reader and one foot to nobody: not for us to choose.
_GROUP_OF_THREE = re.compile(r"\d{3}(?:[.,]\d*)?")
# Typographic marks that keyboards and documents put in place of the plain ones.
_PLAIN_MARKS = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "−": "-", "–": "-", "\u00a0": " "}
)


def parse_length_mm(text: str, *, bare_unit: str = "mm") -> float:
    """Read one typed length.

    A bare decimal is in `bare_unit`; a bare fraction is inches. A comma is a decimal comma, and a number
    with both a comma and a point, or with just three digits after a comma (unless a lone 0 stands before
    it), is refused rather than guessed.

    Args:
        text: What the person typed.
        bare_unit: Unit of a number without a suffix: mm, cm, m, in or ft.

    Returns:
        The length in mm.

    Raises:
        UserError: `UNIT-001` when the text cannot be read as exactly one finite length.
    """
    cleaned = text.translate(_PLAIN_MARKS).replace("''", '"').strip().lower()
    feet = _FEET.fullmatch(cleaned)
    if feet is not None:
        return _feet_and_inches_mm(feet, text)
    fractional = _FRACTIONAL.fullmatch(cleaned)
    if fractional is not None:
        return _fraction_mm(fractional, text)
    plain = _PLAIN.fullmatch(cleaned)
    if plain is None or _is_ambiguous(plain["number"]):
        raise _unreadable(text)
    value = float(plain["number"].replace(",", ".")) * (-1.0 if plain["sign"] == "-" else 1.0)
    value_mm = value * MM_PER_UNIT[_unit_of(plain["suffix"]) or bare_unit]
    if not math.isfinite(value_mm):
        raise _unreadable(text)
    return value_mm


def _feet_and_inches_mm(match: re.Match[str], text: str) -> float:
    rest = match["rest"]
    if rest.startswith(("-", "+")) or "'" in rest or _GROUP_OF_THREE.fullmatch(rest):
        raise _unreadable(text)
    try:
        inches_mm = parse_length_mm(rest, bare_unit="in")
    except UserError:
        raise _unreadable(text) from None
    if not 0.0 <= inches_mm < MM_PER_FOOT - 1e-6:
        raise _unreadable(text)
    total_mm = int(match["feet"]) * MM_PER_FOOT + inches_mm
    return -total_mm if match["sign"] == "-" else total_mm


def _fraction_mm(match: re.Match[str], text: str) -> float:
    over, under, whole = int(match["over"]), int(match["under"]), int(match["whole"] or 0)
    if under == 0:
        raise _unreadable(text)
    unit = _unit_of(match["suffix"]) or "in"
    value_mm = float(Fraction(whole) + Fraction(over, under)) * MM_PER_UNIT[unit]
    return -value_mm if match["sign"] == "-" else value_mm


def _unit_of(suffix: str | None) -> str | None:
    return None if suffix is None else _UNIT_OF_SUFFIX.get(suffix, suffix)


def _is_ambiguous(number: str) -> bool:
    """`1,234` may be one and a bit or a thousand and more: not for us to choose."""
    if "," in number and "." in number:
        return True
    whole, comma, decimals = number.partition("e")[0].partition(",")
    return bool(comma) and len(decimals) == 3 and whole not in ("", "0")


def _unreadable(text: str) -> UserError:
    return UserError(
        Finding(
            code="UNIT-001",
            severity=Severity.STOP,
            sentence=f"'{text[:60]}' cannot be read as one length.",
            todo="Type a number with a unit, such as 44.45 mm, 1 3/4 in or 2' 6 1/2\". "
            "Leave out thousands separators.",
            objects=(text,),
        )
    )


def format_length(length_mm: float, unit: LengthUnit = "mm", *, decimals: int = 1) -> str:
    """The length as it is read off a tape: `627.8 mm`, or inches to the nearest sixteenth."""
    if unit == "mm":
        return f"{shown(length_mm, decimals)} mm"
    return format_inches(length_mm)


def format_inches(length_mm: float, *, denominator: int = 16) -> str:
    """Inches to the nearest 1/`denominator`, as a tape shows them: `24 11/16"`."""
    steps = nearest(abs(length_mm) / MM_PER_INCH * denominator)
    whole, part = divmod(steps, denominator)
    sign = "-" if length_mm < 0 and steps else ""
    if part == 0:
        return f'{sign}{whole}"'
    fraction = Fraction(part, denominator)
    lead = f"{whole} " if whole else ""
    return f'{sign}{lead}{fraction.numerator}/{fraction.denominator}"'

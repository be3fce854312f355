"""Angles, counts and areas as people type them."""

from hoopwright.jobs.areas import area_mm2
from hoopwright.jobs.typed import unreadable
from hoopwright.units import parse_angle_deg, shown
from hoopwright.web.entries import Entry

MOST_COUNT = 99
_GREATEST = 1e9
MM2_PER_CM2 = 100.0


def angle_entry(label: str, *, value: str = "", hint: str = "") -> Entry[float]:
    """An angle in degrees."""
    return Entry(label, parse_angle_deg, lambda angle_deg: f"{angle_deg:g}°", value=value, hint=hint)


def count_entry(label: str, *, value: str = "", hint: str = "") -> Entry[int]:
    """How many."""
    return Entry(label, _count, str, value=value, hint=hint)


def number_entry(label: str, *, value: str = "", hint: str = "") -> Entry[float]:
    """A plain number, such as a share."""
    return Entry(label, _number, lambda number: f"{number:g}", value=value, hint=hint)


def _count(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and int(text) <= MOST_COUNT):
        raise unreadable(text, f"a whole number from 0 to {MOST_COUNT}")
    return int(text)


def _number(text: str) -> float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        raise unreadable(text, "a plain number, such as 0.0301") from None
    if not abs(number) <= _GREATEST:
        raise unreadable(text, "a plain number, such as 0.0301")
    return number


def area_entry(label: str, *, value: str = "", hint: str = "") -> Entry[float]:
    """An area; a bare number is cm2."""
    return Entry(label, area_mm2, lambda area: f"{shown(area / MM2_PER_CM2, 1)} cm²", value=value, hint=hint)

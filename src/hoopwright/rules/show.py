"""Values and limits as a person reads them, in the unit of the book."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from hoopwright.rules.kinds.limits import Sense, meets
from hoopwright.tubes import TubeSize
from hoopwright.units import KG_PER_UNIT, MM2_PER_UNIT, MM_PER_UNIT, LengthUnit, format_inches, shown

_DECIMALS = {
    "mm": 1,
    "in": 3,
    "deg": 1,
    "mm2": 1,
    "mm4": 0,
    "cm2": 1,
    "in2": 2,
    "MPa": 0,
    "%": 2,
    "x OD": 2,
    "s": 1,
    "kg": 1,
    "lb": 0,
}
_MOST_DECIMALS = 7
_CLEAN = 9  # 6 in held as 152.4 mm comes back as 6, not as 5.999999999999999
_SIGNS = {"least": ">= ", "most": "<= ", "": ""}


@dataclass(frozen=True, kw_only=True)
class Show:
    """How values are shown.

    Args:
        unit: Of lengths; areas follow it.
        weight_unit: Of the car's weight.
    """

    unit: LengthUnit = "mm"
    weight_unit: str = "kg"

    def in_book(self, value: float, unit: str) -> tuple[float, str]:
        """A value of a check in the unit of the book, and that unit."""
        if unit == "mm":
            return round(value / MM_PER_UNIT[self.unit], _CLEAN), self.unit
        if unit == "area":
            area = "in2" if self.unit == "in" else "cm2"
            return round(value / MM2_PER_UNIT[area], _CLEAN), area
        if unit == "kg":
            return round(value / KG_PER_UNIT[self.weight_unit], _CLEAN), self.weight_unit
        return value, unit

    def length(self, length_mm: float) -> str:
        """A length: `100 mm`, `6 in`."""
        return self.typed(length_mm, "mm")

    def for_the_shop(self, length_mm: float) -> str:
        """A length to work to: whole millimetres, or sixteenths of an inch."""
        return f"{shown(length_mm, 0)} mm" if self.unit == "mm" else format_inches(length_mm)

    def typed(self, value: float, unit: str) -> str:
        """A number as it was typed in the book, without trailing zeros; a weight in pounds with its kilograms."""
        number, label = self.in_book(value, unit)
        kilograms = f" ({_plain(float(shown(value, 1)))} kg)" if label == "lb" else ""
        return _with_unit(_plain(number), label) + kilograms

    def limit(self, value: float, unit: str, sense: Sense, *, strict: bool = False) -> str:
        """A limit with its sign: `>= 30 deg`, `< 10 deg`."""
        sign = _SIGNS[sense].replace("= ", " ") if strict else _SIGNS[sense]
        return sign + self.typed(value, unit)

    def measured(self, value: float, unit: str, limit: float | None = None, sense: Sense = "") -> str:
        """A measured value, with as many decimals as it takes to tell it from the limit that it misses."""
        number, label = self.in_book(value, unit)
        decimals = _DECIMALS.get(label, 3)
        if not label and number == round(number) and abs(number) < 1000:
            decimals = 0
        if limit is not None and sense and not meets(value, limit, sense):
            against = self.in_book(limit, unit)[0]
            while meets(float(shown(number, decimals)), against, sense) and decimals < _MOST_DECIMALS:
                decimals += 1
        return _with_unit(shown(number, decimals), label)

    def tube(self, tube: TubeSize) -> str:
        """A tube: `45 x 2.5 mm`, `1.75 x 0.095 in`."""
        factor = MM_PER_UNIT[self.unit]
        return f"{_plain(tube.od_mm / factor)} x {_plain(tube.wall_mm / factor)} {self.unit}"


def one_of(words: Iterable[str]) -> str:
    """A choice in words: `a, b or c`."""
    several = list(words)
    return " or ".join([", ".join(several[:-1]), several[-1]]) if len(several) > 1 else "".join(several)


def _plain(number: float) -> str:
    text = shown(number, 4) if abs(number) < 1e6 and math.isfinite(number) else f"{number:g}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _with_unit(number: str, unit: str) -> str:
    if unit == "deg":
        return f"{number}°"
    return f"{number} {unit}".strip() if unit != "%" else f"{number} %"

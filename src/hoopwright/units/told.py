"""Sentences that hold lengths in mm, as a person reads them who works in inches."""

import math
import re
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from hoopwright.units.factors import MM2_PER_UNIT, MM_PER_FOOT, MM_PER_INCH, MM_PER_UNIT
from hoopwright.units.lengths import LengthUnit, format_inches

_NUMBER = r"[-+]?\d+(?:\.\d+)?"
_RATIO = r"(?!\w|/| per (?:metre|m)\b)"
_PARTS = (
    # a command, a name, or what somebody typed: said as it is
    r"(?P<kept>(?<!\w)'[^'\n]*'(?!\w)|(?<!\w)\"[^\"\n]*\"(?!\w)|`[^`\n]*`"
    rf"|\bsuch as {_NUMBER} ?(?:mm|cm|m|in)\b)",
    rf"(?P<place>(?<=at ){_NUMBER}, {_NUMBER}, {_NUMBER}(?: mm{_RATIO})?"
    rf"|\bforward {_NUMBER}, left {_NUMBER}, up {_NUMBER} mm{_RATIO})",
    rf"(?P<length>(?<![\w.])(?:(?<=between ){_NUMBER} and {_NUMBER}"
    rf"|{_NUMBER}(?: (?:to|x|/|±) {_NUMBER})*) mm{_RATIO})",
    rf"(?P<area>(?<![\w.]){_NUMBER}(?: (?:to|/) {_NUMBER})* (?P<of>[cm]m2){_RATIO})",
    rf"(?P<metres>(?<![\w.]){_NUMBER}(?: (?:to|x|/) {_NUMBER})* m{_RATIO})",
)
_ONE = re.compile(_NUMBER)
_FINE_MM = 6.0
"""Below this a sixteenth of an inch is too coarse: thousandths."""
_TAPE, _FINEST = 16, 6
_NO_MORE = re.compile(r"(?:at most|up to|within|under) $")
_NO_LESS = re.compile(r"(?:at least|over|more than) $")
_RANGE = re.compile(r"(?:Type|from|outside|be|is) $")

Rounding = Callable[[float], float]


def told_in(text: str, unit: LengthUnit, *, kept: Sequence[str] = ()) -> str:
    """A sentence with its lengths in a unit; nothing else of it changes, names of regions neither.

    Inches are told to the sixteenth that a tape shows, below 6 mm to the thousandth. Where two different lengths of the
    text would be told alike, all of it is told finer. What may be at most so long is rounded down, what must be
    at least so long up. What stands in quotes is left as it is, and so is a ratio such as mm per metre.

    Args:
        text: Words with lengths such as `12.3 mm`, `28.2 / 27.9 mm`, `10 to 20 mm`, `at -900, 680, 620 mm` or
            `110.0 cm2`.
        unit: The unit that is read.
        kept: Names that the text holds and that are left as they are.
    """
    if unit == "mm":
        return text
    names = "|".join(re.escape(name) for name in sorted(kept, key=len, reverse=True) if name)
    whole = re.compile("|".join(([rf"(?P<name>(?<!\w)(?:{names})(?!\w))"] if names else []) + list(_PARTS)))
    ways = _ways(text, [found for found in whole.finditer(text) if found["length"]])
    decimals = next((n for n in (None, 3, 4, 5) if _tells_apart(ways, n)), _FINEST)

    def tell(found: re.Match[str]) -> str:
        if found["length"]:
            return _ONE.sub(lambda one: _written(float(one[0]), ways, decimals), _bare(found))
        if found["place"]:
            return _ONE.sub(lambda one: format_inches(float(one[0])), found["place"].removesuffix(" mm"))
        if found["area"]:
            return _finer(found["area"], MM2_PER_UNIT[found["of"]] / MM2_PER_UNIT["in2"], found["of"], "in2")
        if found["metres"]:
            return _finer(found["metres"], MM_PER_UNIT["m"] / MM_PER_FOOT, "m", "ft")
        return found[0]

    return whole.sub(tell, text)


def _bare(found: re.Match[str]) -> str:
    return found["length"].removesuffix(" mm")


def _ways(text: str, lengths: Sequence[re.Match[str]]) -> dict[float, Rounding]:
    """Each length of a text and the way in which it is rounded, which is one wherever it stands."""
    ways: dict[float, Rounding] = {}
    for found in lengths:
        numbers = [float(one) for one in _ONE.findall(_bare(found))]
        before, after = text[: found.start()], text[found.end() :]
        if len(numbers) > 1 and _RANGE.search(before) and " to " in found["length"]:
            ways |= {numbers[0]: math.ceil, numbers[-1]: math.floor}
        elif after.startswith(" or less") or _NO_MORE.search(before):
            ways[numbers[-1]] = math.floor
        elif after.startswith(" or more") or _NO_LESS.search(before):
            ways[numbers[-1]] = math.ceil
    all_of_them = [float(one) for found in lengths for one in _ONE.findall(_bare(found))]
    return {number: ways.get(number, round) for number in all_of_them}


def _tells_apart(ways: Mapping[float, Rounding], decimals: int | None) -> bool:
    """Whether what is longer is told as longer."""
    told = sorted((abs(value), abs(_rounded(value, way, decimals))) for value, way in ways.items())
    return all(one[0] == other[0] or one[1] < other[1] for one, other in pairwise(told))


def _rounded(length_mm: float, way: Rounding, decimals: int | None) -> float:
    """In inches; without decimals as a tape shows it."""
    steps = 10.0 ** (decimals or 3) if decimals or 0.0 < abs(length_mm) < _FINE_MM else _TAPE
    # what is whole but for its last bit is not rounded to the next step
    return way(round(length_mm / MM_PER_INCH * steps, 6)) / steps


def _written(length_mm: float, ways: Mapping[float, Rounding], decimals: int | None) -> str:
    inches = _rounded(length_mm, ways[length_mm], decimals)
    if decimals is None and not 0.0 < abs(length_mm) < _FINE_MM:
        return format_inches(inches * MM_PER_INCH)
    return f'{inches:.{decimals or 3}f}"'


def _finer(words: str, factor: float, unit: str, told: str) -> str:
    """Numbers before a unit in another one, with a decimal more than they had."""

    def other(one: re.Match[str]) -> str:
        decimals = len(one[0].partition(".")[2])
        return f"{float(one[0]) * factor:.{decimals + 1}f}"

    return f"{_ONE.sub(other, words.removesuffix(f' {unit}'))} {told}"

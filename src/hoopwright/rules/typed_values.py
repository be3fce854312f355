"""Numbers as people type them in a rule book: with a unit in quotes, or bare in the book's own unit."""

import datetime as dt
import math
import re
from fractions import Fraction
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationInfo

from hoopwright.cage.member import Role
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize
from hoopwright.units import (
    KG_PER_UNIT,
    MM_PER_UNIT,
    parse_angle_deg,
    parse_area_mm2,
    parse_length_mm,
    parse_mass_kg,
)

_UNIT_AT_END = re.compile(r".*[0-9.]\s*(?P<unit>mm|cm|in|inch|inches|\")")
_CROSS = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_LARGEST = 1e7


class BookKeys(BaseModel):
    """A table of a rule book that refuses keys it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)


def book_unit(info: ValidationInfo) -> str:
    """Unit of bare lengths: the book's."""
    return str((info.context or {}).get("unit", "mm"))


def plain_number(value: Any) -> float:
    """A finite number that was typed without a unit.

    Raises:
        ValueError: In words for a person.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        msg = f"'{str(value)[:60]}' is not a number"
        raise ValueError(msg)
    if not (abs(value) <= _LARGEST and math.isfinite(value)):
        msg = f"{str(value)[:20]} is no number for a rule"
        raise ValueError(msg)
    return float(value)


def length_mm(value: Any, unit: str) -> float:
    """A length in mm, bare in `unit`.

    Raises:
        ValueError: In words for a person.
    """
    if isinstance(value, str):
        return _read(value, lambda text: parse_length_mm(text, bare_unit=unit))
    return plain_number(value) * MM_PER_UNIT[unit]


def tube_size(value: Any, unit: str) -> TubeSize:
    """A tube from `"1.75 x .095 in"` or `[45, 2.5]`; a unit at the end holds for both numbers.

    Raises:
        ValueError: In words for a person.
    """
    parts = _CROSS.split(value.strip()) if isinstance(value, str) else value
    if not isinstance(parts, list) or len(parts) != 2:
        msg = f'\'{str(value)[:60]}\' is not a tube: type diameter x wall, such as "45 x 2.5" or "1.75 x .095 in"'
        raise ValueError(msg)
    at_end = _UNIT_AT_END.fullmatch(str(parts[1]).strip().lower())
    both = unit if at_end is None else ("in" if at_end["unit"] in ('"', "inch", "inches") else at_end["unit"])
    od, wall = (length_mm(part, both) for part in parts)
    try:
        return TubeSize(od_mm=od, wall_mm=wall)
    except UserError as error:
        raise ValueError(error.findings[0].sentence.rstrip(".")) from None


def _read(text: str, parse: Any) -> float:
    try:
        value = float(parse(text))
    except UserError as error:
        raise ValueError(error.findings[0].sentence.rstrip(".")) from None
    return plain_number(value)


def _length(value: Any, info: ValidationInfo) -> float:
    return length_mm(value, book_unit(info))


def _tube(value: Any, info: ValidationInfo) -> TubeSize:
    return value if isinstance(value, TubeSize) else tube_size(value, book_unit(info))


def _not_negative(value: float) -> float:
    """The number, which must not be negative.

    Raises:
        ValueError: In words for a person.
    """
    if value < 0.0:
        msg = f"{value:g} is negative"
        raise ValueError(msg)
    return value


def angle_deg(value: Any) -> float:
    """An angle in degrees.

    Raises:
        ValueError: In words for a person.
    """
    return _read(value, parse_angle_deg) if isinstance(value, str) else plain_number(value)


def _area(value: Any) -> float:
    if not isinstance(value, str):
        msg = f'the area {str(value)[:20]} needs its unit, in quotes: "120 cm2" or "100 in2"'
        raise ValueError(msg)
    return _read(value, parse_area_mm2)


def _mass(value: Any, info: ValidationInfo) -> float:
    unit = str((info.context or {}).get("weight_unit", "kg"))
    if isinstance(value, str):
        return _read(value, lambda text: parse_mass_kg(text, bare_unit=unit))
    return plain_number(value) * KG_PER_UNIT[unit]


def ratio(value: Any) -> float:
    """A plain number, or a fraction such as `2/3`.

    Raises:
        ValueError: In words for a person.
    """
    if isinstance(value, str):
        try:
            return plain_number(float(Fraction(value.replace(" ", ""))))
        except (ValueError, ZeroDivisionError):
            msg = f"'{value[:60]}' is not a ratio such as 0.9 or 2/3"
            raise ValueError(msg) from None
    return plain_number(value)


def _count(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 1000:
        msg = f"'{str(value)[:60]}' is not a whole number from 0 to 1000"
        raise ValueError(msg)
    return value


def _text(value: Any) -> str:
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        msg = f"'{str(value)[:60]}' is not a text"
        raise ValueError(msg)
    return str(value).strip()


def as_list(value: Any) -> Any:
    """One thing that was typed without brackets, as a list."""
    return value if isinstance(value, list) else [value]


SignedLength = Annotated[float, BeforeValidator(_length)]
Length = Annotated[float, BeforeValidator(_length), AfterValidator(_not_negative)]
Tube = Annotated[TubeSize, BeforeValidator(_tube)]
SignedAngle = Annotated[float, BeforeValidator(angle_deg)]
Angle = Annotated[float, BeforeValidator(angle_deg), AfterValidator(_not_negative)]
Area = Annotated[float, BeforeValidator(_area)]
Mass = Annotated[float, BeforeValidator(_mass), AfterValidator(_not_negative)]
Ratio = Annotated[float, BeforeValidator(ratio), AfterValidator(_not_negative)]
SignedNumber = Annotated[float, BeforeValidator(plain_number)]
Number = Annotated[float, BeforeValidator(plain_number), AfterValidator(_not_negative)]
Count = Annotated[int, BeforeValidator(_count)]
Text = Annotated[str, BeforeValidator(_text)]
Texts = Annotated[tuple[Text, ...], BeforeValidator(as_list)]
RoleList = Annotated[tuple[Role, ...], BeforeValidator(as_list)]

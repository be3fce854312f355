"""Numbers and texts as people type them in the bender's files, read with their units."""

import datetime as dt
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict

from hoopwright.findings import UserError
from hoopwright.units import parse_angle_deg, parse_length_mm


def _length(value: Any) -> float:
    return _number(value, parse_length_mm)


def _angle(value: Any) -> float:
    return _number(value, parse_angle_deg)


def _plain(value: Any) -> float:
    return _number(value, float)


def _number(value: Any, parse: Any) -> float:
    if isinstance(value, str):
        try:
            return float(parse(value))
        except UserError as error:
            raise ValueError(error.findings[0].sentence.rstrip(".")) from None
    if isinstance(value, bool) or not isinstance(value, int | float):
        msg = f"'{value}' is not a number"
        raise ValueError(msg)
    try:
        return float(value)
    except OverflowError:
        msg = "the number is too large"
        raise ValueError(msg) from None


def _text(value: Any) -> str:
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, str | int) and not isinstance(value, bool):
        return str(value)
    msg = f"'{value}' is not a text"
    raise ValueError(msg)


TypedLength = Annotated[float, BeforeValidator(_length)]
TypedAngle = Annotated[float, BeforeValidator(_angle)]
TypedNumber = Annotated[float, BeforeValidator(_plain)]
TypedText = Annotated[str, BeforeValidator(_text)]


class KnownKeys(BaseModel):
    """A table of a file that refuses keys it does not know."""

    model_config = ConfigDict(extra="forbid")

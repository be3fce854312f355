"""Angles as people type and read them."""

import math
import re

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units.shown import shown

_ANGLE = re.compile(r"(?P<number>[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?)\s*(?:°|deg|degrees)?")


def parse_angle_deg(text: str) -> float:
    """Read one typed angle, in degrees: `72.5`, `72,5`, `72.5°`.

    Raises:
        UserError: `UNIT-002` when the text is not one finite angle.
    """
    match = _ANGLE.fullmatch(text.strip().lower().replace("−", "-"))
    value = float(match["number"].replace(",", ".")) if match else math.nan
    if not math.isfinite(value):
        raise UserError(
            Finding(
                code="UNIT-002",
                severity=Severity.STOP,
                sentence=f"'{text[:60]}' cannot be read as one angle.",
                todo="Type degrees, such as 72.5.",
                objects=(text,),
            )
        )
    return value


def format_angle(angle_deg: float, *, decimals: int = 1) -> str:
    """Degrees as a protractor is read: `72.5°`, without a negative zero."""
    return f"{shown(angle_deg, decimals)}°"

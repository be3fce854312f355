"""Areas and masses as people type them: `120 cm2`, `100 sq in`, `2700 lb`."""

import math
import re
from collections.abc import Mapping

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units.factors import KG_PER_UNIT, MM2_PER_UNIT

_AMOUNT = re.compile(r"(?P<number>\d+(?:[.,]\d*)?|[.,]\d+)\s*(?P<unit>[a-z][a-z0-9 .]*)?")
THOUSANDS = re.compile(r"[1-9]\d*,\d{3}")
"""A number that may be meant with a thousands separator, and is refused."""
_SAME_UNIT = {
    **dict.fromkeys(("sq in", "sq. in", "sq in.", "sq. in.", "sqin", "in sq"), "in2"),
    **dict.fromkeys(("sq cm", "sqcm"), "cm2"),
    **dict.fromkeys(("sq mm", "sqmm"), "mm2"),
    **dict.fromkeys(("lbs", "lb.", "lbs.", "pounds", "pound"), "lb"),
}


def parse_area_mm2(text: str) -> float:
    """Read one typed area, in mm2; its unit (mm2, cm2, in2) must be typed.

    Raises:
        UserError: `UNIT-003`.
    """
    return _parse(text, MM2_PER_UNIT, None, "area", "a number with its unit, such as 120 cm2 or 18.6 in2")


def parse_mass_kg(text: str, *, bare_unit: str = "kg") -> float:
    """Read one typed mass, in kg.

    Args:
        text: What the person typed.
        bare_unit: Unit of a number without one: kg or lb.

    Raises:
        UserError: `UNIT-003`.
    """
    return _parse(text, KG_PER_UNIT, bare_unit, "mass", "a number with kg or lb, such as 1180 kg")


def _parse(text: str, factors: Mapping[str, float], bare: str | None, what: str, like: str) -> float:
    match = _AMOUNT.fullmatch(text.strip().lower().replace("²", "2").replace("^2", "2"))
    if match is not None:
        unit = (match["unit"] or bare or "").strip()
        factor = factors.get(_SAME_UNIT.get(unit, unit))
        value = float(match["number"].replace(",", ".")) * factor if factor is not None else math.nan
        if math.isfinite(value) and not THOUSANDS.fullmatch(match["number"]):
            return value
    raise UserError(
        Finding(
            code="UNIT-003",
            severity=Severity.STOP,
            sentence=f"'{text[:60]}' cannot be read as one {what}.",
            todo=f"Type {like}. Leave out thousands separators.",
            objects=(text,),
        )
    )

"""Areas as people type them."""

import math

from hoopwright.jobs.typed import unreadable
from hoopwright.units import MM_PER_INCH


def area_mm2(text: str) -> float:
    """An area; a bare number is cm2, other units are cm2, mm2 and in2.

    Raises:
        UserError: `TYPED-001`.
    """
    factors = {"cm2": 100.0, "mm2": 1.0, "in2": MM_PER_INCH**2}
    words = text.strip().lower().replace("\u00b2", "2").replace(",", ".")
    unit = next((one for one in factors if words.endswith(one)), "")
    try:
        value = float(words.removesuffix(unit)) * factors[unit or "cm2"]
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise unreadable(text, "an area in cm2, or with its unit: '120', '120 cm2', '18.6 in2'")
    return value

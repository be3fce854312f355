"""The one way in which a number is rounded for people."""

import math
from decimal import ROUND_HALF_UP, Decimal

_NOISE_DECIMALS = 9
"""What lies beyond is left over from reckoning: 137.24999999999997 is 137.25."""


def shown(value: float, decimals: int, *, sign: bool = False) -> str:
    """A number as it is read: a half goes away from zero, and there is no negative zero.

    The binary number nearest to a typed half may lie on either side of it, so that 0.15 and 0.25 round differently
    by the common formats; here they round as they were typed. The screen at the bender follows the same rule
    (`viewport/src-screen/shown.ts`).

    Args:
        value: Any number.
        decimals: Places after the point.
        sign: Whether a positive one has its sign too.
    """
    if not math.isfinite(value):
        return f"{value:.{decimals}f}"
    typed = Decimal(repr(round(float(value), _NOISE_DECIMALS)))
    step = Decimal(1).scaleb(-decimals)
    rounded = (typed / step).to_integral_value(ROUND_HALF_UP) * step
    return f"{abs(rounded) if rounded == 0 else rounded:{'+' if sign else ''}.{decimals}f}"


def nearest(value: float) -> int:
    """The nearest whole number by the same rule."""
    return int(shown(value, 0))

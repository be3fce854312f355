"""The smallest and the greatest length of a cut, between its generators too."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.geometry import Vector

Place = tuple[float, float]
"""A length and where round the branch it is."""
_ZOOMS = 2
_ZOOM_POINTS = 161
_BEND_MM = 3e-5
"""What the parabola through three generators may be off from the quartic through five: that one is off by far less."""
_CORNER_MM = 1e-5
_EACH_SIDE = 4


def smallest(along_at: Callable[[ArrayLike], Vector], grid_deg: Vector, along_mm: Vector) -> Place:
    """Smallest length and where it is.

    Where the generators beside one lie on a smooth line, the quartic through them tells; where they lie on two smooth
    lines that meet on a generator, that is it; else it is looked for more closely.

    Args:
        along_at: Lengths at generators.
        grid_deg: Even generators all round, shape (n,).
        along_mm: Their lengths, not all NaN, shape (n,).
    """
    index = int(np.where(np.isnan(along_mm), np.inf, along_mm).argmin())
    known = (float(along_mm[index]), float(grid_deg[index]))
    step = 360.0 / len(grid_deg)
    beside = along_mm.take(range(index - _EACH_SIDE, index + _EACH_SIDE + 1), mode="wrap").tolist()
    smooth = _of_smooth(known, beside, step)
    if smooth is not None:
        return smooth
    if _is_corner(beside):
        return known
    for _ in range(_ZOOMS):
        angles = known[1] + np.linspace(-step, step, _ZOOM_POINTS)
        found = along_at(angles)
        least = int(np.where(np.isnan(found), np.inf, found).argmin())
        if found[least] < known[0]:
            known = (float(found[least]), float(angles[least]))
        step = 2.0 * step / (_ZOOM_POINTS - 1)
    return known


def greatest(along_at: Callable[[ArrayLike], Vector], grid_deg: Vector, along_mm: Vector) -> Place:
    """Greatest length and where it is, in the same way."""
    least_mm, at_deg = smallest(lambda around: -along_at(around), grid_deg, -along_mm)
    return -least_mm, at_deg


def _of_smooth(known: Place, beside: list[float], step_deg: float) -> Place | None:
    """The lowest place of the quartic through the middle five, where they lie on a smooth line.

    Source: Stirling's interpolation formula, M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 25.2.
    """
    a, b, c, d, e = beside[_EACH_SIDE - 2 : _EACH_SIDE + 3]
    first, second = (d - b) / 2.0, b - 2.0 * c + d
    if not second > 0.0:
        return None
    third, fourth = (e - a) / 2.0 - (d - b), a - 4.0 * b + 6.0 * c - 4.0 * d + e
    share = -first / second
    for _ in range(2):
        slope = (
            first
            + share * second
            + (3.0 * share**2 - 1.0) * third / 6.0
            + (2.0 * share**3 - share) * fourth / 12.0
        )
        share -= slope / second
    if not abs(share) <= 1.0:
        return None
    bent = share * (share**2 - 1.0) * third / 6.0 + share**2 * (share**2 - 1.0) * fourth / 24.0
    # near a generator both agree whatever the line does, so the terms are held to their greatest
    if not max(abs(bent), abs(third) / 16.0, abs(fourth) / 96.0) < _BEND_MM:
        return None
    return c + share * first + share**2 * second / 2.0 + bent, known[1] + share * step_deg


def _is_corner(beside: list[float]) -> bool:
    """Whether two smooth lines meet on the middle one."""
    sides = (beside[: _EACH_SIDE + 1], beside[_EACH_SIDE:])
    return all(abs(a - 4.0 * b + 6.0 * c - 4.0 * d + e) < _CORNER_MM for a, b, c, d, e in sides)

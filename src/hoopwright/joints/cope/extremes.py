"""The smallest and the greatest length of a cut, between its generators too."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.geometry import Vector

Place = tuple[float, float]
"""A length and where round the branch it is."""
_ZOOMS = 5
"""Beside a gap a line falls as a square root: a micrometre there is a millionth of a degree."""
_ZOOM_POINTS = 81
_SETTLED_MM = 1e-6
_BEND_MM = 3e-5
"""What the parabola through three generators may be off from the quartic through five: that one is off by far less."""
_CORNER_MM = 1e-5
_EACH_SIDE = 5
_CROSSING_ROUNDS = 8
_HAIR_SHARE = 1e-3


def smallest(along_at: Callable[[ArrayLike], Vector], grid_deg: Vector, along_mm: Vector) -> Place:
    """Smallest length and where it is.

    Where the generators beside one lie on a smooth line, the quartic through them tells; where they lie on two smooth
    lines that meet, it is where they do; else it is looked for more closely.

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
    corner = _of_corner(known, beside, step)
    if corner is not None:
        return corner
    for _ in range(_ZOOMS):
        angles = known[1] + np.linspace(-step, step, _ZOOM_POINTS)
        found = along_at(angles)
        least = int(np.where(np.isnan(found), np.inf, found).argmin())
        if found[least] < known[0]:
            known = (float(found[least]), float(angles[least]))
        around = found[max(0, least - 1) : least + 2]
        if np.ptp(around) < _SETTLED_MM:
            break
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


def _of_corner(known: Place, beside: list[float], step_deg: float) -> Place | None:
    """Where two smooth lines meet, the farther of which counts: on the middle generator or next to it."""
    middle = _EACH_SIDE
    left, right = beside[middle - 4 : middle + 1], beside[middle + 4 : middle - 1 : -1]
    if _is_smooth(left) and _is_smooth(right) and _falls(left, 0.0) and _falls(right, 0.0):
        return known
    for first, toward in ((beside, 1.0), (beside[::-1], -1.0)):
        ending, starting = first[middle - 4 : middle + 1], first[middle + 5 : middle : -1]
        if _is_smooth(ending) and _is_smooth(starting):
            met = _crossing(ending, starting)
            if met is not None and _falls(ending, met[1]) and _falls(starting, 1.0 - met[1]):
                return met[0], known[1] + toward * met[1] * step_deg
    return None


def _is_smooth(five: list[float]) -> bool:
    a, b, c, d, e = five
    return abs(a - 4.0 * b + 6.0 * c - 4.0 * d + e) < _CORNER_MM


def _falls(five: list[float], share: float) -> bool:
    """Whether the line through five places still falls a share beyond the last: at a corner both lines do."""
    return _beyond(five, share) <= _beyond(five, share - _HAIR_SHARE)


def _crossing(ending: list[float], starting: list[float]) -> Place | None:
    """Where a line that ends at share 0 and one that comes back from share 1 cross: height and share."""
    low, high = 0.0, 1.0
    at_low = ending[-1] - _beyond(starting, 1.0)
    at_high = _beyond(ending, 1.0) - starting[-1]
    if not at_low >= 0.0 >= at_high or at_low == at_high:
        return None
    share = 0.0
    for _ in range(_CROSSING_ROUNDS):
        share = low + (high - low) * at_low / (at_low - at_high)
        apart = _beyond(ending, share) - _beyond(starting, 1.0 - share)
        if apart == 0.0:
            break
        if apart > 0.0:
            low, at_low = share, apart
        else:
            high, at_high = share, apart
    return _beyond(ending, share), share


def _beyond(five: list[float], share: float) -> float:
    """The quartic through five even places, a share of a step beyond the last.

    Source: Newton's backward differences, M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 25.2.
    """
    a, b, c, d, e = five
    first, second, third = e - d, e - 2.0 * d + c, e - 3.0 * d + 3.0 * c - b
    fourth = e - 4.0 * d + 6.0 * c - 4.0 * b + a
    rest = (share + 2.0) / 3.0 * (third + (share + 3.0) / 4.0 * fourth)
    return e + share * (first + (share + 1.0) / 2.0 * (second + rest))

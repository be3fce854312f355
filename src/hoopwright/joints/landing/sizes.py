"""Sizes of a landing where none were typed: common practice, no source; what is enough is for the rule book."""

import math
from dataclasses import dataclass

from hoopwright.cage import Landing, LandingKind
from hoopwright.joints.landing.panels import Sheet

WELD_ROOM_MM = 10.0
"""From a leg's skin to the edge of its plate: common practice, no source."""
_LENGTH_ODS, _WIDTH_ODS, _WALL_ODS, _BOX_ODS = 3.0, 2.5, 1.5, 2.2
_STEP_MM = 5.0


@dataclass(frozen=True, kw_only=True)
class Sizes:
    """What a landing is to measure.

    Args:
        length_mm: Along the sole, or the top of a box.
        width_mm: Across it.
        wall_mm: Up the wall, for a folded plate.
    """

    length_mm: float
    width_mm: float
    wall_mm: float


def usual_sizes(landing: Landing, od_mm: float, *, width_at_least_mm: float = 0.0) -> Sizes:
    """What was typed, and the usual for the rest; a wanted area lengthens it.

    Args:
        landing: What was asked.
        od_mm: Of the leg.
        width_at_least_mm: What the width needs so that the leg stands on it.
    """
    if landing.kind is LandingKind.BOX:
        side = _rounded(_BOX_ODS * od_mm)
        return Sizes(length_mm=landing.length_mm or side, width_mm=landing.width_mm or side, wall_mm=0.0)
    wall = 0.0
    if landing.kind is LandingKind.FOLDED:
        wall = landing.wall_mm or _rounded(_WALL_ODS * od_mm)
    width = landing.width_mm or _rounded(max(_WIDTH_ODS * od_mm, width_at_least_mm))
    length = landing.length_mm or _rounded(_LENGTH_ODS * od_mm)
    if landing.area_mm2 is not None:
        if landing.length_mm is None:
            length = max(length, float(math.ceil(landing.area_mm2 / (width + wall))))
        elif landing.width_mm is None:
            width = max(width, float(math.ceil(landing.area_mm2 / length - wall)))
    return Sizes(length_mm=length, width_mm=width, wall_mm=wall)


def sheet_of(landing: Landing) -> Sheet:
    """The sheet that a landing is made of."""
    radius = landing.inside_radius_mm
    return Sheet(
        thickness_mm=landing.thickness_mm,
        inside_radius_mm=landing.thickness_mm if radius is None else radius,
        k_ratio=landing.k_ratio,
    )


def _rounded(length_mm: float) -> float:
    return _STEP_MM * math.ceil(length_mm / _STEP_MM - 1e-9)

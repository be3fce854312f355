"""Roof skin, bows below it, headers, scuttle, parcel ledges."""

import numpy as np

from hoopwright.democar.lines import (
    belt_up_mm,
    inner_half_width_mm,
    rail_half_width_mm,
    roof_up_mm,
)
from hoopwright.democar.sheets import Floats, Rail, Sheet, lofted, places
from hoopwright.geometry import Points

ROOF_FRONT_MM = -1285.0
ROOF_REAR_MM = -3200.0
CORNER_SWEEP_MM = 55.0
"""How much farther back the screen header is at the corners than at the middle."""
BOWS = ((-1650.0, 16.0), (-1985.0, 22.0), (-2430.0, 19.0))
"""Forward place of each roof bow, and how far its underside hangs below the skin."""


def roof_sheets() -> list[Sheet]:
    """Sheets that lie across the car from the screen base to the tailgate header."""
    bows = [_bow(f"roof_bow_{number}", *bow) for number, bow in enumerate(BOWS, start=1)]
    return [_roof(), *bows, _screen_header(), _tailgate_header(), _scuttle()]


def parcel_ledge() -> Sheet:
    """The left ledge that carries the parcel shelf."""

    def rail(inward_mm: float, drop_mm: float) -> Rail:
        def curve(u: Floats) -> Points:
            x = -2640.0 - u * 760.0
            z = belt_up_mm(x) - 75.0 - drop_mm
            return places(x, inner_half_width_mm(x, z) - inward_mm, z)

        return curve

    return lofted("left_parcel_ledge", [rail(0, -4), rail(70, 0), rail(78, 8), rail(74, 34)])


def _sweep_mm(left: Floats) -> Floats:
    return CORNER_SWEEP_MM * (left / 600.0) ** 2


def _roof() -> Sheet:
    def surface(u: Floats, v: Floats) -> Points:
        side = 1.0 - 2.0 * v
        front = ROOF_FRONT_MM - CORNER_SWEEP_MM * side**2
        x = front + u * (ROOF_REAR_MM - front)
        y = side * rail_half_width_mm(x)
        return places(x, y, roof_up_mm(x, y))

    return Sheet(name="roof_skin", surface=surface)


def _across(forward: float, drop_mm: float, inset_mm: float, *, swept: bool = False) -> Rail:
    """A line across the car below the roof skin, ending `inset_mm` short of the roof's edge."""

    def curve(u: Floats) -> Points:
        reach = rail_half_width_mm(np.array(forward)) - inset_mm
        y = reach * (1.0 - 2.0 * u)
        x = forward - (_sweep_mm(y) if swept else 0.0 * y)
        return places(x, y, roof_up_mm(x, y) - drop_mm)

    return curve


def _bow(name: str, forward: float, depth_mm: float) -> Sheet:
    lines = ((42, 4), (28, 5), (20, depth_mm), (-20, depth_mm), (-28, 5), (-42, 4))
    return lofted(name, [_across(forward + ahead, drop, 68.0) for ahead, drop in lines])


def _screen_header() -> Sheet:
    lines = ((0, 0), (12, 5), (14, 12), (-12, 30), (-62, 34), (-76, 8))
    rails = [_across(ROOF_FRONT_MM + ahead, drop, 40.0, swept=True) for ahead, drop in lines]
    return lofted("screen_header", rails)


def _tailgate_header() -> Sheet:
    lines = ((0, 0), (-14, 4), (-16, 24), (6, 50), (58, 46), (84, 8))
    return lofted("tailgate_header", [_across(ROOF_REAR_MM + ahead, drop, 30.0) for ahead, drop in lines])


def _scuttle() -> Sheet:
    """The cross panel at the foot of the screen, and the dash face behind it."""

    def rail(forward: float, up: float, width_mm: float) -> Rail:
        def curve(u: Floats) -> Points:
            y = width_mm * (1.0 - 2.0 * u)
            bow = (y / 720.0) ** 2
            return places(forward - 85.0 * bow, y, up - 22.0 * bow)

        return curve

    rails = [
        rail(-788, 672, 679),
        rail(-760, 720, 692),
        rail(-752, 752, 700),
        rail(-776, 770, 712),
        rail(-806, 764, 714),
        rail(-824, 748, 714),
        rail(-846, 742, 714),
        rail(-868, 700, 700),
        rail(-872, 640, 684),
    ]
    return lofted("scuttle", rails)

"""Outer and inner sheets of the left body side: wing, sill, quarter, roof rail."""

import numpy as np

from hoopwright.democar.lines import (
    CABIN_HALF_WIDTH_MM,
    DOOR_FRONT_MM,
    DOOR_REAR_MM,
    FLOOR_MM,
    SILL_TOP_MM,
    belt_up_mm,
    bonnet_up_mm,
    half_width_mm,
    inner_half_width_mm,
    rail_up_mm,
)
from hoopwright.democar.pillar_sheets import pillar_sheets
from hoopwright.democar.sheets import Floats, Rail, Sheet, lofted, places
from hoopwright.democar.side_edges import (
    ARCH_PLACES,
    Outline,
    edge,
    front_arch,
    knots_of,
    on_side,
    outline,
    rear_arch,
)
from hoopwright.geometry import Points

SILL_FRONT_MM = -940.0
SILL_REAR_MM = -2640.0
RAIL_FRONT_MM = -1325.0
RAIL_REAR_MM = -3215.0


def side_sheets() -> list[Sheet]:
    """All sheets of the left body side."""
    return [*_outer_sheets(), *_sill(), *pillar_sheets(), *_inner_sheets()]


def _outer_sheets() -> list[Sheet]:
    front = [(-92.0, 205.0), (-215.0, 182.0), *front_arch(), (DOOR_FRONT_MM, 0.0)]
    x_top = np.linspace(-92.0, -905.0, len(front))
    wing_top = outline(x_top, bonnet_up_mm(x_top))
    rear = [(DOOR_REAR_MM, 0.0), (-2300.0, 0.0), *rear_arch(), (-3400.0, 150.0), (-3572.0, 170.0)]
    x_top = np.linspace(DOOR_REAR_MM, -3490.0, len(rear))
    quarter_top = outline(x_top, belt_up_mm(x_top))
    gutter = edge(wing_top, 0.0)

    def gutter_in(u: Floats) -> Points:
        inner: Points = gutter(u) - np.array([0.0, 48.0, 14.0])
        return inner

    return [
        Sheet(name="left_front_wing", surface=on_side(front, wing_top), u_creases=_ends(front)),
        lofted("left_wing_gutter", [gutter, gutter_in]),
        Sheet(name="left_quarter", surface=on_side(rear, quarter_top), u_creases=_ends(rear)),
        lofted("left_front_arch_lip", [edge(front_arch(), 0.0), edge(front_arch(), 22.0)]),
        lofted("left_rear_arch_lip", [edge(rear_arch(), 0.0), edge(rear_arch(), 22.0)]),
    ]


def _ends(line: Outline) -> tuple[float, ...]:
    """Creases at the corners of an outline which holds one wheel opening from its third place on."""
    knots = knots_of(len(line))
    return (0.0, knots[1], knots[2], *knots[1 + ARCH_PLACES :])


def _sill() -> list[Sheet]:
    def at(left_from_outside: float | None, up: float) -> Rail:
        def rail(u: Floats) -> Points:
            x = SILL_FRONT_MM + u * (SILL_REAR_MM - SILL_FRONT_MM)
            outside = half_width_mm(x, up)
            y = CABIN_HALF_WIDTH_MM if left_from_outside is None else outside - left_from_outside
            return places(x, y, up)

        return rail

    rails = [
        at(None, FLOOR_MM),
        at(None, SILL_TOP_MM - 12.0),
        at(100.0, SILL_TOP_MM),
        at(34.0, SILL_TOP_MM),
        at(26.0, SILL_TOP_MM - 12.0),
        at(10.0, SILL_TOP_MM - 16.0),
        at(0.0, SILL_TOP_MM - 28.0),
        *(at(0.0, up) for up in (95.0, 60.0, 25.0, 0.0)),
        at(28.0, 0.0),
    ]
    return [lofted("left_sill", rails)]


def _inner_sheets() -> list[Sheet]:
    def quarter(u: Floats, v: Floats) -> Points:
        x = -1985.0 - u * 1545.0
        low = np.interp(x, [-3530, -2480, -2380, -1985], [235, 265, 150, 150])
        z = low + v * (belt_up_mm(x) - low)
        return places(x, inner_half_width_mm(x, z), z)

    def ledge(depth: float | None) -> Rail:
        def rail(u: Floats) -> Points:
            x = -2010.0 - u * 740.0
            z = belt_up_mm(x)
            y = inner_half_width_mm(x, z) if depth is None else half_width_mm(x, z) - depth
            return places(x, y, z)

        return rail

    return [
        Sheet(name="left_inner_quarter", surface=quarter),
        lofted("left_window_ledge", [ledge(0.0), ledge(20.0), ledge(None)]),
        lofted(
            "left_roof_rail",
            [
                _rail_edge(*at)
                for at in ((0, 0), (2, -12), (13, -20), (12, -50), (26, -60), (56, -54), (66, -26), (58, -6))
            ],
        ),
    ]


def _rail_edge(inward_mm: float, rise_mm: float) -> Rail:
    def rail(u: Floats) -> Points:
        x = RAIL_FRONT_MM + u * (RAIL_REAR_MM - RAIL_FRONT_MM)
        z = rail_up_mm(x) + rise_mm
        return places(x, half_width_mm(x, z) - inward_mm, z)

    return rail

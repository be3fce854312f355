"""Sheets of the left body side: wing, sill, pillars, quarter, inner skins."""

from collections.abc import Sequence

import numpy as np

from hoopwright.democar.lines import (
    ARCH_RADIUS_MM,
    AXLE_UP_MM,
    CABIN_HALF_WIDTH_MM,
    DOOR_FRONT_MM,
    DOOR_REAR_MM,
    FLOOR_MM,
    FRONT_AXLE_MM,
    REAR_AXLE_MM,
    belt_up_mm,
    bonnet_up_mm,
    half_width_mm,
    inner_half_width_mm,
    rail_half_width_mm,
    rail_up_mm,
)
from hoopwright.democar.sheets import Floats, Rail, Sheet, Surface, lofted, places
from hoopwright.geometry import Points

Outline = Sequence[tuple[float, float]]
"""Places (forward, up) along an edge in the side view."""
ARCH_PLACES = 25
SILL_TOP_MM = 152.0
SILL_FRONT_MM = -940.0
SILL_REAR_MM = -2640.0


def side_sheets() -> list[Sheet]:
    """All sheets of the left body side."""
    return [*_outer_sheets(), *_sill(), *_a_pillar(), *_b_pillar(), *_c_pillar(), *_inner_sheets()]


def _along(u: Floats, outline: Outline) -> tuple[Floats, Floats]:
    knots = np.linspace(0.0, 1.0, len(outline))
    table = np.array(outline)
    return np.interp(u, knots, table[:, 0]), np.interp(u, knots, table[:, 1])


def _arch(axle_mm: float, front_up_mm: float, rear_up_mm: float) -> list[tuple[float, float]]:
    """The wheel opening from its front foot over the top to its rear foot."""
    start_rad = np.arcsin((front_up_mm - AXLE_UP_MM) / ARCH_RADIUS_MM)
    end_rad = np.pi - np.arcsin((rear_up_mm - AXLE_UP_MM) / ARCH_RADIUS_MM)
    turn_rad = np.linspace(start_rad, end_rad, ARCH_PLACES)
    forward, up = np.cos(turn_rad) * ARCH_RADIUS_MM + axle_mm, np.sin(turn_rad) * ARCH_RADIUS_MM + AXLE_UP_MM
    return list(zip(forward.tolist(), up.tolist(), strict=True))


def _front_arch() -> list[tuple[float, float]]:
    return _arch(FRONT_AXLE_MM, 176.0, 30.0)


def _rear_arch() -> list[tuple[float, float]]:
    return _arch(REAR_AXLE_MM, 30.0, 150.0)


def _on_side(lower: Outline, upper: Outline) -> Surface:
    """The outer skin between two edges given in the side view, with as many places each."""

    def surface(u: Floats, v: Floats) -> Points:
        low_x, low_z = _along(u, lower)
        high_x, high_z = _along(u, upper)
        x, z = low_x + v * (high_x - low_x), low_z + v * (high_z - low_z)
        return places(x, half_width_mm(x, z), z)

    return surface


def _edge(outline: Outline, depth_mm: float | None) -> Rail:
    """An edge on the outer skin (depth 0), so far inside it, or on the inner skin (None)."""

    def rail(u: Floats) -> Points:
        x, z = _along(u, outline)
        y = inner_half_width_mm(x, z) if depth_mm is None else half_width_mm(x, z) - depth_mm
        return places(x, y, z)

    return rail


def _knots(count: int) -> tuple[float, ...]:
    return tuple(float(value) for value in np.linspace(0.0, 1.0, count))


def _outer_sheets() -> list[Sheet]:
    front = [(-92.0, 205.0), (-215.0, 182.0), *_front_arch(), (DOOR_FRONT_MM, 0.0)]
    x_top = np.linspace(-92.0, -905.0, len(front))
    wing_top = [(float(x), float(bonnet_up_mm(x))) for x in x_top]
    rear = [(DOOR_REAR_MM, 0.0), (-2300.0, 0.0), *_rear_arch(), (-3400.0, 150.0), (-3572.0, 170.0)]
    x_top = np.linspace(DOOR_REAR_MM, -3490.0, len(rear))
    quarter_top = [(float(x), float(belt_up_mm(x))) for x in x_top]
    gutter = _edge(wing_top, 0.0)

    def gutter_in(u: Floats) -> Points:
        inner: Points = gutter(u) - np.array([0.0, 48.0, 14.0])
        return inner

    return [
        Sheet(name="left_front_wing", surface=_on_side(front, wing_top), u_creases=_ends(front)),
        lofted("left_wing_gutter", [gutter, gutter_in]),
        Sheet(name="left_quarter", surface=_on_side(rear, quarter_top), u_creases=_ends(rear)),
        lofted("left_front_arch_lip", [_edge(_front_arch(), 0.0), _edge(_front_arch(), 22.0)]),
        lofted("left_rear_arch_lip", [_edge(_rear_arch(), 0.0), _edge(_rear_arch(), 22.0)]),
    ]


def _ends(outline: Outline) -> tuple[float, ...]:
    """Creases at the corners of an outline that holds one wheel opening from its third place on."""
    knots = _knots(len(outline))
    return (0.0, knots[1], knots[2], *knots[1 + ARCH_PLACES :])


def _sill() -> list[Sheet]:
    def at(left_from_outside: float | None, up: float) -> Rail:
        def rail(u: Floats) -> Points:
            x = SILL_FRONT_MM + u * (SILL_REAR_MM - SILL_FRONT_MM)
            outside = half_width_mm(x, up)
            y = (
                np.full_like(u, CABIN_HALF_WIDTH_MM)
                if left_from_outside is None
                else outside - left_from_outside
            )
            return places(x, y, np.full_like(u, up))

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


def _a_pillar() -> list[Sheet]:
    bulge = np.sin(np.linspace(0.0, np.pi, 13))
    share = np.linspace(0.0, 1.0, 13)
    front = [(-845 - 490 * t, 745 + 353 * t + 22 * b) for t, b in zip(share, bulge, strict=True)]
    rear = [(-950 - 450 * t, 732 + 350 * t + 22 * b) for t, b in zip(share, bulge, strict=True)]
    inner_front = [(x - 10, z - 6) for x, z in front]
    inner_rear = [(x + 8, z + 4) for x, z in rear]
    rails = [
        _edge(front, 4.0),
        _edge(rear, 2.0),
        _edge(rear, 16.0),
        _edge(inner_rear, 58.0),
        _edge(inner_front, 62.0),
        _edge(front, 22.0),
        _edge(front, 4.0),
    ]
    low = [(DOOR_FRONT_MM, z) for z in np.linspace(SILL_TOP_MM - 25, 745.0, 13)]
    hinge = lofted(
        "left_hinge_pillar",
        [_edge(low, 0.0), _edge(low, 18.0), _edge([(x - 14, z) for x, z in low], 22.0), _hinge_inner],
    )
    return [
        lofted("left_a_pillar", rails),
        hinge,
        lofted("left_footwell_side", [_footwell_side(0.0), _footwell_side(1.0)], hidden=True),
    ]


def _hinge_inner(u: Floats) -> Points:
    z = SILL_TOP_MM - 25.0 + u * (745.0 - SILL_TOP_MM + 25.0)
    return places(
        np.full_like(u, DOOR_FRONT_MM - 14.0), np.full_like(u, CABIN_HALF_WIDTH_MM + 6.0) + 14.0 * u, z
    )


def _footwell_side(back: float) -> Rail:
    def rail(u: Floats) -> Points:
        z = 25.0 + u * 700.0
        x = np.full_like(u, DOOR_FRONT_MM - 14.0) if back else -930.0 + 130.0 * u
        return places(x, CABIN_HALF_WIDTH_MM + 14.0 * u, z)

    return rail


def _b_pillar() -> list[Sheet]:
    z = np.linspace(SILL_TOP_MM - 14.0, 1075.0, 19)
    t = (z - z[0]) / (z[-1] - z[0])
    flare = 60.0 * np.exp(-((z - z[0]) / 90.0))
    front_x = DOOR_REAR_MM - 34.0 * t + 0.4 * flare
    rear_x = front_x - 118.0 + 34.0 * t - flare
    front = list(zip(front_x.tolist(), z.tolist(), strict=True))
    rear = list(zip(rear_x.tolist(), z.tolist(), strict=True))
    front_in = [(x - 12.0, zz) for x, zz in front]
    rear_in = [(x + 10.0, zz) for x, zz in rear]
    rails = [
        _edge(rear, 1.0),
        _edge(front, 1.0),
        _edge(front, 16.0),
        _edge(front_in, 24.0),
        _edge(front_in, None),
        _edge(rear_in, None),
        _edge(rear, 1.0),
    ]
    return [lofted("left_b_pillar", rails)]


def _c_pillar() -> list[Sheet]:
    t = np.linspace(0.0, 1.0, 15)
    x = -2740.0 - 190.0 * t + 16.0 * np.sin(np.pi * t)
    z = belt_up_mm(-2740.0) + (1044.0 - belt_up_mm(-2740.0)) * t
    front = list(zip(x.tolist(), z.tolist(), strict=True))
    x = -3490.0 + 272.0 * t - 16.0 * np.sin(np.pi * t)
    z = belt_up_mm(-3490.0) + (1012.0 - belt_up_mm(-3490.0)) * t
    rear = list(zip(x.tolist(), z.tolist(), strict=True))
    inside = lofted("left_c_pillar_inner", [_edge(front, None), _edge([(x + 40, z) for x, z in rear], None)])
    outside = lofted("left_c_pillar", [_edge(front, None), _edge(front, 10.0), _edge(front, 0.0)])
    skin = Sheet(name="left_c_pillar_skin", surface=_between(front, rear))
    frame = lofted(
        "left_tailgate_frame",
        [
            _edge(rear, 0.0),
            _edge(rear, 26.0),
            _edge([(x + 22, z - 8) for x, z in rear], 34.0),
            _edge([(x + 40, z) for x, z in rear], None),
        ],
    )
    lower = [(-3572.0 + 82.0 * s, 480.0 + (belt_up_mm(-3490.0) - 480.0) * s) for s in t]
    lower_frame = lofted(
        "left_tail_frame",
        [
            _edge(lower, 0.0),
            _edge(lower, 30.0),
            _edge([(x + 24, z) for x, z in lower], 38.0),
            _edge([(x + 40, z) for x, z in lower], 90.0),
        ],
    )
    return [inside, outside, skin, frame, lower_frame]


def _between(first: Outline, second: Outline) -> Surface:
    return _on_side(first, second)


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
                for at in ((0, 0), (4, -14), (16, -26), (22, -52), (54, -50), (66, -22), (60, -6))
            ],
        ),
    ]


def _rail_edge(inward_mm: float, rise_mm: float) -> Rail:
    def rail(u: Floats) -> Points:
        x = -1325.0 - u * 1890.0
        z = rail_up_mm(x) + rise_mm
        return places(x, rail_half_width_mm(x) - inward_mm + 0.3 * min(-rise_mm, 30.0), z)

    return rail

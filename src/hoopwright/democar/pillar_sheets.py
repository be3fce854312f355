"""Pillars of the left body side, and the frame of the tailgate opening."""

import numpy as np

from hoopwright.democar.lines import CABIN_HALF_WIDTH_MM, DOOR_FRONT_MM, DOOR_REAR_MM, SILL_TOP_MM, belt_up_mm
from hoopwright.democar.sheets import Floats, Rail, Sheet, lofted, places
from hoopwright.democar.side_edges import edge, moved, on_side, outline
from hoopwright.geometry import Points


def pillar_sheets() -> list[Sheet]:
    """All pillars of the left side."""
    return [*_a_pillar(), *_hinge_pillar(), *_b_pillar(), *_c_pillar(), *_tail_frame()]


def _a_pillar() -> list[Sheet]:
    bulge = np.sin(np.linspace(0.0, np.pi, 13))
    share = np.linspace(0.0, 1.0, 13)
    front = outline(-845.0 - 490.0 * share, 745.0 + 353.0 * share + 22.0 * bulge)
    rear = outline(-950.0 - 450.0 * share, 732.0 + 350.0 * share + 22.0 * bulge)
    inner_front = moved(front, -10.0, -6.0)
    inner_rear = moved(rear, 8.0, 4.0)
    rails = [
        edge(front, 4.0),
        edge(rear, 2.0),
        edge(rear, 16.0),
        edge(inner_rear, 58.0),
        edge(inner_front, 62.0),
        edge(front, 22.0),
        edge(front, 4.0),
    ]
    return [lofted("left_a_pillar", rails)]


def _hinge_pillar() -> list[Sheet]:
    low = [(DOOR_FRONT_MM, z) for z in np.linspace(SILL_TOP_MM - 25.0, 745.0, 13)]
    rails = [edge(low, 0.0), edge(low, 18.0), edge(moved(low, -14.0), 22.0), _hinge_inner]
    return [
        lofted("left_hinge_pillar", rails),
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
    front = outline(front_x, z)
    rear = outline(rear_x, z)
    front_in = moved(front, -12.0)
    rear_in = moved(rear, 10.0)
    rails = [
        edge(rear, 1.0),
        edge(front, 1.0),
        edge(front, 16.0),
        edge(front_in, 24.0),
        edge(front_in, None),
        edge(rear_in, None),
        edge(rear, 1.0),
    ]
    return [lofted("left_b_pillar", rails)]


def _c_pillar() -> list[Sheet]:
    t = np.linspace(0.0, 1.0, 15)
    x = -2740.0 - 190.0 * t + 16.0 * np.sin(np.pi * t)
    z = belt_up_mm(-2740.0) + (1044.0 - belt_up_mm(-2740.0)) * t
    front = outline(x, z)
    x = -3490.0 + 272.0 * t - 16.0 * np.sin(np.pi * t)
    z = belt_up_mm(-3490.0) + (1012.0 - belt_up_mm(-3490.0)) * t
    rear = outline(x, z)
    inside = lofted("left_c_pillar_inner", [edge(front, None), edge(moved(rear, 40.0), None)])
    outside = lofted("left_c_pillar", [edge(front, None), edge(front, 10.0), edge(front, 0.0)])
    skin = Sheet(name="left_c_pillar_skin", surface=on_side(front, rear))
    frame = lofted(
        "left_tailgate_frame",
        [
            edge(rear, 0.0),
            edge(rear, 26.0),
            edge(moved(rear, 22.0, -8.0), 34.0),
            edge(moved(rear, 40.0), None),
        ],
    )
    return [inside, outside, skin, frame]


def _tail_frame() -> list[Sheet]:
    t = np.linspace(0.0, 1.0, 15)
    lower = [(-3572.0 + 82.0 * s, 480.0 + (belt_up_mm(-3490.0) - 480.0) * s) for s in t]
    rails = [
        edge(lower, 0.0),
        edge(lower, 30.0),
        edge(moved(lower, 24.0), 38.0),
        edge(moved(lower, 40.0), 90.0),
    ]
    return [lofted("left_tail_frame", rails)]

"""The nose without bonnet, bumper and lamps, and the tail without its gate."""

import numpy as np

from hoopwright.democar.lines import bonnet_up_mm, half_width_mm
from hoopwright.democar.sheets import Floats, Rail, Sheet, lofted, places
from hoopwright.geometry import Points

TAIL_MM = -3650.0


def end_sheets() -> list[Sheet]:
    """Sheets that lie across the nose and the tail."""
    return [_bumper_beam(), _slam_panel(), _lower_beam(), _rear_panel(), _rear_sill()]


def end_side_sheets() -> list[Sheet]:
    """Sheets of the left side of the engine bay."""
    return [_chassis_leg(), _inner_wing(), _lamp_panel()]


def _bowed(forward: float, up: float, half_width: float, sweep_mm: float) -> Rail:
    """A line across the car that runs back toward its ends."""

    def curve(u: Floats) -> Points:
        y = half_width * (1.0 - 2.0 * u)
        return places(forward - sweep_mm * np.abs(y / half_width) ** 2.4, y, up + 0.0 * u)

    return curve


def _bumper_beam() -> Sheet:
    lines = ((-48, 268), (-8, 266), (0, 276), (-6, 312), (-6, 322), (0, 358), (-8, 368), (-48, 366))
    return lofted("front_bumper_beam", [_bowed(x, z, 585.0, 74.0) for x, z in lines])


def _slam_panel() -> Sheet:
    lines = ((-62, 512), (-50, 520), (-44, 560), (-54, 572), (-128, 578), (-140, 566), (-140, 536))
    return lofted("slam_panel", [_bowed(x, z, 610.0, 66.0) for x, z in lines])


def _lower_beam() -> Sheet:
    lines = ((-80, 128), (-70, 138), (-70, 186), (-84, 194), (-140, 192), (-150, 128))
    return lofted("front_lower_beam", [_bowed(x, z, 560.0, 60.0) for x, z in lines])


def _chassis_leg() -> Sheet:
    def edge(left: float, up: float) -> Rail:
        def curve(u: Floats) -> Points:
            x = -52.0 - u * 800.0
            dip = np.interp(x, [-852, -760, -560, -52], [-150.0, -60.0, 0.0, 0.0])
            return places(x, left, np.maximum(up + dip, 20.0 + 0.1 * up))

        return curve

    corners = ((388, 258), (388, 372), (398, 382), (452, 382), (462, 372), (462, 258), (388, 258))
    return lofted("left_chassis_leg", [edge(y, z) for y, z in corners])


def _inner_wing() -> Sheet:
    """The apron from the leg up to the wing's gutter, before and behind the strut tower."""

    def edge(share: float) -> Rail:
        def curve(u: Floats) -> Points:
            x = -105.0 - u * 720.0
            top = bonnet_up_mm(x) - 16.0
            gutter = half_width_mm(x, top) - 48.0
            y = 466.0 + (gutter - 466.0) * max(0.0, share - 0.72) / 0.28
            z = 372.0 + (top - 372.0) * min(1.0, share / 0.86)
            return places(x, y, z)

        return curve

    return lofted("left_inner_wing", [edge(share) for share in (0.0, 0.72, 0.8, 0.9, 1.0)], hidden=True)


def _lamp_panel() -> Sheet:
    """The upright beside the lamp opening, from the lower beam to the slam panel."""

    def edge(left: float, back: float) -> Rail:
        def curve(u: Floats) -> Points:
            z = 190.0 + u * 346.0
            return places(-66.0 - back - 26.0 * (left / 600.0) ** 2, left, z)

        return curve

    return lofted(
        "left_lamp_panel",
        [edge(y, back) for y, back in ((372, 34), (376, 6), (384, 0), (420, 0), (428, 6), (432, 34))],
    )


def _rear_panel() -> Sheet:
    def rail(up: float, ahead: float) -> Rail:
        def curve(u: Floats) -> Points:
            end = TAIL_MM + 78.0 + 0.26 * max(0.0, up - 165.0) * 0.1
            reach = half_width_mm(end, up) - 2.0
            y = reach * (1.0 - 2.0 * u)
            x = TAIL_MM + ahead + (end - TAIL_MM - ahead) * np.abs(y / reach) ** 2.8
            return places(x, y, up + 0.0 * u)

        return curve

    lines = ((168, 26), (200, 14), (250, 6), (300, 0), (318, 2), (330, 12), (430, 18), (462, 22), (476, 34))
    return lofted("rear_panel", [rail(z, ahead) for z, ahead in lines])


def _rear_sill() -> Sheet:
    """The ledge over which luggage is lifted, and the inner skin below it."""
    lines = ((-3616, 476), (-3606, 480), (-3560, 478), (-3548, 470), (-3546, 440), (-3570, 330), (-3580, 236))
    return lofted("rear_sill", [_bowed(x, z, 640.0, -30.0) for x, z in lines])

"""What else the scanner saw: workshop floor, stands, a box, a hose."""

from dataclasses import replace

import numpy as np

from hoopwright.democar.lines import FLOOR_BELOW_SILL_MM
from hoopwright.democar.sheets import Floats, Rail, Sheet, lofted, places
from hoopwright.geometry import Points

GROUND_MM = -FLOOR_BELOW_SILL_MM


def clutter_sheets() -> list[Sheet]:
    """Pieces that stand or lie about the car; all but the floor rest on the workshop floor."""
    return [
        _ground(),
        _stand("stand_1", -1010.0, 705.0),
        _stand("stand_2", -2480.0, -700.0),
        _box("box", (-1500.0, 1090.0), (330.0, 240.0), 210.0),
        _hose(),
    ]


def _ground() -> Sheet:
    """A patch with a frayed outline, worn and not quite level."""

    def surface(u: Floats, v: Floats) -> Points:
        a, b = 2.0 * u - 1.0, 2.0 * v - 1.0
        along, across = a * np.sqrt(1.0 - b * b / 2.6), b * np.sqrt(1.0 - a * a / 2.6)
        turn = np.arctan2(across, along)
        fray = (
            1.0 + 0.03 * np.sin(5.0 * turn + 1.0) + 0.022 * np.sin(13.0 * turn) + 0.012 * np.sin(41.0 * turn)
        )
        x = -1790.0 + 1800.0 * along * fray
        y = 130.0 + 1260.0 * across * fray
        z = GROUND_MM + 6.0 * np.sin(x / 900.0) * np.cos(y / 700.0)
        return places(x, y, z)

    return Sheet(name="workshop_floor", surface=surface, of_car=False)


def _stand(name: str, forward: float, left: float) -> Sheet:
    """A stand under the sill: a pyramid with a post."""

    def ring(half_mm: float, up: float) -> Rail:
        corners = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1), (1, 1)], dtype=np.float64) * half_mm

        def curve(u: Floats) -> Points:
            at = np.linspace(0.0, 1.0, 5)
            x, y = np.interp(u, at, corners[:, 0]), np.interp(u, at, corners[:, 1])
            return places(forward + x, left + y, up)

        return curve

    heights = (
        (95, GROUND_MM),
        (30, GROUND_MM + 120),
        (24, GROUND_MM + 122),
        (24, -22),
        (36, -20),
        (36, -3),
        (4, -3),
    )
    rails = [ring(half, up) for half, up in heights]
    sheet = lofted(name, rails, u_creases=(0.0, 0.25, 0.5, 0.75, 1.0))
    return replace(sheet, of_car=False)


def _box(name: str, middle: tuple[float, float], size: tuple[float, float], height: float) -> Sheet:
    turn_rad = 0.35

    def ring(share: float, up: float) -> Rail:
        corners = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1), (1, 1)]) * np.array(size) / 2.0 * share

        def curve(u: Floats) -> Points:
            at = np.linspace(0.0, 1.0, 5)
            x, y = np.interp(u, at, corners[:, 0]), np.interp(u, at, corners[:, 1])
            cos, sin = np.cos(turn_rad), np.sin(turn_rad)
            return places(middle[0] + cos * x - sin * y, middle[1] + sin * x + cos * y, up)

        return curve

    rails = [
        ring(1.0, GROUND_MM),
        ring(1.0, GROUND_MM + height),
        ring(0.9, GROUND_MM + height),
        ring(0.9, GROUND_MM + 30),
    ]
    sheet = lofted(name, rails, u_creases=(0.0, 0.25, 0.5, 0.75, 1.0))
    return replace(sheet, of_car=False)


def _hose() -> Sheet:
    """An air hose in loops on the floor."""

    def surface(u: Floats, v: Floats) -> Points:
        turn = u * 4.6 * np.pi
        reach = 250.0 + 40.0 * np.cos(turn * 0.7) + 18.0 * turn / np.pi
        middle = places(
            -2300.0 + reach * np.cos(turn), 980.0 + 0.8 * reach * np.sin(turn), GROUND_MM + 16.0 + 14.0 * u
        )
        outward = places(np.cos(turn), np.sin(turn), 0.0)
        about = 2.0 * np.pi * v[:, None]
        return np.asarray(
            middle + 13.0 * (np.cos(about) * outward + np.sin(about) * np.array([0.0, 0.0, 1.0]))
        )

    return Sheet(name="air_hose", surface=surface, of_car=False)

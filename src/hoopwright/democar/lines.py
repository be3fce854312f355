"""The lines of the invented car, before scaling and before it is made crooked.

Nominal body: 3650 mm long, 1600 wide, roof 1170 over the lower edge of the sills. Forward 0 is the nose.
"""

import numpy as np
from numpy.typing import ArrayLike
from scipy.interpolate import PchipInterpolator

from hoopwright.democar.sheets import Floats

NOMINAL_LENGTH_MM = 3650.0
NOMINAL_WIDTH_MM = 1600.0
NOMINAL_HEIGHT_MM = 1350.0
FLOOR_BELOW_SILL_MM = 180.0
"""From the lower edge of the sills down to the workshop floor; the car stands on stands."""

FRONT_AXLE_MM = -565.0
REAR_AXLE_MM = -2950.0
AXLE_UP_MM = 105.0
ARCH_RADIUS_MM = 308.0
DOOR_FRONT_MM = -935.0
DOOR_REAR_MM = -1905.0
HOOP_MM = -2050.0
CABIN_HALF_WIDTH_MM = 645.0
FLOOR_MM = 45.0
SILL_TOP_MM = 152.0

_PLAN = PchipInterpolator(
    [-3650, -3560, -3350, -2950, -2500, -2000, -1300, -900, -690, -420, -220, -90, 0],
    [655, 706, 752, 782, 794, 799, 800, 796, 787, 760, 712, 655, 590],
)
_SECTION = PchipInterpolator(
    [-50, 0, 60, 150, 300, 450, 600, 700, 750, 800, 900, 1000, 1070, 1120, 1180],
    [0.905, 0.93, 0.951, 0.972, 0.992, 1.0, 0.996, 0.986, 0.975, 0.953, 0.898, 0.837, 0.79, 0.745, 0.66],
)
_BELT = PchipInterpolator(
    [-3650, -3490, -3100, -2600, -2000, -1400, -900], [762, 780, 804, 797, 774, 754, 742]
)
_RAIL = PchipInterpolator(
    [-3260, -2950, -2600, -2250, -1900, -1600, -1300], [1018, 1058, 1086, 1103, 1110, 1106, 1086]
)
_ROOF_MIDDLE = PchipInterpolator(
    [-3260, -3080, -2850, -2600, -2300, -1950, -1650, -1450, -1270],
    [1060, 1092, 1121, 1143, 1160, 1170, 1165, 1151, 1124],
)
_THICKNESS = PchipInterpolator([0, 150, 320, 600, 750, 1090, 1200], [118, 118, 96, 80, 74, 46, 44])
_BONNET = PchipInterpolator([-950, -850, -600, -350, -150, 0], [752, 742, 708, 662, 612, 560])
_TUNNEL_TOP = PchipInterpolator([-2400, -2200, -1700, -1250, -850], [60, 150, 186, 222, 238])


def half_width_mm(forward: ArrayLike, up: ArrayLike) -> Floats:
    """Centre plane to the outer skin of the body side, with arch flares and the crease under the belt."""
    x, z = np.asarray(forward, dtype=np.float64), np.asarray(up, dtype=np.float64)
    width = _PLAN(x) * _SECTION(z)
    for axle in (FRONT_AXLE_MM, REAR_AXLE_MM):
        radius = np.hypot(x - axle, z - AXLE_UP_MM)
        width = width + 11.0 * np.exp(-(((radius - ARCH_RADIUS_MM) / 46.0) ** 2))
    shoulder = np.exp(-(((z - 640.0) / 60.0) ** 2)) * np.clip((x + 3550.0) / 500.0, 0.0, 1.0)
    return np.asarray(width + 6.0 * shoulder * np.tanh((630.0 - z) / 22.0))


def inner_half_width_mm(forward: ArrayLike, up: ArrayLike) -> Floats:
    """Centre plane to the inner skin of the body side."""
    z = np.asarray(up, dtype=np.float64)
    return np.asarray(_PLAN(np.asarray(forward)) * _SECTION(z) - _THICKNESS(z))


def belt_up_mm(forward: ArrayLike) -> Floats:
    """Height of the lower edge of the side windows."""
    return np.asarray(_BELT(np.asarray(forward)))


def rail_up_mm(forward: ArrayLike) -> Floats:
    """Height of the outer edge of the roof."""
    return np.asarray(_RAIL(np.asarray(forward)))


def rail_half_width_mm(forward: ArrayLike) -> Floats:
    """Centre plane to the outer edge of the roof."""
    return np.asarray(half_width_mm(forward, rail_up_mm(forward)))


def roof_up_mm(forward: ArrayLike, left: ArrayLike) -> Floats:
    """Height of the roof skin, crowned both ways."""
    x = np.asarray(forward, dtype=np.float64)
    share = np.abs(np.asarray(left)) / rail_half_width_mm(x)
    middle, edge = _ROOF_MIDDLE(x), rail_up_mm(x)
    crown = 0.62 * share**2 + 0.38 * np.minimum(share, 1.0) ** 8
    return np.asarray(middle - (middle - edge) * crown)


def bonnet_up_mm(forward: ArrayLike) -> Floats:
    """Height of the upper edge of the front wings."""
    return np.asarray(_BONNET(np.asarray(forward)))


def tunnel_up_mm(forward: ArrayLike) -> Floats:
    """Height of the top of the tunnel."""
    return np.asarray(_TUNNEL_TOP(np.clip(np.asarray(forward), -2400.0, -850.0)))


def smooth_step(value: ArrayLike) -> Floats:
    """0 below 0, 1 above 1, smooth between."""
    t = np.clip(np.asarray(value, dtype=np.float64), 0.0, 1.0)
    return np.asarray(t * t * (3.0 - 2.0 * t))

"""Floor, tunnel, firewall, boot, wheel houses and strut towers."""

import numpy as np

from hoopwright.democar.lines import (
    AXLE_UP_MM,
    CABIN_HALF_WIDTH_MM,
    FLOOR_MM,
    FRONT_AXLE_MM,
    REAR_AXLE_MM,
    inner_half_width_mm,
    smooth_step,
    tunnel_up_mm,
)
from hoopwright.democar.sheets import Floats, Rail, Sheet, even_creases, loft, lofted, places
from hoopwright.geometry import Points

_PROFILE = np.array(
    [
        (-3585, 238),
        (-2960, 240),
        (-2900, 268),
        (-2500, 268),
        (-2455, 258),
        (-2395, 70),
        (-2350, FLOOR_MM),
        (-1130, FLOOR_MM),
        (-1085, 26),
        (-985, 26),
        (-950, 38),
        (-850, 250),
        (-838, 290),
        (-812, 560),
        (-806, 690),
    ],
    dtype=np.float64,
)
"""Floor beside the tunnel in the side view, from the boot's rear edge to the top of the firewall."""
_ALONG = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(_PROFILE, axis=0), axis=1))])
_ALONG = _ALONG / _ALONG[-1]
_RIB_LEFTS_MM = (235.0, 430.0, 525.0)
SEAT_BOLT_LEFT_MM = 335.0
WHEEL_HOUSE_INNER_MM = 500.0
STRUT_TOWERS = {"front": (FRONT_AXLE_MM, 535.0, 628.0), "rear": (REAR_AXLE_MM, 520.0, 560.0)}
"""Forward, left and up of the middle of each tower's top."""
TOWER_TOP_RADIUS_MM = 78.0


def floor_sheets() -> list[Sheet]:
    """The floor from side to side; it lies on the centre plane and has no other side."""
    return [_floor(), _cross_member(-1545.0, 62.0), _seat_back_beam()]


def wheel_sheets() -> list[Sheet]:
    """Wheel houses and strut towers of the left side."""
    return [
        *_wheel_house("left_rear", REAR_AXLE_MM, WHEEL_HOUSE_INNER_MM, 742.0, 246.0),
        *_wheel_house("left_front", FRONT_AXLE_MM, 470.0, 735.0, 150.0),
        *_tower("left_rear", *STRUT_TOWERS["rear"]),
        *_tower("left_front", *STRUT_TOWERS["front"]),
    ]


def floor_up_mm(forward: Floats, left: Floats) -> Floats:
    """Height of the floor beside the tunnel, with its ribs, between the firewall's foot and the tail."""
    order = np.argsort(_PROFILE[:, 0])
    base = np.interp(forward, _PROFILE[order, 0], _PROFILE[order, 1])
    return np.asarray(base + _pressings_mm(forward, left))


def _pressings_mm(forward: Floats, left: Floats) -> Floats:
    """Ribs under the feet and behind the seats, and the well for the spare wheel."""
    side = np.abs(left)
    reach = smooth_step((forward + 2330.0) / 60.0) * smooth_step((-1150.0 - forward) / 60.0)
    ribs = sum(np.exp(-(((side - at) / 20.0) ** 2)) for at in _RIB_LEFTS_MM)
    boot = smooth_step((-2940.0 - forward) / 40.0) * np.exp(-(((side % 130.0 - 65.0) / 20.0) ** 2))
    ring = np.hypot(forward + 3270.0, left)
    well = smooth_step((272.0 - ring) / 85.0)
    return np.asarray(9.0 * reach * ribs + 6.0 * boot * (1.0 - well) - 95.0 * well)


def _floor_edge_mm(forward: Floats) -> Floats:
    """Half width of the floor: to the inner skin, to the sill in the cabin, between the wheel houses."""
    behind = smooth_step((-2400.0 - forward) / 60.0)
    beside = CABIN_HALF_WIDTH_MM + behind * (inner_half_width_mm(forward, 262.0) - CABIN_HALF_WIDTH_MM)
    between = smooth_step((347.0 - np.abs(forward - REAR_AXLE_MM)) / 50.0)
    return np.asarray(beside + between * (WHEEL_HOUSE_INNER_MM + 4.0 - beside))


def _floor() -> Sheet:
    left = [_floor_rail(None), _floor_rail(150.0), _lowered(_tunnel_rail(112.0)), _tunnel_rail(70.0)]
    right = [
        _tunnel_rail(-70.0),
        _lowered(_tunnel_rail(-112.0)),
        _floor_rail(-150.0),
        _floor_rail(None, side=-1.0),
    ]
    smooth = loft([*left, *right])
    beside_tunnel = 1.0 / 7.0 + 1e-9

    def surface(u: Floats, v: Floats) -> Points:
        points = smooth(u, v)
        x, y = points[:, 0], points[:, 1]
        pressed = (np.minimum(v, 1.0 - v) < beside_tunnel) | (x < -2420.0)
        points[:, 2] += np.where(pressed & (x < -930.0), _pressings_mm(x, y), 0.0)
        return points

    return Sheet(
        name="floor",
        surface=surface,
        u_creases=tuple(float(value) for value in _ALONG),
        v_creases=even_creases(8),
    )


def _floor_rail(left: float | None, *, side: float = 1.0) -> Rail:
    """Along the floor at one place left, or along its outer edge."""

    def curve(u: Floats) -> Points:
        x, z = np.interp(u, _ALONG, _PROFILE[:, 0]), np.interp(u, _ALONG, _PROFILE[:, 1])
        return places(x, side * _floor_edge_mm(x) if left is None else left, z)

    return curve


def _tunnel_rail(left: float) -> Rail:
    """Along the tunnel's top where there is one, else along the floor."""
    beside = _floor_rail(left)

    def curve(u: Floats) -> Points:
        points = beside(u)
        x = points[:, 0]
        points[:, 2] = np.maximum(points[:, 2], smooth_step((x + 2420.0) / 30.0) * tunnel_up_mm(x))
        return points

    return curve


def _lowered(rail: Rail) -> Rail:
    """The tunnel's shoulder, a little below its top, where the tunnel stands over the floor."""

    def curve(u: Floats) -> Points:
        points = rail(u)
        floor = np.interp(u, _ALONG, _PROFILE[:, 1])
        points[:, 2] -= 0.14 * (points[:, 2] - floor)
        return points

    return curve


def _cross_member(forward: float, width_mm: float) -> Sheet:
    """A seat cross member from sill to sill over the tunnel's feet."""

    def rail(ahead_mm: float, rise_mm: float) -> Rail:
        def curve(u: Floats) -> Points:
            y = CABIN_HALF_WIDTH_MM * (1.0 - 2.0 * u)
            over = 1.0 - smooth_step((np.abs(y) - 118.0) / 40.0)
            base = FLOOR_MM + over * (tunnel_up_mm(np.array(forward)) - FLOOR_MM) * 0.97
            return places(forward + ahead_mm, y, base + rise_mm * (1.0 - 0.8 * over))

        return curve

    half = width_mm / 2.0
    return lofted(
        "seat_cross_member",
        [
            rail(half + 16, 1.0),
            rail(half, 4.0),
            rail(half - 8, 46.0),
            rail(8 - half, 46.0),
            rail(-half, 4.0),
            rail(-half - 16, 1.0),
        ],
        u_creases=(
            0.0,
            *((CABIN_HALF_WIDTH_MM - y) / (2.0 * CABIN_HALF_WIDTH_MM) for y in (160, 116, -116, -160)),
            1.0,
        ),
    )


def _seat_back_beam() -> Sheet:
    """The low rear bulkhead under the rear seat's back, between the wheel houses."""

    def rail(forward: float, up: float) -> Rail:
        return lambda u: places(forward, 505.0 * (1.0 - 2.0 * u), up + 0.0 * u)

    return lofted(
        "rear_bulkhead",
        [
            rail(-2588, 268),
            rail(-2600, 278),
            rail(-2612, 372),
            rail(-2652, 380),
            rail(-2668, 366),
            rail(-2676, 268),
        ],
    )


def _wheel_house(side_end: str, axle: float, inner_mm: float, outer_mm: float, foot_mm: float) -> list[Sheet]:
    """An arch over the wheel, rounded into an upright inner wall that stands on `foot_mm`."""
    radius, rounding = 328.0, 55.0

    def ring(u: Floats, left: float, at_radius: float) -> Points:
        low_rad = np.arcsin((foot_mm - AXLE_UP_MM) / radius)
        turn = low_rad + u * (np.pi - 2.0 * low_rad)
        return places(axle + at_radius * np.cos(turn), left, AXLE_UP_MM + at_radius * np.sin(turn))

    def bend(share: float) -> Rail:
        angle_rad = share * np.pi / 2.0
        left = inner_mm + rounding * (1.0 - float(np.sin(angle_rad)))
        at_radius = radius - rounding * (1.0 - float(np.cos(angle_rad)))
        return lambda u: ring(u, left, at_radius)

    def foot(u: Floats) -> Points:
        top = ring(u, inner_mm, radius - rounding)
        top[:, 2] = np.minimum(foot_mm, top[:, 2]) - 6.0
        return top

    rails: list[Rail] = [
        lambda u: ring(u, outer_mm, radius),
        *(bend(share) for share in (0.0, 0.33, 0.67, 1.0)),
        foot,
    ]
    return [lofted(f"{side_end}_wheel_house", rails, hidden=True)]


def _tower(side_end: str, forward: float, left: float, up: float) -> list[Sheet]:
    """A strut tower: a round pad on a skirt that widens downward."""

    def ring(radius: float, height: float, stretch: float = 1.0) -> Rail:
        def curve(u: Floats) -> Points:
            turn = 2.0 * np.pi * u
            return places(forward + stretch * radius * np.cos(turn), left + radius * np.sin(turn), height)

        return curve

    def pad(u: Floats, v: Floats) -> Points:
        a, b = 2.0 * u - 1.0, 2.0 * v - 1.0
        across, along = a * np.sqrt(1.0 - b * b / 2.0), b * np.sqrt(1.0 - a * a / 2.0)
        dome = 5.0 * (1.0 - across**2 - along**2)
        return places(
            forward + TOWER_TOP_RADIUS_MM * along, left + TOWER_TOP_RADIUS_MM * across, up - 5.0 + dome
        )

    skirt = [
        ring(TOWER_TOP_RADIUS_MM, up - 5.0),
        ring(TOWER_TOP_RADIUS_MM + 9.0, up - 14.0),
        ring(TOWER_TOP_RADIUS_MM + 14.0, up - 60.0, 1.1),
        ring(TOWER_TOP_RADIUS_MM + 24.0, up - 215.0, 1.35),
    ]
    return [Sheet(name=f"{side_end}_strut_tower_top", surface=pad), lofted(f"{side_end}_strut_tower", skirt)]

"""Edges of the body side: drawn in the side view, laid on the outer or the inner skin."""

from collections.abc import Sequence

import numpy as np

from hoopwright.democar.lines import (
    ARCH_RADIUS_MM,
    AXLE_UP_MM,
    FRONT_AXLE_MM,
    REAR_AXLE_MM,
    half_width_mm,
    inner_half_width_mm,
)
from hoopwright.democar.sheets import Floats, Rail, Surface, places
from hoopwright.geometry import Points

Outline = Sequence[tuple[float, float]]
"""Places (forward, up) along an edge in the side view."""
ARCH_PLACES = 25


def outline(forward: Floats, up: Floats) -> list[tuple[float, float]]:
    """An outline from its two columns."""
    return list(zip(forward.tolist(), up.tolist(), strict=True))


def moved(edge_line: Outline, forward_mm: float, up_mm: float = 0.0) -> list[tuple[float, float]]:
    """The outline, moved in the side view."""
    return [(x + forward_mm, z + up_mm) for x, z in edge_line]


def _along(u: Floats, line: Outline) -> tuple[Floats, Floats]:
    knots = np.linspace(0.0, 1.0, len(line))
    table = np.array(line)
    return np.interp(u, knots, table[:, 0]), np.interp(u, knots, table[:, 1])


def _arch(axle_mm: float, front_up_mm: float, rear_up_mm: float) -> list[tuple[float, float]]:
    """The wheel opening from its front foot over the top to its rear foot."""
    start_rad = np.arcsin((front_up_mm - AXLE_UP_MM) / ARCH_RADIUS_MM)
    end_rad = np.pi - np.arcsin((rear_up_mm - AXLE_UP_MM) / ARCH_RADIUS_MM)
    turn_rad = np.linspace(start_rad, end_rad, ARCH_PLACES)
    forward, up = np.cos(turn_rad) * ARCH_RADIUS_MM + axle_mm, np.sin(turn_rad) * ARCH_RADIUS_MM + AXLE_UP_MM
    return outline(forward, up)


def front_arch() -> list[tuple[float, float]]:
    """The front wheel opening in the side view."""
    return _arch(FRONT_AXLE_MM, 176.0, 30.0)


def rear_arch() -> list[tuple[float, float]]:
    """The rear wheel opening in the side view."""
    return _arch(REAR_AXLE_MM, 30.0, 150.0)


def on_side(lower: Outline, upper: Outline) -> Surface:
    """The outer skin between two edges given in the side view, with as many places each."""

    def surface(u: Floats, v: Floats) -> Points:
        low_x, low_z = _along(u, lower)
        high_x, high_z = _along(u, upper)
        x, z = low_x + v * (high_x - low_x), low_z + v * (high_z - low_z)
        return places(x, half_width_mm(x, z), z)

    return surface


def edge(line: Outline, depth_mm: float | None) -> Rail:
    """An edge on the outer skin (depth 0), so far inside it, or on the inner skin (None)."""

    def rail(u: Floats) -> Points:
        x, z = _along(u, line)
        y = inner_half_width_mm(x, z) if depth_mm is None else half_width_mm(x, z) - depth_mm
        return places(x, y, z)

    return rail


def knots_of(count: int) -> tuple[float, ...]:
    """Values of u at the places of an outline."""
    return tuple(float(value) for value in np.linspace(0.0, 1.0, count))

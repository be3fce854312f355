"""What is measured between a driver and the bars. Pure functions of places; who judges them passes the limits."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import distance_transform_edt
from scipy.spatial import cKDTree

from hoopwright.bars import Bar, Node, centreline
from hoopwright.cage.driver import Driver
from hoopwright.geometry import Points
from hoopwright.geometry.capsules import distance_to_capsules_mm

_SPACING_MM = 3.0
_STEP_DEG = 1.0
_RASTER_MM = 5.0
VIEWS = {
    "forward": (-60.0, 60.0, -20.0, 20.0),
    "left": (60.0, 120.0, -20.0, 20.0),
    "right": (-120.0, -60.0, -20.0, 20.0),
}
"""Window of each view: azimuth from and to (left positive), elevation from and to, degrees."""


@dataclass(frozen=True, kw_only=True)
class HelmetLine:
    """The helmet against a straight edge laid over the tops of two bars, in side view.

    Args:
        room_mm: From the helmet to the edge; negative where it stands through.
        drop_ratio: How much lower the seat must go for each mm of room that is missing.
    """

    room_mm: float
    drop_ratio: float


@dataclass(frozen=True, kw_only=True)
class NearestBar:
    """The bar nearest to a part of the driver.

    Args:
        part: Which part.
        bar: Which bar.
        room_mm: From its padding to the part; negative inside.
        place_mm: On the bar's axis.
    """

    part: str
    bar: str
    room_mm: float
    place_mm: Node


@dataclass(frozen=True, kw_only=True)
class Opening:
    """What bars leave of a door opening, in side view.

    Args:
        free_share: Share of its area that no bar covers, 0 to 1.
        circle_mm: Diameter of the greatest circle in what is left.
    """

    free_share: float
    circle_mm: float


def helmet_line(driver: Driver, rear: Bar, front: Bar) -> HelmetLine | None:
    """Room of the helmet under a straight edge over a hoop and a bar further forward; None without helmet data.

    The edge touches the tops of both tubes: the outer tangent of two circles in side view.
    """
    if driver.helmet_mm is None or driver.helmet_radius_mm is None:
        return None
    (f1, u1), (f2, u2) = _top(rear), _top(front)
    r1, r2 = rear.tube.od_mm / 2.0, front.tube.od_mm / 2.0
    apart = math.hypot(f2 - f1, u2 - u1)
    if apart <= abs(r1 - r2) + 1.0:
        return None
    slope_rad = math.atan2(u2 - u1, f2 - f1) + math.asin((r2 - r1) / apart)
    normal = (-math.sin(slope_rad), math.cos(slope_rad))
    below = (f1 - driver.helmet_mm[0]) * normal[0] + (u1 - driver.helmet_mm[2]) * normal[1] + r1
    return HelmetLine(room_mm=below - driver.helmet_radius_mm, drop_ratio=1.0 / abs(normal[1]))


def belt_angle_deg(driver: Driver) -> float | None:
    """How far the shoulder belt falls toward its guide, in side view: below horizontal positive; None without data."""
    if driver.shoulder_mm is None or driver.guide_mm is None:
        return None
    back = driver.shoulder_mm[0] - driver.guide_mm[0]
    return math.degrees(math.atan2(driver.shoulder_mm[2] - driver.guide_mm[2], back))


def nearest_bars(driver: Driver, bars: Mapping[str, Bar]) -> tuple[NearestBar, ...]:
    """For each part of the driver the bar that comes nearest, with its padding."""
    points = {name: _along(bar) for name, bar in bars.items()}
    found = []
    for part in driver.bodies():
        rooms = []
        for name, bar in bars.items():
            away = distance_to_capsules_mm(points[name], [part]) - bar.tube.od_mm / 2.0 - driver.padding_mm
            at = int(np.argmin(away))
            forward, left, up = (float(x) for x in points[name][at])
            rooms.append(
                NearestBar(part=part.name, bar=name, room_mm=float(away[at]), place_mm=(forward, left, up))
            )
        if rooms:
            found.append(min(rooms, key=lambda one: one.room_mm))
    return tuple(found)


def hidden_shares(driver: Driver, bars: Mapping[str, Bar], view: str) -> dict[str, float] | None:
    """Share of a view's solid angle that each bar with its padding hides from the eye; None without an eye point."""
    if driver.eye_mm is None:
        return None
    rays, weights = _window(VIEWS[view])
    hidden = {}
    for name, bar in bars.items():
        to_bar = _along(bar) - np.array(driver.eye_mm)
        distance = np.maximum(np.linalg.norm(to_bar, axis=1), 1e-6)
        radius = bar.tube.od_mm / 2.0 + driver.padding_mm
        reach = np.where(distance > radius, np.sqrt(np.maximum(0.0, 1.0 - (radius / distance) ** 2)), -1.0)
        covered = ((rays @ (to_bar / distance[:, None]).T) >= reach).any(axis=1)
        hidden[name] = float(weights[covered].sum() / weights.sum())
    return hidden


def opening_left(corners_mm: Points, bars: Mapping[str, Bar]) -> Opening:
    """What the bars of one side leave of a door opening, seen square from that side.

    Args:
        corners_mm: Corners of the opening in order, shape (n, 3), n at least 3, all on one side of the car.
        bars: Bars of the cage; only the stretches on that side count.
    """
    outline = corners_mm[:, [0, 2]]
    low = outline.min(axis=0) - 2.0 * _RASTER_MM
    size = np.ceil((outline.max(axis=0) + 2.0 * _RASTER_MM - low) / _RASTER_MM).astype(int) + 1
    places = low + _RASTER_MM * np.stack(
        np.meshgrid(np.arange(size[0]), np.arange(size[1]), indexing="ij"), -1
    )
    inside = _inside(outline, places)
    side = np.sign(corners_mm[:, 1].mean())
    free = inside.copy()
    for bar in bars.values():
        points = _along(bar)
        points = points[points[:, 1] * side > 0.0][:, [0, 2]]
        if len(points):
            away = _distance_to(points, places)
            free &= away > bar.tube.od_mm / 2.0
    circle = 2.0 * _RASTER_MM * float(distance_transform_edt(free).max()) if free.any() else 0.0
    return Opening(free_share=float(free.sum() / max(1, inside.sum())), circle_mm=circle)


def _top(bar: Bar) -> tuple[float, float]:
    """Forward and up of the highest place of the bar's axis."""
    points = _along(bar)
    highest = points[int(np.argmax(points[:, 2]))]
    return float(highest[0]), float(highest[2])


def _along(bar: Bar) -> Points:
    path = centreline(bar)
    return path.at(path.even_distances(_SPACING_MM))


def _window(window: tuple[float, float, float, float]) -> tuple[Points, np.ndarray]:
    west, east, low, high = window
    azimuth, elevation = np.meshgrid(
        np.radians(np.arange(west, east + 1e-9, _STEP_DEG)),
        np.radians(np.arange(low, high + 1e-9, _STEP_DEG)),
    )
    azimuth, elevation = azimuth.reshape(-1), elevation.reshape(-1)
    flat = np.cos(elevation)
    return np.column_stack([flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(elevation)]), flat


def _inside(outline: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Which places lie in a polygon: even-odd rule."""
    inside = np.zeros(places.shape[:2], dtype=bool)
    for (x0, y0), (x1, y1) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        crosses = (y0 > places[..., 1]) != (y1 > places[..., 1])
        if y0 != y1:
            inside ^= crosses & (places[..., 0] < x0 + (places[..., 1] - y0) * (x1 - x0) / (y1 - y0))
    return inside


def _distance_to(points: np.ndarray, places: np.ndarray) -> np.ndarray:
    return np.asarray(cKDTree(points).query(places)[0])

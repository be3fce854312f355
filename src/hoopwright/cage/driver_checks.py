"""What is measured between a driver and the bars. Pure functions of places; who judges them passes the limits."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

import numpy as np

from hoopwright.bars import Bar, Node, centreline
from hoopwright.cage.driver import Driver
from hoopwright.geometry import Points, Vector, distance_to_capsules_mm

SPACING_MM = 3.0
_VIEW_SPACING_MM = 6.0
_STEP_DEG = 0.5
View = Literal["forward", "left", "right"]
VIEWS: dict[View, tuple[float, float, float, float]] = {
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
        between: Whether the helmet's centre lies between the two bars.
    """

    room_mm: float
    drop_ratio: float
    between: bool


@dataclass(frozen=True, kw_only=True)
class RoomToBar:
    """Room from one bar to one part of the driver.

    Args:
        part: Which part.
        bar: Which bar.
        room_mm: From its padding to the part; negative inside.
        place_mm: Where on the bar's axis.
    """

    part: str
    bar: str
    room_mm: float
    place_mm: Node


@dataclass(frozen=True, kw_only=True)
class HiddenView:
    """What bars hide of a view, as shares of its solid angle, 0 to 1.

    Args:
        share_by_bar: Hidden by each bar with its padding.
        together_share: Hidden by all of them together.
    """

    share_by_bar: dict[str, float]
    together_share: float


def helmet_line(driver: Driver, rear: Bar, front: Bar) -> HelmetLine | None:
    """Room of the helmet under a straight edge over a hoop and a bar further forward; None without helmet data.

    The edge runs above the helmet's centre through the highest places of both tubes there. That is never more room
    than a real edge leaves, which touches a sloping pair of tubes a little beside their tops (0.02 mm at 2°, 3 mm at
    30° for tubes of 45). None too where a bar does not pass across above the helmet.
    """
    if driver.helmet_mm is None or driver.helmet_radius_mm is None:
        return None
    top, far_top = (_top_across(bar, driver.helmet_mm[1]) for bar in (rear, front))
    if top is None or far_top is None:
        return None
    (f1, u1), (f2, u2) = top, far_top
    r1, r2 = rear.tube.od_mm / 2.0, front.tube.od_mm / 2.0
    if f2 - f1 <= r1 + r2:
        return None
    slope = (u2 + r2 - u1 - r1) / (f2 - f1)
    over_centre = u1 + r1 + slope * (driver.helmet_mm[0] - f1) - driver.helmet_mm[2]
    drop_ratio = math.hypot(1.0, slope)
    return HelmetLine(
        room_mm=over_centre / drop_ratio - driver.helmet_radius_mm,
        drop_ratio=drop_ratio,
        between=f1 <= driver.helmet_mm[0] <= f2,
    )


def belt_angle_deg(driver: Driver) -> float | None:
    """How far the shoulder belt falls toward its guide, in side view: below horizontal positive.

    Over 90 where the guide lies before the shoulder. None without data, or where guide and shoulder are one place.
    """
    if driver.shoulder_mm is None or driver.guide_mm is None:
        return None
    back = driver.shoulder_mm[0] - driver.guide_mm[0]
    down = driver.shoulder_mm[2] - driver.guide_mm[2]
    return math.degrees(math.atan2(down, back)) if math.hypot(back, down) >= 1.0 else None


def rooms_to_bars(driver: Driver, bars: Mapping[str, Bar]) -> tuple[RoomToBar, ...]:
    """Room from every bar with its padding to every part of the driver that was measured."""
    points = {name: along(bar) for name, bar in bars.items()}
    found = []
    for part, bodies in groupby(driver.bodies(), key=lambda body: body.name):
        capsules = list(bodies)
        for name, bar in bars.items():
            away = distance_to_capsules_mm(points[name], capsules) - bar.tube.od_mm / 2.0 - driver.padding_mm
            at = int(np.argmin(away))
            forward, left, up = (float(x) for x in points[name][at])
            found.append(
                RoomToBar(part=part, bar=name, room_mm=float(away[at]), place_mm=(forward, left, up))
            )
    return tuple(found)


def nearest_bars(rooms: Iterable[RoomToBar]) -> tuple[RoomToBar, ...]:
    """Of rooms to every bar, for each part of the driver that of the bar that comes nearest."""
    nearest: dict[str, RoomToBar] = {}
    for room in rooms:
        if room.part not in nearest or room.room_mm < nearest[room.part].room_mm:
            nearest[room.part] = room
    return tuple(nearest.values())


def hidden_view(driver: Driver, bars: Mapping[str, Bar], view: View) -> HiddenView | None:
    """Share of a view (its window is in `VIEWS`) that bars with padding hide from the eye; None without an eye point.

    One eye between the two, on directions half a degree apart: two eyes see past a thin bar near by.
    """
    if driver.eye_mm is None:
        return None
    rays, weights = _window(VIEWS[view])
    together = np.zeros(len(rays), dtype=bool)
    shares = {}
    for name, bar in bars.items():
        radius = bar.tube.od_mm / 2.0 + driver.padding_mm
        covered = _covered(rays, along(bar, _VIEW_SPACING_MM) - np.array(driver.eye_mm), radius)
        together |= covered
        shares[name] = float(weights[covered].sum() / weights.sum())
    return HiddenView(share_by_bar=shares, together_share=float(weights[together].sum() / weights.sum()))


def along(bar: Bar, spacing_mm: float = SPACING_MM) -> Points:
    """Places along a bar's axis, its true arcs included, shape (n, 3)."""
    path = centreline(bar)
    return path.at(path.even_distances(spacing_mm))


def _top_across(bar: Bar, left_mm: float) -> tuple[float, float] | None:
    """Forward and up of the highest place where the bar's axis passes a distance left of the centre plane."""
    points = along(bar)
    before, after = points[:-1], points[1:]
    low, high = np.minimum(before[:, 1], after[:, 1]), np.maximum(before[:, 1], after[:, 1])
    passes = (low <= left_mm) & (high >= left_mm)
    if not passes.any():
        return None
    step = (after - before)[passes]
    flat = np.abs(step[:, 1]) < 1e-9
    share = np.where(flat, 0.0, (left_mm - before[passes, 1]) / np.where(flat, 1.0, step[:, 1]))
    places = np.vstack([before[passes] + share[:, None] * step, after[passes][flat]])
    highest = places[int(np.argmax(places[:, 2]))]
    return float(highest[0]), float(highest[2])


def _covered(rays: Points, to_bar: Points, radius_mm: float) -> np.ndarray:
    """Which directions meet one of the balls along a bar, shape (rays,)."""
    distance = np.maximum(np.linalg.norm(to_bar, axis=1), 1e-6)
    if (distance <= radius_mm).any():
        return np.ones(len(rays), dtype=bool)
    half_rad = np.arcsin(radius_mm / distance)
    middle = rays.mean(axis=0) / np.linalg.norm(rays.mean(axis=0))
    directions = to_bar / distance[:, None]
    corner_rad = math.acos(float((rays @ middle).min()))
    near = np.arccos(np.clip(directions @ middle, -1.0, 1.0)) <= corner_rad + half_rad
    covered: np.ndarray = ((rays @ directions[near].T) >= np.cos(half_rad[near])).any(axis=1)
    return covered


def _window(window: tuple[float, float, float, float]) -> tuple[Points, Vector]:
    """Directions half a degree apart, shape (n, 3), and the solid angle of each up to a factor, shape (n,)."""
    west, east, low, high = window
    azimuth, elevation = np.meshgrid(
        np.radians(np.arange(west, east + 1e-9, _STEP_DEG)),
        np.radians(np.arange(low, high + 1e-9, _STEP_DEG)),
    )
    azimuth, elevation = azimuth.reshape(-1), elevation.reshape(-1)
    flat = np.cos(elevation)
    return np.column_stack([flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(elevation)]), flat

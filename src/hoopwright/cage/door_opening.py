"""What bars leave of a door opening for getting out. Pure functions of places."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from hoopwright.bars import Bar, Node
from hoopwright.cage.cage import Cage
from hoopwright.cage.driver_checks import along
from hoopwright.geometry import Points, Vector

_RASTER_MM = 5.0
_LEAST_MM, _MOST_MM = 50.0, 4000.0
_CORNER = re.compile(r"door_opening_(\d{1,3})")


@dataclass(frozen=True, kw_only=True)
class Opening:
    """What bars leave of a door opening, in side view.

    Args:
        free_share: Share of its area that no bar with its padding covers, 0 to 1.
        circle_mm: Diameter of the greatest circle in what is left, to the raster of 5 mm and never too large.
        circle_at_mm: Forward and up of its centre.
        crossed_by: Bars that cross the opening.
    """

    free_share: float
    circle_mm: float
    circle_at_mm: tuple[float, float]
    crossed_by: tuple[str, ...]


def opening_corners(landmarks: Mapping[str, Node]) -> Points | None:
    """Corners named `door_opening_1`, `2`, ... in the order of their numbers, shape (n, 3); None for fewer than 3."""
    numbered = [(int(found[1]), name) for name in landmarks if (found := _CORNER.fullmatch(name))]
    return np.array([landmarks[name] for _, name in sorted(numbered)]) if len(numbered) >= 3 else None


def with_opening(cage: Cage, corners_mm: Sequence[Node]) -> Cage:
    """The cage with these corners of a door opening in the place of those that it knows."""
    others = {name: place for name, place in cage.landmarks.items() if not _CORNER.fullmatch(name)}
    corners = {f"door_opening_{number}": place for number, place in enumerate(corners_mm, start=1)}
    return replace(cage, landmarks={**others, **corners})


def opening_left(corners_mm: Points, bars: Mapping[str, Bar], padding_mm: float = 0.0) -> Opening | None:
    """What the bars of one side leave of a door opening, seen square from that side.

    Args:
        corners_mm: Corners of the opening in order, shape (n, 3), n at least 3, on one side of the car.
        bars: Bars of the cage; the stretches on that side of the car count, however deep they lie.
        padding_mm: Padding on the bars.

    Returns:
        None where the corners span no opening of 50 mm to 4 m, or do not lie on one side of the car.
    """
    outline = corners_mm[:, [0, 2]]
    side = np.sign(corners_mm[0, 1])
    spans = np.ptp(outline, axis=0)
    if float((corners_mm[:, 1] * side).min()) <= 0.0 or spans.min() < _LEAST_MM or spans.max() > _MOST_MM:
        return None
    places = _raster(outline)
    places = places[_inside(outline, places)]
    if not len(places):
        return None
    room = _to_edges(outline, places)
    free = np.ones(len(places), dtype=bool)
    crossed = []
    for name, bar in bars.items():
        points = along(bar)
        points = points[points[:, 1] * side > 0.0][:, [0, 2]]
        if not len(points):
            continue
        away = np.asarray(cKDTree(points).query(places)[0]) - bar.tube.od_mm / 2.0 - padding_mm
        if (away <= 0.0).any():
            crossed.append(name)
        free &= away > 0.0
        room = np.minimum(room, away)
    widest = int(np.argmax(room))
    return Opening(
        free_share=float(free.mean()),
        circle_mm=max(0.0, 2.0 * float(room[widest])),
        circle_at_mm=(float(places[widest, 0]), float(places[widest, 1])),
        crossed_by=tuple(crossed),
    )


def _raster(outline: Points) -> Points:
    low, high = outline.min(axis=0), outline.max(axis=0)
    forward, up = (np.arange(low[k] + _RASTER_MM / 2.0, high[k], _RASTER_MM) for k in (0, 1))
    return np.stack(np.meshgrid(forward, up, indexing="ij"), -1).reshape(-1, 2)


def _inside(outline: Points, places: Points) -> np.ndarray:
    """Which places lie in a polygon: even-odd rule."""
    inside = np.zeros(len(places), dtype=bool)
    for (x0, y0), (x1, y1) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        if y0 != y1:
            crosses = (y0 > places[:, 1]) != (y1 > places[:, 1])
            inside ^= crosses & (places[:, 0] < x0 + (places[:, 1] - y0) * (x1 - x0) / (y1 - y0))
    return inside


def _to_edges(outline: Points, places: Points) -> Vector:
    """Distance of places of shape (n, 2) to the nearest edge of a polygon, shape (n,)."""
    nearest = np.full(len(places), np.inf)
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        edge = end - start
        length2 = max(float(edge @ edge), 1e-12)
        share = np.clip((places - start) @ edge / length2, 0.0, 1.0)
        nearest = np.minimum(nearest, np.linalg.norm(places - start - np.multiply.outer(share, edge), axis=1))
    return nearest

"""A bar as bent over the drawn one, with the differences drawn larger than they are."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import FilletedPath, Points, unit_vector
from hoopwright.papers.chart import TEXT_MM, label
from hoopwright.papers.drawing import Anchor, Box, Item, Page, Point, Polyline, line
from hoopwright.papers.lettering import shortened
from hoopwright.units import shown

_WIDTH_MM, _HEIGHT_MM = 240.0, 180.0
_ROOM = Box(left_mm=26.0, top_mm=36.0, width_mm=188.0, height_mm=118.0)
_LARGEST_MM = 9.0
_TIMES = (1, 2, 5, 10, 20, 50, 100)
_FLAT_MM = 5.0
_CLEAR_MM = 10.0
_DASH_MM = (2.0, 1.4)


def bent_chart(drawn: FilletedPath, bent: FilletedPath, over_deg: Sequence[float], *, title: str) -> Page:
    """Both axes seen square to the bar's plane, and along it where the bar is not flat.

    Args:
        drawn: Axis as drawn, with as many pieces as that as bent.
        bent: Axis as bent, where the drawn one lies.
        over_deg: How much each bend is over the drawn one.
        title: What stands over it.
    """
    there, gone, bends = _samples(drawn, bent)
    axes = _axes(there)
    seen, off = there @ axes.T, gone @ axes.T
    seen -= (seen.max(axis=0) + seen.min(axis=0)) / 2.0
    flat = float(np.abs(seen[:, 2]).max()) <= _FLAT_MM
    views = [(seen[:, :2], off[:, :2])] + ([] if flat else [(seen[:, [0, 2]], off[:, [0, 2]])])
    scale, boxes = _fitted([places for places, _ in views])
    times = _exaggeration(off, scale)
    items: list[Item] = [
        label(shortened(title, _WIDTH_MM - 24.0, 5.0, bold=True), 12.0, 14.0, height_mm=5.0, bold=True),
        *_key(times),
    ]
    for (places, moved), box in zip(views, boxes, strict=True):
        items += [
            _curve(places, box, scale, width_mm=0.35, dash_mm=_DASH_MM),
            _curve(places + times * moved, box, scale, width_mm=0.7),
        ]
    items += _words(views[0][0], boxes[0], scale, bends, over_deg)
    return Page(width_mm=_WIDTH_MM, height_mm=_HEIGHT_MM, items=tuple(items))


def _samples(drawn: FilletedPath, bent: FilletedPath) -> tuple[Points, Points, list[int]]:
    """Places on the drawn axis, how far the bent one is from them, and which is the middle of each bend."""
    there, gone, bends = [], [], []
    for number, (piece, twin) in enumerate(zip(drawn.pieces, bent.pieces, strict=True)):
        share = np.linspace(0.0, 1.0, 25)
        if number % 2:
            bends.append(25 * number + 12)
        there.append(piece.at(share * piece.length_mm))
        gone.append(twin.at(share * twin.length_mm) - there[-1])
    return np.concatenate(there), np.concatenate(gone), bends


def _axes(places: Points) -> NDArray[np.float64]:
    """Right, up and toward the eye, rows: up is as near to the car's up as the bar's plane allows."""
    normal = np.linalg.svd(places - places.mean(axis=0), full_matrices=False)[2][-1]
    for upward in np.eye(3)[[2, 0, 1]]:
        up = upward - normal * float(upward @ normal)
        if float(np.linalg.norm(up)) > 0.5:
            break
    up = unit_vector(up)
    return np.array([np.cross(up, normal), up, normal])


def _fitted(views: Sequence[Points]) -> tuple[float, list[Box]]:
    """Paper mm for one mm, and a box for each view, one over the other."""
    gap = 14.0
    sizes = [np.maximum(np.ptp(places, axis=0), 1.0) for places in views]
    high = sum(float(size[1]) for size in sizes)
    scale = min(
        _ROOM.width_mm / max(float(size[0]) for size in sizes),
        (_ROOM.height_mm - gap * (len(views) - 1)) / high,
    )
    boxes, top = [], _ROOM.top_mm
    for size in sizes:
        boxes.append(
            Box(left_mm=_ROOM.left_mm, top_mm=top, width_mm=_ROOM.width_mm, height_mm=scale * float(size[1]))
        )
        top = boxes[-1].bottom_mm + gap
    return scale, boxes


def _exaggeration(off: Points, scale: float) -> int:
    largest = float(np.linalg.norm(off, axis=1).max()) * scale
    good = [times for times in _TIMES if times * largest <= _LARGEST_MM]
    return good[-1] if good else 1


def _curve(
    places: Points, box: Box, scale: float, *, width_mm: float, dash_mm: tuple[float, ...] = ()
) -> Polyline:
    points = tuple(_on_paper(place, box, scale) for place in places)
    return Polyline(points_mm=points, width_mm=width_mm, dash_mm=dash_mm)


def _on_paper(place: NDArray[np.float64], box: Box, scale: float) -> Point:
    middle = box.middle_mm
    return middle[0] + scale * float(place[0]), middle[1] - scale * float(place[1])


def _words(
    places: Points, box: Box, scale: float, bends: Sequence[int], over_deg: Sequence[float]
) -> list[Item]:
    """Names of the ends beyond them, and outside each bend how much it is over."""
    ends = ((0, places[0] - places[1], "A"), (-1, places[-1] - places[-2], "B"))
    items: list[Item] = [
        label(text, *_beside(places[at], way, box, scale, 6.0), anchor="middle", bold=True)
        for at, way, text in ends
    ]
    for number, (at, over) in enumerate(zip(bends, over_deg, strict=True), start=1):
        out = places[at] - (places[at - 12] + places[at + 12]) / 2.0
        side: Anchor = "left" if out[0] > 0.0 else "right"
        items.append(
            label(
                f"{number}: {shown(over, 2, sign=True)}°",
                *_beside(places[at], out, box, scale, _CLEAR_MM),
                anchor=side,
            )
        )
    return items


def _beside(place: Points, way: Points, box: Box, scale: float, apart_mm: float) -> Point:
    """A place for words at a distance on the paper from a place on the bar; straight through it is to the right."""
    length = math.hypot(float(way[0]), float(way[1]))
    unit = way[:2] / length if length > 0.0 else np.array([1.0, 0.0])
    x, y = _on_paper(place + unit * apart_mm / scale, box, scale)
    return x, y + TEXT_MM / 2.0


def _key(times: int) -> list[Item]:
    y = _HEIGHT_MM - 12.0
    larger = f"differences drawn {times} times" if times > 1 else "at the scale of the bar"
    return [
        line((12.0, y), (26.0, y), width_mm=0.35, dash_mm=_DASH_MM),
        label("as drawn", 29.0, y + TEXT_MM / 2.0),
        line((60.0, y), (74.0, y), width_mm=0.7),
        label(f"as bent, {larger}; numbers: bend, degrees over", 77.0, y + TEXT_MM / 2.0),
    ]

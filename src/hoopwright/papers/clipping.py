"""Items cut off at the edges of a window."""

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

import numpy as np

from hoopwright.papers.drawing import Box, Circle, Item, Point, Polygon, Polyline, Text
from hoopwright.papers.lettering import text_box

_CIRCLE_STEPS = 72


def clipped(items: Iterable[Item], window: Box) -> Iterable[Item]:
    """What of the items is in the window; words go in whole where their middle is, pushed in from its edges."""
    for item in items:
        match item:
            case Polyline():
                yield from _clipped_line(item, window)
            case Polygon():
                corners = _clipped_area(item.points_mm, window)
                if len(corners) > 2:
                    yield replace(item, points_mm=corners)
            case Circle():
                yield from _clipped_circle(item, window)
            case Text():
                yield from _pushed_in(item, window)


def _clipped_line(item: Polyline, window: Box) -> Iterable[Polyline]:
    points = (*item.points_mm, item.points_mm[0]) if item.closed else item.points_mm
    run: list[Point] = []
    for start, end in pairwise(points):
        part = _clipped_step(start, end, window)
        if part is None:
            continue
        if run and run[-1] != part[0]:
            yield replace(item, points_mm=tuple(run), closed=False)
            run = []
        run = run or [part[0]]
        run.append(part[1])
    if len(run) > 1:
        yield replace(item, points_mm=tuple(run), closed=False)


def _clipped_step(start: Point, end: Point, window: Box) -> tuple[Point, Point] | None:
    """Source: Liang and Barsky, A new concept and method for line clipping, ACM TOG 3(1), 1984."""
    step = (end[0] - start[0], end[1] - start[1])
    first, last = 0.0, 1.0
    for way, room in (
        (-step[0], start[0] - window.left_mm),
        (step[0], window.right_mm - start[0]),
        (-step[1], start[1] - window.top_mm),
        (step[1], window.bottom_mm - start[1]),
    ):
        if way == 0.0:
            if room < 0.0:
                return None
        elif way < 0.0:
            first = max(first, room / way)
        else:
            last = min(last, room / way)
    if first >= last:
        return None
    a = start if first == 0.0 else (start[0] + first * step[0], start[1] + first * step[1])
    b = end if last == 1.0 else (start[0] + last * step[0], start[1] + last * step[1])
    return (a, b)


def _clipped_area(points: tuple[Point, ...], window: Box) -> tuple[Point, ...]:
    """Source: Sutherland and Hodgman, Reentrant polygon clipping, CACM 17(1), 1974."""
    for axis, edge, way in (
        (0, window.left_mm, 1.0),
        (0, window.right_mm, -1.0),
        (1, window.top_mm, 1.0),
        (1, window.bottom_mm, -1.0),
    ):
        kept: list[Point] = []
        for start, end in zip((points[-1:] + points[:-1]), points, strict=True):
            inside_a, inside_b = ((p[axis] - edge) * way >= 0.0 for p in (start, end))
            if inside_a != inside_b:
                share = (edge - start[axis]) / (end[axis] - start[axis])
                kept.append(tuple(np.add(start, share * np.subtract(end, start)).tolist()))
            if inside_b:
                kept.append(end)
        points = tuple(kept)
        if not points:
            return ()
    return points


def _clipped_circle(item: Circle, window: Box) -> Iterable[Item]:
    (x, y), r = item.centre_mm, item.radius_mm
    ring = tuple(
        (
            x + r * math.cos(2.0 * math.pi * k / _CIRCLE_STEPS),
            y + r * math.sin(2.0 * math.pi * k / _CIRCLE_STEPS),
        )
        for k in range(_CIRCLE_STEPS)
    )
    if all(holds(window, point) for point in ring):
        yield item
        return
    if item.fill is not None:
        yield from clipped([Polygon(points_mm=ring, ink=item.fill)], window)
    if item.width_mm > 0.0:
        yield from _clipped_line(Polyline(points_mm=ring, width_mm=item.width_mm, closed=True), window)


def _pushed_in(item: Text, window: Box) -> Iterable[Text]:
    box = text_box(item)
    middle = box.middle_mm
    if not holds(window, middle):
        return
    right = max(window.left_mm - box.left_mm, 0.0) + min(window.right_mm - box.right_mm, 0.0)
    down = max(window.top_mm - box.top_mm, 0.0) + min(window.bottom_mm - box.bottom_mm, 0.0)
    yield replace(item, at_mm=(item.at_mm[0] + right, item.at_mm[1] + down))


def holds(window: Box, point: Point) -> bool:
    """Whether a point is in a window or on its edge."""
    return window.left_mm <= point[0] <= window.right_mm and window.top_mm <= point[1] <= window.bottom_mm

"""A drawing that is larger than the page, in parts that overlap, with crosses that lie on one another."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from hoopwright.papers.drawing import Box, Circle, Item, Items, Point, Polygon, Polyline, Text, line
from hoopwright.papers.lettering import text_box

OVERLAP_MM = 10.0
_MARGIN_MM = 10.0
_CROSS_MM = 4.0
_CIRCLE_STEPS = 72


@dataclass(frozen=True, kw_only=True)
class Tile:
    """One part.

    Args:
        row: From 0 at the top.
        column: From 0 at the left.
        window: What it shows, in the drawing.
        items: What is on it, moved to the place where it is printed.
    """

    row: int
    column: int
    window: Box
    items: Items

    @property
    def name(self) -> str:
        """Such as `row B, column 3`."""
        return f"row {row_letter(self.row)}, column {self.column + 1}"


@dataclass(frozen=True, kw_only=True)
class Tiling:
    """How a drawing is parted.

    Args:
        rows: How many rows.
        columns: How many columns.
        first: Window of the first tile, in the drawing.
    """

    rows: int
    columns: int
    first: Box

    def window(self, row: int, column: int) -> Box:
        """What a tile shows."""
        return replace(
            self.first,
            left_mm=self.first.left_mm + column * (self.first.width_mm - OVERLAP_MM),
            top_mm=self.first.top_mm + row * (self.first.height_mm - OVERLAP_MM),
        )

    @property
    def whole(self) -> Box:
        """All that the tiles show together."""
        last = self.window(self.rows - 1, self.columns - 1)
        return replace(
            self.first,
            width_mm=last.right_mm - self.first.left_mm,
            height_mm=last.bottom_mm - self.first.top_mm,
        )

    def crosses(self) -> tuple[Point, ...]:
        """Places of the crosses: at the corners of the overlaps' middles."""
        whole = self.whole
        wide, high = self.first.width_mm - OVERLAP_MM, self.first.height_mm - OVERLAP_MM
        inset = OVERLAP_MM / 2.0
        return tuple(
            (whole.left_mm + inset + column * wide, whole.top_mm + inset + row * high)
            for row in range(self.rows + 1)
            for column in range(self.columns + 1)
        )


def row_letter(row: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    letters = ""
    number = row + 1
    while number:
        number, left = divmod(number - 1, 26)
        letters = chr(ord("A") + left) + letters
    return letters


def cross_name(plan: Tiling, cross: Point) -> str:
    """A cross by its distances in mm from the first, right and down."""
    right, down = (value - origin for value, origin in zip(cross, plan.crosses()[0], strict=True))
    return f"{round(right, 1):g}|{round(down, 1):g}"


def tiling(extent: Box, body: Box) -> Tiling:
    """The fewest tiles of the body's size that cover the extent and a margin, from its top left corner."""
    grown = extent.inset(-_MARGIN_MM)
    return Tiling(
        rows=_count(grown.height_mm, body.height_mm),
        columns=_count(grown.width_mm, body.width_mm),
        first=replace(body, left_mm=grown.left_mm, top_mm=grown.top_mm),
    )


def _count(length_mm: float, window_mm: float) -> int:
    return max(1, math.ceil((length_mm - OVERLAP_MM - 1e-6) / (window_mm - OVERLAP_MM)))


def tiles(items: Sequence[Item], plan: Tiling, body: Box) -> tuple[Tile, ...]:
    """The tiles that have a line on them, row by row; crosses and cutting edges are on each.

    Words go whole onto the tile that has their middle, pushed in from its edges.
    """
    found = []
    for row in range(plan.rows):
        for column in range(plan.columns):
            window = plan.window(row, column)
            shown = tuple(_clipped(items, window))
            if any(isinstance(item, Polyline | Circle) for item in shown):
                crosses = _crosses(plan, row, column)
                placed = tuple(
                    moved((*shown, *crosses), body.left_mm - window.left_mm, body.top_mm - window.top_mm)
                )
                found.append(Tile(row=row, column=column, window=window, items=placed))
    return tuple(found)


def _crosses(plan: Tiling, row: int, column: int) -> Items:
    """Crosses, and dashed lines between them toward a neighbour: cut there, or lay the next page up to there."""
    window = plan.window(row, column)
    corners = window.inset(OVERLAP_MM / 2.0).corners_mm
    sides = (
        (0, 1, row > 0),
        (1, 2, column + 1 < plan.columns),
        (3, 2, row + 1 < plan.rows),
        (0, 3, column > 0),
    )
    items: list[Item] = [
        line(corners[a], corners[b], width_mm=0.25, dash_mm=(1.0, 3.0)) for a, b, meets in sides if meets
    ]
    for right, down in plan.crosses():
        if _holds(window, (right, down)):
            items += [
                line((right - _CROSS_MM, down), (right + _CROSS_MM, down), width_mm=0.25),
                line((right, down - _CROSS_MM), (right, down + _CROSS_MM), width_mm=0.25),
                Circle(centre_mm=(right, down), radius_mm=2.0, width_mm=0.25),
                Text(at_mm=(right + 1.2, down - 1.6), text=cross_name(plan, (right, down)), height_mm=1.8),
            ]
    return tuple(items)


def moved(items: Iterable[Item], right_mm: float, down_mm: float) -> Iterable[Item]:
    """The items, shifted."""
    for item in items:
        match item:
            case Polyline() | Polygon():
                points = tuple((x + right_mm, y + down_mm) for x, y in item.points_mm)
                yield replace(item, points_mm=points)
            case Circle():
                x, y = item.centre_mm
                yield replace(item, centre_mm=(x + right_mm, y + down_mm))
            case Text():
                x, y = item.at_mm
                yield replace(item, at_mm=(x + right_mm, y + down_mm))


def _clipped(items: Iterable[Item], window: Box) -> Iterable[Item]:
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
    if all(_holds(window, point) for point in ring):
        yield item
        return
    if item.fill is not None:
        yield from _clipped([Polygon(points_mm=ring, ink=item.fill)], window)
    if item.width_mm > 0.0:
        yield from _clipped_line(Polyline(points_mm=ring, width_mm=item.width_mm, closed=True), window)


def _pushed_in(item: Text, window: Box) -> Iterable[Text]:
    box = text_box(item)
    middle = box.middle_mm
    if not _holds(window, middle):
        return
    right = max(window.left_mm - box.left_mm, 0.0) + min(window.right_mm - box.right_mm, 0.0)
    down = max(window.top_mm - box.top_mm, 0.0) + min(window.bottom_mm - box.bottom_mm, 0.0)
    yield replace(item, at_mm=(item.at_mm[0] + right, item.at_mm[1] + down))


def _holds(window: Box, point: Point) -> bool:
    return window.left_mm <= point[0] <= window.right_mm and window.top_mm <= point[1] <= window.bottom_mm

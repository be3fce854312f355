"""A drawing that is larger than the page, in parts that overlap, with crosses that lie on one another."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.geometry import Points
from hoopwright.papers.clipping import clipped, holds
from hoopwright.papers.drawing import Box, Circle, Item, Items, Point, Polygon, Polyline, Text, line

OVERLAP_MM = 10.0
_MARGIN_MM = 10.0
_SHIFTS = 9
_CROSS_MM = 4.0


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


def tiling(extent: Box, body: Box, drawn_mm: Points | None = None) -> Tiling:
    """The fewest tiles of the body's size that cover the extent and a margin.

    Args:
        extent: What is shown, in the drawing.
        body: What a page has room for.
        drawn_mm: Places where something is drawn, shape (n, 2): the tiles are shifted within their slack to where the
            fewest have something on them; from the top left corner without.
    """
    grown = extent.inset(-_MARGIN_MM)
    rows, columns = _count(grown.height_mm, body.height_mm), _count(grown.width_mm, body.width_mm)
    first = replace(body, left_mm=grown.left_mm, top_mm=grown.top_mm)
    plain = Tiling(rows=rows, columns=columns, first=first)
    if drawn_mm is None or len(drawn_mm) == 0:
        return plain
    slack = (plain.whole.width_mm - grown.width_mm, plain.whole.height_mm - grown.height_mm)
    shifted = (
        replace(plain, first=replace(first, left_mm=first.left_mm - right, top_mm=first.top_mm - down))
        for down in np.linspace(0.0, slack[1], _SHIFTS)
        for right in np.linspace(0.0, slack[0], _SHIFTS)
    )
    return min(shifted, key=lambda plan: _used(plan, drawn_mm))


def _used(plan: Tiling, drawn_mm: Points) -> int:
    """How many tiles have something on them."""
    wide, high = plan.first.width_mm - OVERLAP_MM, plan.first.height_mm - OVERLAP_MM
    used = np.zeros((plan.rows, plan.columns), dtype=bool)
    right, down = (drawn_mm - (plan.first.left_mm, plan.first.top_mm)).T
    for back_right in (0.0, OVERLAP_MM):
        for back_down in (0.0, OVERLAP_MM):
            column = np.clip((right - back_right) // wide, 0, plan.columns - 1).astype(int)
            row = np.clip((down - back_down) // high, 0, plan.rows - 1).astype(int)
            used[row, column] = True
    return int(used.sum())


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
            shown = tuple(clipped(items, window))
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
        if holds(window, (right, down)):
            way = 1.0 if right < window.middle_mm[0] else -1.0
            items += [
                line((right - _CROSS_MM, down), (right + _CROSS_MM, down), width_mm=0.25),
                line((right, down - _CROSS_MM), (right, down + _CROSS_MM), width_mm=0.25),
                Circle(centre_mm=(right, down), radius_mm=2.0, width_mm=0.25),
                Text(
                    at_mm=(right + 1.2 * way, down - 1.6),
                    text=cross_name(plan, (right, down)),
                    height_mm=1.8,
                    anchor="left" if way > 0.0 else "right",
                ),
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

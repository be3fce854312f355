"""A drawing over several pages, after a page with a small map of them."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points
from hoopwright.papers.clipping import holds
from hoopwright.papers.drawing import (
    Box,
    Circle,
    Item,
    Items,
    PaperSize,
    Point,
    Polyline,
    Text,
    filled,
    frame,
)
from hoopwright.papers.lettering import fitted, text_box, wrapped
from hoopwright.papers.template_frame import template_body, turned
from hoopwright.papers.tiling import Tile, Tiling, cross_name, row_letter, tiles, tiling
from hoopwright.papers.words import both, count_words
from hoopwright.units import LengthUnit

_WORDS_MM = 2.8
_DRAWN_MM = 2.0


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A page before it is numbered."""

    size: PaperSize
    title: str
    items: Items


def in_parts(
    items: Sequence[Item],
    extent: Box,
    title: str,
    size: PaperSize,
    unit: LengthUnit,
    words: Sequence[str] = (),
) -> list[Sheet]:
    """A drawing over several pages, after a page with a small map of them.

    Args:
        items: The drawing, at full size.
        extent: What of it is shown.
        title: What it is.
        size: A4 or letter.
        unit: Of the lengths on the map.
        words: Lines to stand over the map.
    """
    size, plan, parts = min(_parted(items, extent, size), key=lambda way: len(way[2]))
    body = template_body(size)
    cover = Sheet(
        size=size,
        title=f"{title}: how the pages lie",
        items=_cover(items, extent, plan, parts, body, unit, words),
    )
    return [cover, *(Sheet(size=size, title=f"{title}: {part.name}", items=part.items) for part in parts)]


def _parted(
    items: Sequence[Item], extent: Box, size: PaperSize
) -> list[tuple[PaperSize, Tiling, tuple[Tile, ...]]]:
    """The drawing on upright pages, and on turned ones."""
    ways = []
    drawn = _drawn(items)
    for way in (size, turned(size)):
        body = template_body(way)
        plan = tiling(extent, body, drawn)
        ways.append((way, plan, tiles(items, plan, body)))
    return ways


def _drawn(items: Sequence[Item]) -> Points:
    """Places along every line, shape (n, 2)."""
    places = [np.empty((0, 2))]
    for item in items:
        if not isinstance(item, Polyline):
            continue
        corners = np.array([*item.points_mm, *(item.points_mm[:1] if item.closed else ())])
        long = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
        along = np.linspace(0.0, long[-1], max(2, math.ceil(long[-1] / _DRAWN_MM)))
        places.append(np.column_stack([np.interp(along, long, corners[:, axis]) for axis in range(2)]))
    return np.vstack(places)


def _cover(
    items: Sequence[Item],
    extent: Box,
    plan: Tiling,
    parts: Sequence[Tile],
    body: Box,
    unit: LengthUnit,
    words: Sequence[str],
) -> Items:
    """Words, and under them the map."""
    a, b = _far_crosses(plan, parts)
    said = (
        f"{both(extent.width_mm, unit)} x {both(extent.height_mm, unit)} in all, on "
        f"{count_words(len(parts), 'page')} in {count_words(plan.rows, 'row')} (letters) and "
        f"{count_words(plan.columns, 'column')} (numbers).",
        "Lay cross on cross: cut one page along the dashed line and glue it on its neighbour. Start in the middle.",
        f"Check when glued: from cross {cross_name(plan, a)} to cross {cross_name(plan, b)} it is "
        f"{both(math.dist(a, b), unit)}.",
        *words,
    )
    lines = [text for one in said for text in wrapped(one, body.width_mm, _WORDS_MM)]
    room = Box(
        left_mm=body.left_mm,
        top_mm=body.top_mm + 4.0 + len(lines) * _WORDS_MM * 1.6 + 4.0,
        width_mm=body.width_mm,
        height_mm=body.height_mm - len(lines) * _WORDS_MM * 1.6 - 12.0,
    )
    return (
        *(
            Text(
                at_mm=(body.left_mm, body.top_mm + 4.0 + row * _WORDS_MM * 1.6),
                text=text,
                height_mm=_WORDS_MM,
            )
            for row, text in enumerate(lines)
        ),
        *_map(items, plan, parts, room),
    )


def _far_crosses(plan: Tiling, parts: Sequence[Tile]) -> tuple[Point, Point]:
    """The two printed crosses that are farthest apart."""
    printed = [cross for cross in plan.crosses() if any(holds(part.window, cross) for part in parts)]
    return max(itertools.combinations(printed, 2), key=lambda pair: math.dist(*pair))


def _map(items: Sequence[Item], plan: Tiling, parts: Sequence[Tile], room: Box) -> Items:
    """The drawing made small, with the pages over it; a page that would be empty has no name."""
    whole = plan.whole
    scale = min(room.width_mm / whole.width_mm, room.height_mm / whole.height_mm, 0.5)

    def place(at: Point) -> Point:
        return (
            room.left_mm + (at[0] - whole.left_mm) * scale,
            room.top_mm + (at[1] - whole.top_mm) * scale,
        )

    made: list[Item] = []
    for item in items:
        if isinstance(item, Polyline):
            made.append(
                Polyline(points_mm=tuple(map(place, item.points_mm)), width_mm=0.25, closed=item.closed)
            )
        elif isinstance(item, Circle) and item.radius_mm * scale > 0.3:
            made.append(
                Circle(centre_mm=place(item.centre_mm), radius_mm=item.radius_mm * scale, width_mm=0.25)
            )
    for part in parts:
        corners = part.window.inset(5.0).corners_mm
        left, top = place(corners[0])
        right, bottom = place(corners[2])
        cell = Box(left_mm=left, top_mm=top, width_mm=right - left, height_mm=bottom - top)
        name = fitted(
            f"{row_letter(part.row)}{part.column + 1}",
            (cell.left_mm + 0.8, cell.top_mm + 3.6),
            cell.width_mm - 1.0,
            2.8,
            bold=True,
        )
        made += [
            frame(cell, width_mm=0.35, dash_mm=(1.0, 1.0)),
            filled(text_box(name).inset(-0.3), "white"),
            name,
        ]
    return tuple(made)

"""Ruled tables that go on over several pages."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Anchor, Box, Item, Items, Text, frame, line
from hoopwright.papers.lettering import height_to_fit, shortened

TICK = "\N{BALLOT BOX}"
"""A cell that holds an empty box to tick."""
ROW_MM = 6.6
HEAD_MM = 6.0
_LEAST_MM = 1.9
_PAD_MM = 1.4


@dataclass(frozen=True, kw_only=True)
class Column:
    """A column of a table: its head, its share of the width and where its words stand."""

    head: str
    share: float
    anchor: Anchor = "left"
    bold: bool = False


def rows_that_fit(height_mm: float) -> int:
    """How many rows a table of that height has under its head."""
    return max(0, int((height_mm - HEAD_MM + 1e-6) // ROW_MM))


def ruled_table(columns: Sequence[Column], rows: Sequence[Sequence[str]], box: Box) -> Items:
    """The table from the top of the box; rows beyond its height are the caller's to carry over."""
    total = sum(column.share for column in columns)
    lefts = [box.left_mm]
    for column in columns:
        lefts.append(lefts[-1] + column.share / total * box.width_mm)
    bottom = box.top_mm + HEAD_MM + ROW_MM * len(rows)
    outline = Box(
        left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=bottom - box.top_mm
    )
    items: list[Item] = [frame(outline, width_mm=0.7)]
    items += [line((left, box.top_mm), (left, bottom)) for left in lefts[1:-1]]
    for number, column in enumerate(columns):
        cell = _cell(lefts, number, box.top_mm, HEAD_MM)
        items += _cell_words(column.head, cell, column.anchor, 2.4, bold=True)
    for row, words in enumerate(rows):
        top = box.top_mm + HEAD_MM + ROW_MM * row
        items.append(line((box.left_mm, top), (box.right_mm, top), width_mm=0.7 if row == 0 else 0.35))
        for number, (column, text) in enumerate(zip(columns, words, strict=True)):
            cell = _cell(lefts, number, top, ROW_MM)
            items += _cell_words(text, cell, column.anchor, 2.9, bold=column.bold)
    return tuple(items)


def _cell(lefts: list[float], number: int, top_mm: float, height_mm: float) -> Box:
    left, right = lefts[number], lefts[number + 1]
    return Box(left_mm=left, top_mm=top_mm, width_mm=right - left, height_mm=height_mm)


def _cell_words(words: str, cell: Box, anchor: Anchor, tallest_mm: float, *, bold: bool) -> Items:
    right, down = cell.middle_mm
    if words == TICK:
        side = 4.0
        box = Box(left_mm=right - side / 2.0, top_mm=down - side / 2.0, width_mm=side, height_mm=side)
        return (frame(box, width_mm=0.5),)
    if not words:
        return ()
    room = cell.width_mm - 2.0 * _PAD_MM
    height = max(_LEAST_MM, height_to_fit(words, room, tallest_mm, bold=bold))
    at = {"left": cell.left_mm + _PAD_MM, "middle": right, "right": cell.right_mm - _PAD_MM}[anchor]
    shown = shortened(words, room, height, bold=bold)
    return (Text(at_mm=(at, down + height / 2.0), text=shown, height_mm=height, anchor=anchor, bold=bold),)

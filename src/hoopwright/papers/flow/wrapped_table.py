"""Tables whose cells break into lines, with the head again on each page."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from hoopwright.papers.drawing import Anchor, Box, Items, Polyline, Text, line
from hoopwright.papers.flow.parts import Drawn, Part
from hoopwright.papers.lettering import height_to_fit, wrapped
from hoopwright.papers.tables import Column

RULED = "\N{LOW LINE}"
"""A cell that is not known here and is written in by hand."""
_CELL_MM = 2.2
_SMALLEST_MM = 1.75
_STEP_MM = 3.4
_PAD_MM = 1.2
_LEAST_ROW_MM = 5.4
_RULED_ROW_MM = 7.4
_MOST_LINES = 45
_TOGETHER_MM = 60.0


def table_parts(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], width_mm: float
) -> tuple[Part, ...]:
    """The head and one part for each row.

    Args:
        columns: From the left.
        rows: The words of each cell; `RULED` leaves a line to write on.
        width_mm: Of the page's room.
    """
    widths = _widths(columns, width_mm)
    head = _row(columns, [column.head for column in columns], widths, is_head=True)
    body = [
        _row(columns, part, widths, is_head=False, head=head)
        for row in rows
        for part in _no_taller_than_a_page(columns, row, widths)
    ]
    if len(body) > 1 and body[0].height_mm + body[1].height_mm < _TOGETHER_MM:
        # one row alone over a page's foot reads as the whole of a table
        body[0] = replace(body[0], holds=True)
    return (head, *body) if body else ()


def _no_taller_than_a_page(
    columns: Sequence[Column], row: Sequence[str], widths: Sequence[float]
) -> Iterator[Sequence[str]]:
    """The row, or where a cell has more lines than a page should hold, as several that go on."""
    lines = [_cell(column, text, wide).lines for column, text, wide in zip(columns, row, widths, strict=True)]
    most = max(len(one) for one in lines)
    if most <= _MOST_LINES:
        yield row
        return
    for first in range(0, most, _MOST_LINES):
        yield [
            text if text == RULED and first == 0 else " ".join(one[first : first + _MOST_LINES])
            for text, one in zip(row, lines, strict=True)
        ]


@dataclass(frozen=True, kw_only=True)
class _Cell:
    """The words of a cell as they are set."""

    lines: tuple[str, ...]
    height_mm: float
    anchor: Anchor
    bold: bool


def _cell(column: Column, text: str, wide_mm: float, *, is_head: bool = False) -> _Cell:
    """Words in lines; smaller where the longest word would be broken."""
    bold = is_head or column.bold
    room = (wide_mm - 2.0 * _PAD_MM) * (1.0 - 1e-9)
    heights = [height_to_fit(word, room, _CELL_MM, bold=bold) for word in text.split()]
    height = max(_SMALLEST_MM, min(heights, default=_CELL_MM))
    lines = () if text == RULED else wrapped(text, wide_mm - 2.0 * _PAD_MM, height, bold=bold)
    return _Cell(lines=lines, height_mm=height, anchor=column.anchor, bold=bold)


def _widths(columns: Sequence[Column], width_mm: float) -> list[float]:
    total = sum(column.share for column in columns)
    return [column.share / total * width_mm for column in columns]


def _row(
    columns: Sequence[Column],
    words: Sequence[str],
    widths: Sequence[float],
    *,
    is_head: bool,
    head: Part | None = None,
) -> Part:
    cells = [
        _cell(column, text, wide, is_head=is_head)
        for column, text, wide in zip(columns, words, widths, strict=True)
    ]
    most = max(1, *(len(cell.lines) for cell in cells))
    least = _RULED_ROW_MM if RULED in words else _LEAST_ROW_MM
    height = max(least, _STEP_MM * most + 2.0)

    def draw(box: Box) -> Drawn:
        return (
            *_grid(box, widths, is_head=is_head),
            *(
                item
                for number, cell in enumerate(cells)
                for item in _set(cell, _cell_box(box, widths, number))
            ),
            *(_dotted(_cell_box(box, widths, number)) for number, text in enumerate(words) if text == RULED),
        )

    return Part(height_mm=height, draw=draw, head=head, holds=is_head)


def _cell_box(row: Box, widths: Sequence[float], number: int) -> Box:
    return Box(
        left_mm=row.left_mm + sum(widths[:number]),
        top_mm=row.top_mm,
        width_mm=widths[number],
        height_mm=row.height_mm,
    )


def _grid(box: Box, widths: Sequence[float], *, is_head: bool) -> Items:
    sides = [box.left_mm + sum(widths[:number]) for number in range(len(widths) + 1)]
    outer = (sides[0], sides[-1])
    return (
        *(
            line((side, box.top_mm), (side, box.bottom_mm), width_mm=0.5 if side in outer else 0.25)
            for side in sides
        ),
        line((outer[0], box.bottom_mm), (outer[1], box.bottom_mm), width_mm=0.6 if is_head else 0.25),
        *((line((outer[0], box.top_mm), (outer[1], box.top_mm), width_mm=0.6),) if is_head else ()),
    )


def _set(cell: _Cell, box: Box) -> Items:
    at = {
        "left": box.left_mm + _PAD_MM,
        "middle": box.middle_mm[0],
        "right": box.right_mm - _PAD_MM,
    }[cell.anchor]
    first = box.middle_mm[1] - _STEP_MM * (len(cell.lines) - 1) / 2.0 + cell.height_mm / 2.0
    return tuple(
        Text(
            at_mm=(at, first + _STEP_MM * row),
            text=words,
            height_mm=cell.height_mm,
            anchor=cell.anchor,
            bold=cell.bold,
        )
        for row, words in enumerate(cell.lines)
    )


def _dotted(box: Box) -> Polyline:
    """A dotted line to write on."""
    return line(
        (box.left_mm + 1.0, box.bottom_mm - 1.6),
        (box.right_mm - 1.0, box.bottom_mm - 1.6),
        width_mm=0.25,
        dash_mm=(0.3, 0.7),
    )

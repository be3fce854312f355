"""What is filled in by hand: ruled lines with a name, boxes to tick, places to sign."""

from collections.abc import Sequence

from hoopwright.papers.drawing import Box, Item, Polyline, Text, frame, line
from hoopwright.papers.flow import Drawn, Part
from hoopwright.papers.flow.word_parts import LINE_SHARE, WORDS_MM
from hoopwright.papers.lettering import height_to_fit, shortened, width_mm, wrapped

_ROW_MM = 9.0
_BOX_MM = 3.6
_SMALL_MM = 2.1


def fill_in(fields: Sequence[tuple[str, str]], *, across: int = 1) -> tuple[Part, ...]:
    """Rows of fields, each with its name and its value, or a line to write on where the value is empty.

    Args:
        fields: Name and value.
        across: How many beside each other.
    """
    rows = [fields[first : first + across] for first in range(0, len(fields), across)]
    return tuple(_field_row(row, across) for row in rows)


def _field_row(row: Sequence[tuple[str, str]], across: int) -> Part:
    def draw(box: Box) -> Drawn:
        wide = box.width_mm / across
        items: list[Item] = []
        for number, (name, value) in enumerate(row):
            left = box.left_mm + number * wide
            room = wide - (3.0 if across > 1 else 0.0)
            items.append(
                Text(
                    at_mm=(left, box.bottom_mm - 2.2),
                    text=name,
                    height_mm=height_to_fit(name, room / 2.0, WORDS_MM),
                )
            )
            start = left + min(width_mm(name, WORDS_MM), room / 2.0) + 2.0
            items += _value(value, start, left + room, box.bottom_mm - 2.2)
        return tuple(items)

    return Part(height_mm=_ROW_MM, draw=draw)


def _value(value: str, start_mm: float, end_mm: float, base_mm: float) -> tuple[Item, ...]:
    if not value:
        return (_dotted(start_mm, end_mm, base_mm + 0.6),)
    room = end_mm - start_mm
    height = max(_SMALL_MM, height_to_fit(value, room, WORDS_MM + 0.3, bold=True))
    shown = shortened(value, room, height, bold=True)
    return (Text(at_mm=(start_mm, base_mm), text=shown, height_mm=height, bold=True),)


def _dotted(start_mm: float, end_mm: float, down_mm: float) -> Polyline:
    return line((start_mm, down_mm), (end_mm, down_mm), width_mm=0.25, dash_mm=(0.3, 0.7))


def tick_lines(statements: Sequence[str], room_mm: float) -> tuple[Part, ...]:
    """Statements, each with a box to tick before it.

    Args:
        statements: One or more.
        room_mm: Width of the page's room.
    """
    return tuple(_ticked(words, room_mm) for words in statements)


def _ticked(words: str, room_mm: float) -> Part:
    inset = _BOX_MM + 3.0
    lines = wrapped(words, room_mm - inset, WORDS_MM)
    step = WORDS_MM * LINE_SHARE

    def draw(box: Box) -> Drawn:
        square = Box(left_mm=box.left_mm + 0.3, top_mm=box.top_mm + 0.4, width_mm=_BOX_MM, height_mm=_BOX_MM)
        return (
            frame(square, width_mm=0.5),
            *(
                Text(
                    at_mm=(box.left_mm + inset, box.top_mm + 0.6 + WORDS_MM + row * step),
                    text=line_words,
                    height_mm=WORDS_MM,
                )
                for row, line_words in enumerate(lines)
            ),
        )

    return Part(height_mm=max(step * len(lines), _BOX_MM) + 2.6, draw=draw)


def ruled_lines(count: int) -> tuple[Part, ...]:
    """Empty lines to write on."""
    return tuple(
        Part(
            height_mm=8.5,
            draw=lambda box: (_dotted(box.left_mm, box.right_mm, box.bottom_mm - 1.0),),
        )
        for _ in range(count)
    )


def signature_lines(names: Sequence[str]) -> Part:
    """Lines beside each other, each with what goes on it under it."""

    def draw(box: Box) -> Drawn:
        wide = box.width_mm / len(names)
        items: list[Item] = []
        for number, name in enumerate(names):
            left = box.left_mm + number * wide
            items += [
                line((left, box.bottom_mm - 5.0), (left + wide - 4.0, box.bottom_mm - 5.0), width_mm=0.35),
                Text(
                    at_mm=(left, box.bottom_mm - 1.6),
                    text=name,
                    height_mm=height_to_fit(name, wide - 4.0, _SMALL_MM),
                ),
            ]
        return tuple(items)

    return Part(height_mm=24.0, draw=draw)

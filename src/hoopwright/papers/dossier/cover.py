"""The first page: what the file is of, what it was made from, what it does not say, and what is in it."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Box, Item, Items, Text, line
from hoopwright.papers.flow.word_parts import LINE_SHARE
from hoopwright.papers.lettering import fitted, height_to_fit, width_mm, wrapped
from hoopwright.papers.numbered_view import NumberedSheet, NumberedTube, plain_view
from hoopwright.papers.views import view

_TITLE_MM = 8.0
_FIELD_MM, _FIELD_ROW_MM = 2.6, 7.6
_STATE_MM = 2.5
_LIST_MM = 2.5
_LIST_STEP_MM = 4.4
_CAUTION_MM = 2.25
_LEAST_PICTURE_MM = 30.0
_TALLEST_PICTURE_MM = 125.0


@dataclass(frozen=True, kw_only=True)
class CoverField:
    """A fact about the car or the cage; a line to write on where the value is empty."""

    name: str
    value: str = ""


@dataclass(frozen=True, eq=False, kw_only=True)
class Cover:
    """What stands on the first page.

    Args:
        title: Large, at the top.
        second: Under it.
        fields: What is known of car and cage.
        state: Hash of the state, in full.
        made_of: What the hash is over.
        cautions: What the file does not say.
        tubes: For the picture; may be empty.
        sheets: Plates and gussets for it.
    """

    title: str
    second: str
    fields: tuple[CoverField, ...]
    state: str
    made_of: str
    cautions: tuple[str, ...]
    tubes: tuple[NumberedTube, ...] = ()
    sheets: tuple[NumberedSheet, ...] = ()


def cover_items(cover: Cover, contents: Sequence[tuple[str, int]], room: Box) -> Items:
    """The first page inside its frame.

    Args:
        cover: What stands on it.
        contents: Title and page of each section.
        room: Where.
    """
    title = height_to_fit(cover.title, room.width_mm, _TITLE_MM, bold=True)
    items: list[Item] = [
        Text(at_mm=(room.left_mm, room.top_mm + 10.0), text=cover.title, height_mm=title, bold=True),
        fitted(cover.second, (room.left_mm, room.top_mm + 17.0), room.width_mm, 3.4),
    ]
    top = room.top_mm + 22.0
    items += _fields(cover.fields, room, top)
    top += _FIELD_ROW_MM * ((len(cover.fields) + 1) // 2) + 2.0
    state_lines = _state_lines(cover, room.width_mm)
    items += _lines(state_lines, (room.left_mm, top), _STATE_MM)
    top += len(state_lines) * _STATE_MM * LINE_SHARE + 4.0
    lists = _lists(cover, contents, room.width_mm)
    list_height = max(len(lists[0]) * _LIST_STEP_MM, len(lists[1]) * _CAUTION_MM * LINE_SHARE) + 7.0
    picture = min(_TALLEST_PICTURE_MM, room.bottom_mm - list_height - top - 3.0)
    if cover.tubes and picture >= _LEAST_PICTURE_MM:
        box = Box(left_mm=room.left_mm, top_mm=top, width_mm=room.width_mm, height_mm=picture)
        items += plain_view(cover.tubes, view("oblique left"), box, cover.sheets)
        top += picture + 3.0
    items += _both_lists(lists, room, max(top, room.bottom_mm - list_height))
    return tuple(items)


def _fields(fields: Sequence[CoverField], room: Box, top_mm: float) -> Items:
    """Two columns of fields."""
    wide = room.width_mm / 2.0
    items: list[Item] = []
    for number, field in enumerate(fields):
        left = room.left_mm + wide * (number % 2)
        base = top_mm + _FIELD_ROW_MM * (number // 2) + 5.0
        right = left + wide - 4.0
        items.append(Text(at_mm=(left, base), text=field.name, height_mm=_FIELD_MM))
        start = left + width_mm(field.name, _FIELD_MM) + 2.0
        if field.value:
            items.append(fitted(field.value, (start, base), right - start, _FIELD_MM + 0.4, bold=True))
        else:
            items.append(line((start, base + 0.6), (right, base + 0.6), width_mm=0.25, dash_mm=(0.3, 0.7)))
    return tuple(items)


def _state_lines(cover: Cover, room_mm: float) -> tuple[str, ...]:
    return (
        f"Made from the state {cover.state}",
        *wrapped(f"which is the SHA-256 of {cover.made_of}.", room_mm, _STATE_MM),
    )


def _lists(
    cover: Cover, contents: Sequence[tuple[str, int]], room_mm: float
) -> tuple[list[tuple[str, int]], list[str]]:
    """The contents, and the cautions in lines."""
    wide = room_mm * 0.56 - 4.0
    cautions = [text for words in cover.cautions for text in _pointed(words, wide)]
    return list(contents), cautions


def _pointed(words: str, room_mm: float) -> list[str]:
    first, *more = wrapped(words, room_mm - 3.0, _CAUTION_MM)
    return [f"- {first}", *(f"  {text}" for text in more)]


def _both_lists(lists: tuple[list[tuple[str, int]], list[str]], room: Box, top_mm: float) -> Items:
    """Contents on the left, cautions on the right."""
    contents, cautions = lists
    middle = room.left_mm + room.width_mm * 0.44
    items: list[Item] = [
        Text(at_mm=(room.left_mm, top_mm + 3.0), text="what is in it", height_mm=3.0, bold=True),
        Text(at_mm=(middle, top_mm + 3.0), text="what it does not say", height_mm=3.0, bold=True),
    ]
    right = middle - 8.0
    for row, (title, page) in enumerate(contents):
        base = top_mm + 8.6 + row * _LIST_STEP_MM
        start = room.left_mm + width_mm(title, _LIST_MM) + 1.5
        end = right - width_mm(str(page), _LIST_MM) - 1.5
        items += [
            Text(at_mm=(room.left_mm, base), text=title, height_mm=_LIST_MM),
            Text(at_mm=(right, base), text=str(page), height_mm=_LIST_MM, anchor="right"),
        ]
        if end > start:
            items.append(line((start, base), (end, base), width_mm=0.25, dash_mm=(0.3, 1.2)))
    items += [
        Text(
            at_mm=(
                middle + (0.0 if words.startswith("-") else 1.9),
                top_mm + 8.2 + row * _CAUTION_MM * LINE_SHARE,
            ),
            text=words.strip(),
            height_mm=_CAUTION_MM,
        )
        for row, words in enumerate(cautions)
    ]
    return tuple(items)


def _lines(lines: Sequence[str], corner_mm: tuple[float, float], height_mm: float) -> Items:
    return tuple(
        Text(
            at_mm=(corner_mm[0], corner_mm[1] + height_mm + row * height_mm * LINE_SHARE),
            text=words,
            height_mm=height_mm,
            bold=row == 0,
        )
        for row, words in enumerate(lines)
    )

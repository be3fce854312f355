"""The pages with the numbered line drawing."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Box, Item, Items, Text
from hoopwright.papers.lettering import fitted, wrapped
from hoopwright.papers.numbered_view import NumberedSheet, NumberedTube, NumberedView, numbered_view
from hoopwright.papers.views import ViewName, view

PAGES: tuple[tuple[ViewName, ...], ...] = (
    ("oblique left", "oblique rear right"),
    ("side", "right side"),
    ("front", "rear"),
    ("top",),
)
"""Which views stand on which page."""
_KEY_MM = 2.2
_KEY_STEP_MM = 3.9
_KEY_COLUMNS = 4
_GAP_MM = 4.0
_NOTE = (
    "Outlines to scale within one view, no view to a set scale. What lies behind metal is dashed; tube ends are shown "
    "where they meet the skin of the tube or the plate that they end on. Plain numbers are those of the table of "
    "members, L those of the landings, G those of the gussets, drawn thinner and without their thickness."
)


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnMember:
    """A member as the drawing names it.

    Args:
        tube: With its number.
        name: Its short name.
        words: What it is.
    """

    tube: NumberedTube
    name: str
    words: str


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnSheet:
    """A landing or a gusset as the drawing names it.

    Args:
        sheet: With its number.
        words: What it is, and of what.
    """

    sheet: NumberedSheet
    words: str


def drawing_bodies(members: Sequence[DrawnMember], sheets: Sequence[DrawnSheet], room: Box) -> list[Items]:
    """One page for each pair of views, with the key of the numbers at its foot."""
    tubes, plates = [member.tube for member in members], [one.sheet for one in sheets]
    entries = [(str(one.tube.number), f"{one.name}  {one.words}") for one in members]
    entries += [(one.sheet.number, one.words) for one in sheets]
    key = _key_height_mm(len(entries))
    rest = Box(
        left_mm=room.left_mm,
        top_mm=room.top_mm,
        width_mm=room.width_mm,
        height_mm=room.height_mm - key - _GAP_MM,
    )
    foot = Box(left_mm=room.left_mm, top_mm=rest.bottom_mm + _GAP_MM, width_mm=room.width_mm, height_mm=key)
    return [
        (
            *(item for one in numbered_views(tubes, plates, names, rest) for item in one.items),
            *_key(entries, foot),
        )
        for names in PAGES
    ]


def numbered_views(
    tubes: Sequence[NumberedTube], sheets: Sequence[NumberedSheet], names: Sequence[ViewName], room: Box
) -> tuple[NumberedView, ...]:
    """Views under each other."""
    high = (room.height_mm - _GAP_MM * (len(names) - 1)) / len(names)
    return tuple(
        numbered_view(
            tubes,
            view(name),
            Box(
                left_mm=room.left_mm,
                top_mm=room.top_mm + row * (high + _GAP_MM),
                width_mm=room.width_mm,
                height_mm=high,
            ),
            sheets,
        )
        for row, name in enumerate(names)
    )


def _rows(count: int) -> int:
    return -(-count // _KEY_COLUMNS)


def _key_height_mm(count: int) -> float:
    return _KEY_STEP_MM * (_rows(count) + 2) + 4.0


def _key(entries: Sequence[tuple[str, str]], box: Box) -> Items:
    """Number and words of each member and sheet, down the columns, and under it what the lines mean."""
    rows, wide = _rows(len(entries)), box.width_mm / _KEY_COLUMNS
    items: list[Item] = []
    for place, (number, words) in enumerate(entries):
        column, row = divmod(place, rows)
        at = (box.left_mm + column * wide, box.top_mm + 3.0 + row * _KEY_STEP_MM)
        items += [
            Text(
                at_mm=(at[0] + 5.0, at[1]),
                text=number,
                height_mm=_KEY_MM,
                anchor="right",
                bold=True,
            ),
            fitted(words, (at[0] + 7.0, at[1]), wide - 9.0, _KEY_MM),
        ]
    first = box.top_mm + 3.0 + rows * _KEY_STEP_MM + 1.0
    items += [
        Text(at_mm=(box.left_mm, first + row * 3.2), text=words, height_mm=1.9)
        for row, words in enumerate(wrapped(_NOTE, box.width_mm, 1.9))
    ]
    return tuple(items)

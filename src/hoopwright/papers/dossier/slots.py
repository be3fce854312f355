"""Places for photos: with the photo, or empty for a print to be stuck in."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Box, Item, PlacedPhoto, Text, frame
from hoopwright.papers.flow import Drawn, Part
from hoopwright.papers.lettering import fitted

_ACROSS = 2
_GAP_MM = 4.0
_SLOT_MM = 54.0
_CAPTION_MM = 2.3


@dataclass(frozen=True, eq=False, kw_only=True)
class PhotoSlot:
    """A place for one photo.

    Args:
        place: What it shows.
        words: Caption and day; empty without a photo.
        about: What is there, said where there is no photo yet.
        jpeg: The photo; None leaves the place empty.
        size_px: Width and height of the photo.
    """

    place: str
    words: str = ""
    about: str = ""
    jpeg: bytes | None = None
    size_px: tuple[int, int] = (4, 3)


def slot_parts(slots: Sequence[PhotoSlot]) -> tuple[Part, ...]:
    """The slots in rows of two."""
    rows = [slots[first : first + _ACROSS] for first in range(0, len(slots), _ACROSS)]
    return tuple(_row(row) for row in rows)


def _row(row: Sequence[PhotoSlot]) -> Part:
    def draw(box: Box) -> Drawn:
        wide = (box.width_mm - _GAP_MM * (_ACROSS - 1)) / _ACROSS
        return tuple(
            item
            for number, slot in enumerate(row)
            for item in _slot(
                slot,
                Box(
                    left_mm=box.left_mm + number * (wide + _GAP_MM),
                    top_mm=box.top_mm,
                    width_mm=wide,
                    height_mm=_SLOT_MM,
                ),
            )
        )

    return Part(height_mm=_SLOT_MM + 4.0, draw=draw)


def _slot(slot: PhotoSlot, box: Box) -> Drawn:
    base = box.bottom_mm - 1.6
    room = Box(
        left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=box.height_mm - 6.0
    ).inset(1.0)
    place = fitted(slot.place, (box.left_mm + 1.5, base), box.width_mm * 0.42, _CAPTION_MM, bold=True)
    items: list[Item | PlacedPhoto] = [frame(box, width_mm=0.5), place]
    if slot.words:
        items.append(
            fitted(slot.words, (box.right_mm - 1.5, base), box.width_mm * 0.52, _CAPTION_MM, anchor="right")
        )
    if slot.jpeg is None:
        right, down = room.middle_mm
        items.append(Text(at_mm=(right, down), text="no photo yet", height_mm=_CAPTION_MM, anchor="middle"))
        if slot.about:
            below = (right, down + 2.0 * _CAPTION_MM)
            items.append(fitted(slot.about, below, room.width_mm - 4.0, _CAPTION_MM, anchor="middle"))
    else:
        items.append(PlacedPhoto(box=_within(room, slot.size_px), jpeg=slot.jpeg))
    return tuple(items)


def _within(room: Box, size_px: tuple[int, int]) -> Box:
    """The largest box of that shape in the middle of a room."""
    wide, high = size_px
    scale = min(room.width_mm / wide, room.height_mm / high)
    (right, down), half = room.middle_mm, (wide * scale / 2.0, high * scale / 2.0)
    return Box(
        left_mm=right - half[0], top_mm=down - half[1], width_mm=2.0 * half[0], height_mm=2.0 * half[1]
    )

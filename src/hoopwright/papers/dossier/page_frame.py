"""What stands on every page of the file: whose it is, cautions, the state it was made from, and which page it is."""

from hoopwright.papers.drawing import Box, Items, PaperSize, Text, line
from hoopwright.papers.lettering import fitted, height_to_fit
from hoopwright.papers.words import CAUTIONS

_LEFT_MM, _RIGHT_MM = 20.0, 10.0
"""Room for holes on the left: they lie 12 mm from the edge. Source: ISO 838."""
_TOP_MM, _HEAD_MM = 9.0, 8.0
_FOOT_MM, _BOTTOM_MM = 10.5, 8.0
_SMALL_MM = 2.1
_CAUTION = CAUTIONS[0]
"""The others are for whoever bends, welds or measures from a paper."""


def page_room(paper: PaperSize) -> Box:
    """What is left between head and foot."""
    return Box(
        left_mm=_LEFT_MM,
        top_mm=_TOP_MM + _HEAD_MM,
        width_mm=paper.width_mm - _LEFT_MM - _RIGHT_MM,
        height_mm=paper.height_mm - _TOP_MM - _HEAD_MM - _FOOT_MM - _BOTTOM_MM,
    )


def page_items(paper: PaperSize, *, left: str, right: str, state: str, page: str) -> Items:
    """Head and foot of a page.

    Args:
        paper: A4 or letter.
        left: Whose file it is.
        right: What the page belongs to.
        state: Short hash of the state, and the day.
        page: `page 3 of 20`.
    """
    room = page_room(paper)
    base, foot = _TOP_MM + 4.0, room.bottom_mm + 3.0
    return (
        fitted(left, (room.left_mm, base), room.width_mm * 0.6, 2.8, bold=True),
        fitted(right, (room.right_mm, base), room.width_mm * 0.38, 2.6, anchor="right"),
        line((room.left_mm, base + 1.8), (room.right_mm, base + 1.8), width_mm=0.6),
        line((room.left_mm, foot), (room.right_mm, foot), width_mm=0.6),
        Text(at_mm=(room.left_mm, foot + 3.6), text=state, height_mm=_SMALL_MM),
        Text(at_mm=(room.right_mm, foot + 3.6), text=page, height_mm=2.5, anchor="right", bold=True),
        Text(
            at_mm=(room.left_mm, foot + 7.2),
            text=_CAUTION,
            height_mm=height_to_fit(_CAUTION, room.width_mm, _SMALL_MM),
        ),
    )

"""The frame that the pages of a whole cage share: title above, cautions and the check bars below."""

from collections.abc import Sequence

from hoopwright.papers.drawing import Box, Item, Items, PaperSize, Text, line
from hoopwright.papers.lettering import height_to_fit, shortened
from hoopwright.papers.symbols import check_bar
from hoopwright.papers.words import CAUTIONS

HEAD_MM = 17.0
FOOT_MM = 23.0
LOW_FOOT_MM = 10.0
_EDGE_MM = 8.0
_LEFT_EDGE_MM = 14.0


def body(paper: PaperSize, *, measured: bool = True) -> Box:
    """What is left of the page between head and foot; the foot is low where nobody measures off the paper."""
    return Box(
        left_mm=_LEFT_EDGE_MM,
        top_mm=_EDGE_MM + HEAD_MM,
        width_mm=paper.width_mm - _LEFT_EDGE_MM - _EDGE_MM,
        height_mm=paper.height_mm - 2.0 * _EDGE_MM - HEAD_MM - (FOOT_MM if measured else LOW_FOOT_MM),
    )


def page_frame(
    paper: PaperSize,
    title: str,
    second_line: str,
    *,
    cautions: Sequence[str] = CAUTIONS,
    measured: bool = True,
) -> Items:
    """Title, what it is of, cautions and the bars of 100 mm.

    Args:
        paper: The paper.
        title: In large.
        second_line: Under it.
        cautions: At the foot, one line each; at most four, or one where nobody measures off the paper.
        measured: Whether somebody measures off this paper; the bars are left out where nobody does.
    """
    inside = body(paper, measured=measured)
    top, foot = _EDGE_MM, inside.bottom_mm + 3.0
    height = max(4.0, height_to_fit(title, inside.width_mm, 8.0, bold=True))
    shown = shortened(title, inside.width_mm, height, bold=True)
    small = max(2.0, height_to_fit(second_line, inside.width_mm, 2.8))
    items: list[Item] = [
        Text(at_mm=(inside.left_mm, top + 8.6), text=shown, height_mm=height, bold=True),
        Text(
            at_mm=(inside.left_mm, top + 13.8),
            text=shortened(second_line, inside.width_mm, small),
            height_mm=small,
        ),
        line((inside.left_mm, top + 15.4), (inside.right_mm, top + 15.4), width_mm=0.7),
        line((inside.left_mm, foot), (inside.right_mm, foot), width_mm=0.7),
    ]
    if measured:
        items += check_bar((inside.left_mm, foot + 2.2), way="across")
        items += check_bar((_LEFT_EDGE_MM - 5.6, inside.top_mm + 4.0), way="down")
    first = foot + (8.4 if measured else 4.4)
    items += [
        Text(
            at_mm=(inside.left_mm, first + 3.5 * row),
            text=words,
            height_mm=height_to_fit(words, inside.width_mm, 2.2),
        )
        for row, words in enumerate(cautions)
    ]
    return tuple(items)

"""The frame of a page at full size: title above, the bars of 100 mm and the cautions round it."""

from collections.abc import Sequence

from hoopwright.papers.drawing import Box, Item, Items, Page, PaperSize, Text, line
from hoopwright.papers.lettering import fitted, height_to_fit
from hoopwright.papers.symbols import check_bar

_EDGE_MM = 8.0
_LEFT_EDGE_MM = 14.0
_HEAD_MM = 18.5
_FOOT_MM = 15.5
CAUTIONS = (
    "Print at 100 %: hold a steel rule to both 100 mm bars before cutting by this paper. Printers shrink.",
    "Arithmetic only: the current rule book and the scrutineer decide. No strength is proven here.",
)


def turned(size: PaperSize) -> PaperSize:
    """The sheet lying on its long side."""
    return PaperSize(name=size.name, width_mm=size.height_mm, height_mm=size.width_mm)


def template_body(size: PaperSize) -> Box:
    """What is left of the page for what is at full size."""
    return Box(
        left_mm=_LEFT_EDGE_MM,
        top_mm=_EDGE_MM + _HEAD_MM,
        width_mm=size.width_mm - _LEFT_EDGE_MM - _EDGE_MM,
        height_mm=size.height_mm - 2.0 * _EDGE_MM - _HEAD_MM - _FOOT_MM,
    )


def template_page(size: PaperSize, title: str, under: Sequence[str], items: Items) -> Page:
    """A page at full size.

    Args:
        size: The sheet, upright or turned.
        title: What is on it.
        under: Two lines: project, date and number of the page; how it is read.
        items: What stands in the body.
    """
    inside = template_body(size)
    foot = inside.bottom_mm + 2.5
    around: list[Item] = [
        fitted(title, (inside.left_mm, _EDGE_MM + 6.0), inside.width_mm, 5.6, least_mm=3.0, bold=True),
        *(
            fitted(words, (inside.left_mm, _EDGE_MM + 10.6 + 3.6 * row), inside.width_mm, 2.5)
            for row, words in enumerate(under)
        ),
        line((inside.left_mm, _EDGE_MM + 15.8), (inside.right_mm, _EDGE_MM + 15.8), width_mm=0.7),
        line((inside.left_mm, foot), (inside.right_mm, foot), width_mm=0.7),
        *check_bar((inside.left_mm, foot + 2.0), way="across"),
        *check_bar((_LEFT_EDGE_MM - 5.6, inside.top_mm + 2.0), way="down"),
    ]
    around += [
        Text(
            at_mm=(inside.left_mm, foot + 8.2 + 3.6 * row),
            text=words,
            height_mm=height_to_fit(words, inside.width_mm, 2.2),
        )
        for row, words in enumerate(CAUTIONS)
    ]
    return Page(width_mm=size.width_mm, height_mm=size.height_mm, items=(*items, *around))

"""Paper templates for coped tube ends, at full size."""

from collections.abc import Sequence

from hoopwright.joints import Wrap
from hoopwright.papers.drawing import A4, Box, Item, Items, Page, PaperSize
from hoopwright.papers.template_frame import template_body, template_page, turned
from hoopwright.papers.tiling import tiles, tiling
from hoopwright.papers.words import count_words
from hoopwright.papers.wrap_block import LEGEND, block_height_mm, heading, wrap_block
from hoopwright.papers.wrap_shape import WrapShape, wrap_shape
from hoopwright.units import LengthUnit

_APART_MM = 4.0
_Sheet = tuple[PaperSize, str, Items]


def wrap_pages(
    wraps: Sequence[Wrap],
    size: PaperSize = A4,
    *,
    project: str,
    date: str,
    unit: LengthUnit = "mm",
    paper_thickness_mm: float = 0.0,
) -> tuple[Page, ...]:
    """Templates at 1:1 to wrap round tube ends, several to a page where they fit.

    A wrap that is too wide for the upright page stands on a turned one; one that is larger than that goes over
    several pages with crosses that lie on one another.

    Args:
        wraps: The copes, unrolled.
        size: A4 or letter.
        project: Name of the project.
        date: Day of issue, ISO 8601.
        unit: Unit of the large figures.
        paper_thickness_mm: Of the paper; a thick paper needs to be a little longer to close.

    Raises:
        UserError: `PAPER-103` for numbers that no paper can be made of.
    """
    shapes = [wrap_shape(wrap, paper_thickness_mm=paper_thickness_mm) for wrap in wraps]
    upright = [shape for shape in shapes if _fits(shape, template_body(size), unit)]
    lying = [
        shape for shape in shapes if shape not in upright and _fits(shape, template_body(turned(size)), unit)
    ]
    large = [shape for shape in shapes if shape not in upright and shape not in lying]
    sheets = [
        *_packed(upright, size, unit),
        *_packed(lying, turned(size), unit),
        *(sheet for shape in large for sheet in _parted(shape, size, unit)),
    ]
    return tuple(
        template_page(
            paper, title, f"{project}    {date}    page {number} of {len(sheets)}    {LEGEND}", items
        )
        for number, (paper, title, items) in enumerate(sheets, start=1)
    )


def _fits(shape: WrapShape, body: Box, unit: LengthUnit) -> bool:
    return shape.width_mm <= body.width_mm and block_height_mm(shape, unit) <= body.height_mm


def _packed(shapes: Sequence[WrapShape], size: PaperSize, unit: LengthUnit) -> list[_Sheet]:
    """Wraps beside and under each other in their order."""
    body = template_body(size)
    sheets: list[tuple[list[WrapShape], list[Item]]] = []
    right, top, row_mm = body.right_mm, body.bottom_mm, 0.0
    for shape in shapes:
        high = block_height_mm(shape, unit)
        if right + shape.width_mm > body.right_mm or top + high > body.bottom_mm:
            right, top, row_mm = body.left_mm, top + row_mm + _APART_MM, 0.0
        if not sheets or top + high > body.bottom_mm:
            sheets.append(([], []))
            right, top, row_mm = body.left_mm, body.top_mm, 0.0
        held, items = sheets[-1]
        held.append(shape)
        items += wrap_block(shape, (right, top), unit)
        right, row_mm = right + shape.width_mm + _APART_MM, max(row_mm, high)
    return [(size, _title(held), tuple(items)) for held, items in sheets]


def _title(shapes: Sequence[WrapShape]) -> str:
    ends = ", ".join(f"{shape.wrap.bar_id} {shape.wrap.end}" for shape in shapes)
    return f"{count_words(len(shapes), 'wrap')}: {ends}"


def _parted(shape: WrapShape, size: PaperSize, unit: LengthUnit) -> list[_Sheet]:
    """One wrap over several pages."""
    extent = Box(left_mm=0.0, top_mm=0.0, width_mm=shape.width_mm, height_mm=block_height_mm(shape, unit))
    body = template_body(size)
    parts = tiles(wrap_block(shape, (0.0, 0.0), unit), tiling(extent, body), body)
    return [(size, f"wrap {heading(shape)}: {part.name}", part.items) for part in parts]

"""The cope of a branch on one header on paper: its wrap, and the columns to set it out by hand."""

import math
from collections.abc import Sequence

from hoopwright.joints import Wrap
from hoopwright.papers.drawing import A4, Box, Items, Page, PaperSize, Point, Text
from hoopwright.papers.tables import HEAD_MM, ROW_MM, Column, ruled_table
from hoopwright.papers.template_pages import Block, laid_out, numbered
from hoopwright.papers.wrap_pages import wrap_template
from hoopwright.papers.wrap_words import LEGEND
from hoopwright.units import MM_PER_INCH, LengthUnit, shown

_WIDTH_MM, _NAME_SHARE, _COLUMN_SHARE = 180.0, 30.0, 12.5
_WORDS_MM = 6.0


def cope_pages(
    wrap: Wrap,
    columns: Sequence[tuple[float, float | None]],
    size: PaperSize = A4,
    *,
    project: str,
    date: str,
    unit: LengthUnit = "mm",
    paper_thickness_mm: float = 0.0,
) -> tuple[Page, ...]:
    """The wrap at 1:1 and, with it, how far from the crossing of the axes each generator is cut.

    Args:
        wrap: The cope, unrolled.
        columns: Degrees from the heel, and mm along the branch from the crossing of the axes; None where it is not cut.
        size: A4 or letter.
        project: What stands for the name of a project.
        date: Day of issue, ISO 8601.
        unit: Unit of the figures.
        paper_thickness_mm: Of the paper.

    Raises:
        UserError: `PAPER-102` for numbers that no paper can be made of.
    """
    table = Block(
        name="",
        heading="Columns of the cope",
        width_mm=_WIDTH_MM,
        height_mm=_WORDS_MM + HEAD_MM + 2.0 * ROW_MM + 2.0,
        draw=lambda corner_mm: _table(wrap, columns, corner_mm, unit),
    )
    template = wrap_template(wrap, unit, paper_thickness_mm=paper_thickness_mm)
    return numbered(laid_out([template, table], size, "wrap", unit), project, date, LEGEND)


def _table(
    wrap: Wrap, columns: Sequence[tuple[float, float | None]], corner_mm: Point, unit: LengthUnit
) -> Items:
    """A column for each generator: its place round the branch and where it is cut."""
    left, top = corner_mm
    heads = (
        Column(
            head="from the heel, °" if wrap.heel_deg is not None else "from the 0° side, °", share=_NAME_SHARE
        ),
        *(
            Column(head=f"{around:g}", share=_COLUMN_SHARE, anchor="right", bold=True)
            for around, _ in columns
        ),
    )
    rows = (
        (
            "round the tube",
            *(_figure(math.radians(around) * wrap.od_mm / 2.0, unit, 1) for around, _ in columns),
        ),
        ("along to the cut", *("-" if along is None else _figure(along, unit, 2) for _, along in columns)),
    )
    box = Box(left_mm=left, top_mm=top + _WORDS_MM, width_mm=_WIDTH_MM, height_mm=HEAD_MM + 2.0 * ROW_MM)
    words = f"in {'mm' if unit == 'mm' else 'inches'}; along the tube from {wrap.measured_from}"
    return (Text(at_mm=(left, top + 4.0), text=words, height_mm=2.4), *ruled_table(heads, rows, box))


def _figure(length_mm: float, unit: LengthUnit, decimals: int) -> str:
    value, places = (length_mm, decimals) if unit == "mm" else (length_mm / MM_PER_INCH, decimals + 1)
    return shown(value, places)

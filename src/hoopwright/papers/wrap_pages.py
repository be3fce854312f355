"""Paper templates for coped tube ends, at full size."""

from collections.abc import Sequence

from hoopwright.joints import Wrap
from hoopwright.papers.drawing import A4, Page, PaperSize
from hoopwright.papers.template_pages import Block, laid_out, numbered
from hoopwright.papers.wrap_block import block_height_mm, wrap_block
from hoopwright.papers.wrap_shape import wrap_shape
from hoopwright.papers.wrap_words import LEGEND, block_width_mm, heading
from hoopwright.units import LengthUnit


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
        UserError: `PAPER-102` for numbers that no paper can be made of.
    """
    blocks = [wrap_template(wrap, unit, paper_thickness_mm=paper_thickness_mm) for wrap in wraps]
    return numbered(laid_out(blocks, size, "wrap", unit), project, date, LEGEND)


def wrap_template(wrap: Wrap, unit: LengthUnit, *, paper_thickness_mm: float = 0.0) -> Block:
    """One wrap at full size with its words.

    Raises:
        UserError: `PAPER-102` for numbers that no paper can be made of.
    """
    shape = wrap_shape(wrap, paper_thickness_mm=paper_thickness_mm)
    return Block(
        name=f"{wrap.bar_id} {wrap.end}",
        heading=heading(shape),
        width_mm=block_width_mm(shape),
        height_mm=block_height_mm(shape, unit),
        draw=lambda corner_mm: wrap_block(shape, corner_mm, unit),
    )

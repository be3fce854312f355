"""Paper templates for coped tube ends, at full size."""

from collections.abc import Sequence

from hoopwright.joints import Wrap
from hoopwright.papers.drawing import A4, Page, PaperSize
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
    """Templates at 1:1 to wrap round tube ends, several to a page where they fit."""
    raise NotImplementedError

"""Flat parts at full size."""

from collections.abc import Sequence

from hoopwright.joints import FlatPart
from hoopwright.papers.drawing import A4, Page, PaperSize
from hoopwright.units import LengthUnit


def flat_part_pages(
    parts: Sequence[FlatPart], size: PaperSize = A4, *, project: str, date: str, unit: LengthUnit = "mm"
) -> tuple[Page, ...]:
    """Flat parts at 1:1, over several pages where they are larger than one."""
    raise NotImplementedError

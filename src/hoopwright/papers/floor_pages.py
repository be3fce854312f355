"""The full-size floor drawing of a flat bar, on tiles."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.bars import Bar
from hoopwright.papers.drawing import A4, Page, PaperSize
from hoopwright.units import LengthUnit


@dataclass(frozen=True, kw_only=True)
class FloorMark:
    """A mark on the bent tube.

    Args:
        words: What is written at it.
        along_mm: Where it lies along the centreline of the bent bar, from its end A.
    """

    words: str
    along_mm: float


def floor_pages(
    bar: Bar,
    size: PaperSize = A4,
    *,
    project: str,
    date: str,
    unit: LengthUnit = "mm",
    marks: Sequence[FloorMark] = (),
) -> tuple[Page, ...]:
    """A cover page with a small map, then the bar at 1:1 on tiles.

    Raises:
        UserError: `PAPER-101` for a bar that does not lie flat.
    """
    raise NotImplementedError

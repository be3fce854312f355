"""Papers as they are printed, to be looked at before they are."""

import datetime as dt
from collections.abc import Sequence

from hoopwright.joints import FlatPart, Wrap
from hoopwright.papers import A4, LETTER, Page, PaperSize, flat_part_pages, svg_text, wrap_pages
from hoopwright.units import LengthUnit


def wrap_preview(wrap: Wrap, *, project: str, unit: LengthUnit = "mm", paper: str = "A4") -> tuple[str, ...]:
    """Pages of a cope's wrap as SVG, the same as on paper.

    Args:
        wrap: The cope unrolled.
        project: Name of the project.
        unit: Unit of the figures.
        paper: `A4` or `letter`.
    """
    return as_svg(wrap_pages([wrap], _size(paper), project=project, date=today(), unit=unit))


def part_preview(
    part: FlatPart, *, project: str, unit: LengthUnit = "mm", paper: str = "A4"
) -> tuple[str, ...]:
    """Pages of a plate as SVG, the same as on paper."""
    return as_svg(flat_part_pages([part], _size(paper), project=project, date=today(), unit=unit))


def as_svg(pages: Sequence[Page]) -> tuple[str, ...]:
    """Pages as SVG documents."""
    return tuple(svg_text(page) for page in pages)


def _size(paper: str) -> PaperSize:
    return LETTER if paper == "letter" else A4


def today() -> str:
    """The day, ISO 8601."""
    return dt.datetime.now(tz=dt.UTC).astimezone().date().isoformat()

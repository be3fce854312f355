"""An address as a square code that a phone reads."""

from hoopwright.papers.drawing import Box, Page
from hoopwright.papers.svg import svg_text
from hoopwright.papers.symbols import square_code
from hoopwright.papers.words import screen_address as screen_address

_SIDE_MM = 40.0


def square_code_svg(text: str) -> str:
    """A square code as an SVG picture, 40 mm a side, black on white.

    Args:
        text: What it says.
    """
    box = Box(left_mm=0.0, top_mm=0.0, width_mm=_SIDE_MM, height_mm=_SIDE_MM)
    page = Page(width_mm=_SIDE_MM, height_mm=_SIDE_MM, items=square_code(text, box))
    return svg_text(page)

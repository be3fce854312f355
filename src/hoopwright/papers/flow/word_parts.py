"""Headings and paragraphs as parts of a page."""

from collections.abc import Sequence

from hoopwright.papers.drawing import Box, Text
from hoopwright.papers.flow.parts import Drawn, Part
from hoopwright.papers.lettering import height_to_fit, wrapped

WORDS_MM = 2.5
LINE_SHARE = 1.65
_HEADING_MM = 3.4


def heading(words: str) -> Part:
    """A line in bold that stays with what follows."""

    def draw(box: Box) -> Drawn:
        height = height_to_fit(words, box.width_mm, _HEADING_MM, bold=True)
        return (Text(at_mm=(box.left_mm, box.bottom_mm - 2.2), text=words, height_mm=height, bold=True),)

    return Part(height_mm=_HEADING_MM + 5.2, draw=draw, holds=True)


def paragraph(words: str, width_mm: float, *, height_mm: float = WORDS_MM, holds: bool = False) -> Part:
    """Words in lines of a width.

    Args:
        words: What it says.
        width_mm: Of the page's room.
        height_mm: Of a capital letter.
        holds: Whether it stays with what follows.
    """
    lines = wrapped(words, width_mm, height_mm)
    step = height_mm * LINE_SHARE

    def draw(box: Box) -> Drawn:
        return tuple(
            Text(at_mm=(box.left_mm, box.top_mm + height_mm + row * step), text=line, height_mm=height_mm)
            for row, line in enumerate(lines)
        )

    return Part(height_mm=step * len(lines) + 1.6, draw=draw, holds=holds)


def titled(words: str, sentences: Sequence[str], width_mm: float) -> tuple[Part, ...]:
    """A heading and sentences under it; nothing without sentences."""
    if not sentences:
        return ()
    return (heading(words), *(paragraph(sentence, width_mm) for sentence in sentences))


def space(height_mm: float) -> Part:
    """Room without anything in it."""
    return Part(height_mm=height_mm, draw=lambda _box: ())

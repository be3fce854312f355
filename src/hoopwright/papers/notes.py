"""What a person must know before bending, in a frame on the sheet."""

from collections.abc import Sequence

from hoopwright.bender.sheet import BarSheet
from hoopwright.findings import as_text
from hoopwright.papers.drawing import Box, Items, Text, frame
from hoopwright.papers.lettering import wrapped

NOTE_MM = 2.4
NOTE_ROW_MM = 4.0


def note_lines(sheet: BarSheet, room_mm: float) -> tuple[str, ...]:
    """What a person must know before bending, in lines of the page."""
    lines: list[str] = []
    for finding in sheet.findings:
        lines.extend(wrapped(as_text(finding), room_mm - 4.0, NOTE_MM))
    return tuple(lines)


def notes_height_mm(lines: Sequence[str]) -> float:
    """Height of the block of notes."""
    return NOTE_ROW_MM * len(lines) + 2.4 if lines else 0.0


def notes_block(lines: Sequence[str], box: Box, *, bold: bool = False) -> Items:
    """The notes in a frame."""
    if not lines:
        return ()
    outline = Box(
        left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=notes_height_mm(lines)
    )
    return (
        frame(outline, width_mm=0.7),
        *(
            Text(
                at_mm=(box.left_mm + 2.0, box.top_mm + 4.0 + NOTE_ROW_MM * row),
                text=words,
                height_mm=NOTE_MM,
                bold=bold,
            )
            for row, words in enumerate(lines)
        ),
    )

"""What goes on which page of a bar sheet, and how high its blocks are."""

from collections.abc import Iterator
from dataclasses import dataclass

from hoopwright.bender.sheet import BarSheet, BendStep, TapeCheck
from hoopwright.papers.bar_blocks import FOOT_MM, HEADER_MM, as_bent_height_mm
from hoopwright.papers.bend_rows import LOWEST_ROW_MM, TALLEST_ROW_MM, table_height_mm
from hoopwright.papers.check_rows import checks_height_mm
from hoopwright.papers.drawing import Box, PaperSize
from hoopwright.papers.notes import note_lines, notes_height_mm
from hoopwright.papers.tape_line import BARE_TAPE_LINE_HEIGHT_MM, TAPE_LINE_HEIGHT_MM
from hoopwright.papers.words import count_words

GAP_MM = 1.7
STAMP_MM = 11.0
MISS_MM = 6.0
ENDS_GAP_MM = 4.0
LEFT_EDGE_MM = 14.0
_EDGE_MM = 7.0
_GOOD_PICTURE_MM = 44.0
_MOST_NOTES = 3
_LATER_ROWS = 9
_LATER_NOTES = 12
_NOTES_ALONE = 48
# (notes on page 1, checks on it, rows on it, height that the pictures must keep): the first that does is taken.
_WAYS = (
    (True, 5, 7, 23.0),
    (False, 5, 7, 23.0),
    (False, 3, 7, 24.0),
    (False, 3, 6, 24.0),
    (False, 3, 5, 0.0),
)


@dataclass(frozen=True, kw_only=True)
class Share:
    """What one page of a sheet carries.

    Args:
        steps: Rows of the table.
        checks: Distances to measure.
        notes: Lines of the notes.
        first: Page 1: pictures, tape line and trims.
        pointer: The notes only point to the following pages.
    """

    steps: tuple[BendStep, ...]
    checks: tuple[TapeCheck, ...]
    notes: tuple[str, ...]
    first: bool
    pointer: bool = False


def content_box(paper: PaperSize) -> Box:
    """The page within its margins; the left one holds the upright check bar."""
    return Box(
        left_mm=LEFT_EDGE_MM,
        top_mm=_EDGE_MM,
        width_mm=paper.width_mm - LEFT_EDGE_MM - _EDGE_MM,
        height_mm=paper.height_mm - 2.0 * _EDGE_MM,
    )


def shares(sheet: BarSheet, content: Box) -> tuple[Share, ...]:
    """The pages: one if it can be, and more only for what does not fit on it."""
    notes = note_lines(sheet, content.width_mm)
    first = _first_page(sheet, notes, content)
    return (first, *_later_pages(sheet, first, notes if first.pointer else ()))


def _first_page(sheet: BarSheet, notes: tuple[str, ...], content: Box) -> Share:
    tried: list[Share] = []
    for inline, checks, rows, least_mm in _WAYS:
        if inline and len(notes) > _MOST_NOTES:
            continue
        share = Share(
            steps=sheet.steps[:rows],
            checks=sheet.checks[:checks],
            notes=(
                *(notes if inline else ()),
                *_pointers(sheet, checks, rows, notes=bool(notes) and not inline),
            ),
            first=True,
            pointer=not inline,
        )
        tried.append(share)
        if free_mm(sheet, share, content) - _table_mm(share, LOWEST_ROW_MM) >= least_mm:
            break
    return tried[-1]


def _pointers(sheet: BarSheet, checks: int, rows: int, *, notes: bool) -> tuple[str, ...]:
    """What page 1 says of what stands on the following pages."""
    count = len(sheet.findings)
    lines = [f"Read before bending: {count_words(count, 'note')} on the following pages."] if notes else []
    if len(sheet.steps) > rows:
        lines.append(f"The bending goes on after step {rows}: see the next page.")
    if len(sheet.checks) > checks:
        more = count_words(len(sheet.checks) - checks, "more check")
        lines.append(f"{more} on the following pages.")
    return tuple(lines)


def _later_pages(sheet: BarSheet, first: Share, notes: tuple[str, ...]) -> Iterator[Share]:
    steps, checks = sheet.steps[len(first.steps) :], sheet.checks[len(first.checks) :]
    while steps or checks or notes:
        most_notes = 0 if len(steps) > _LATER_ROWS else _LATER_NOTES if steps or checks else _NOTES_ALONE
        most_checks = 0 if len(steps) > _LATER_ROWS else _LATER_NOTES
        yield Share(
            steps=steps[:_LATER_ROWS], checks=checks[:most_checks], notes=notes[:most_notes], first=False
        )
        steps, checks, notes = steps[_LATER_ROWS:], checks[most_checks:], notes[most_notes:]


def free_mm(sheet: BarSheet, share: Share, content: Box) -> float:
    """Height that is left for the pictures and the table, their gap included."""
    blocks = [HEADER_MM, FOOT_MM, ends_mm(share, content.width_mm)]
    blocks += [] if sheet.calibrated else [STAMP_MM]
    blocks += [notes_height_mm(share.notes)] if share.notes else []
    blocks += [tape_mm(sheet)] if share.first else []
    blocks += [MISS_MM] if share.steps and sheet.wrong_turn_miss_mm is not None else []
    return content.height_mm - sum(blocks) - GAP_MM * len(blocks)


def row_mm(share: Share, free_mm: float) -> float:
    """Rows as tall as leaves the pictures a good height, within limits."""
    if not share.steps:
        return TALLEST_ROW_MM
    spare = free_mm - _table_mm(share, LOWEST_ROW_MM) - (_GOOD_PICTURE_MM if share.first else 0.0)
    return min(TALLEST_ROW_MM, LOWEST_ROW_MM + max(0.0, spare) / len(share.steps))


def picture_mm(share: Share, free_mm: float) -> float:
    """Height of the pictures of page 1."""
    return free_mm - _table_mm(share, row_mm(share, free_mm))


def _table_mm(share: Share, row: float) -> float:
    return table_height_mm(share.steps, row) + GAP_MM if share.steps else 0.0


def tape_mm(sheet: BarSheet) -> float:
    """Height of the tape line."""
    return TAPE_LINE_HEIGHT_MM if sheet.steps else BARE_TAPE_LINE_HEIGHT_MM


def checks_width_mm(share: Share, room_mm: float) -> float:
    """Width of the checks beside the as-bent boxes, which need more for more bends."""
    return room_mm - ENDS_GAP_MM - min(88.0, max(74.0, 19.0 + 9.6 * len(share.steps)))


def ends_mm(share: Share, room_mm: float) -> float:
    """Height of the checks and, beside them, the as-bent boxes."""
    checks = 0.0
    if share.checks or share.first:
        checks = checks_height_mm(share.checks, checks_width_mm(share, room_mm), trims=share.first)
    return max(checks, as_bent_height_mm(share.steps) if share.steps or share.first else 0.0)

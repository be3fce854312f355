"""The sheet of one bar: what the person at the bender reads."""

from dataclasses import dataclass

from hoopwright.bender.sheet import BarSheet, BendStep, TapeCheck
from hoopwright.papers.bar_blocks import (
    FOOT_MM,
    HEADER_MM,
    as_bent_block,
    as_bent_height_mm,
    checks_block,
    checks_height_mm,
    foot,
    header,
    note_lines,
    notes_block,
    notes_height_mm,
)
from hoopwright.papers.bar_pictures import bar_alone, bar_in_car
from hoopwright.papers.bend_rows import LOWEST_ROW_MM, TALLEST_ROW_MM, bend_rows, table_height_mm
from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.drawing import A4, Box, Item, Items, Page, PaperSize, Text
from hoopwright.papers.lettering import height_to_fit
from hoopwright.papers.symbols import check_bar, stamp
from hoopwright.papers.tape_line import BARE_TAPE_LINE_HEIGHT_MM, TAPE_LINE_HEIGHT_MM, tape_line
from hoopwright.papers.words import NOT_CALIBRATED, wrong_turn_words
from hoopwright.units import LengthUnit

MOST_ROWS = 7
MOST_CHECKS = 5
MOST_NOTES = 3
_LATER_ROWS = 9
_EDGE_MM = 7.0
_LEFT_EDGE_MM = 14.0
_GAP_MM = 1.7
_STAMP_MM = 11.0
_MISS_MM = 6.0
_LOWEST_PICTURE_MM = 34.0
_STACKED_ABOVE_MM = 140.0


@dataclass(frozen=True, kw_only=True)
class _Share:
    """What one page of a sheet carries."""

    steps: tuple[BendStep, ...]
    checks: tuple[TapeCheck, ...]
    notes: tuple[str, ...]
    first: bool
    last: bool


def bar_pages(
    sheet: BarSheet, car: CarLines, *, project: str, unit: LengthUnit = "mm", paper: PaperSize = A4
) -> tuple[Page, ...]:
    """The sheet of one bar: one page, and more only for what does not fit on it.

    Args:
        sheet: What the sheet says.
        car: Lines for the picture of where the bar sits.
        project: Name of the project, for the foot and the square code.
        unit: Unit of the large figures; the other stands small beside what is critical.
        paper: A4 or letter.
    """
    shares = _shares(sheet, _content(paper).width_mm)
    return tuple(
        Page(
            width_mm=paper.width_mm,
            height_mm=paper.height_mm,
            items=_page(sheet, car, share, paper, unit, project, f"page {number} of {len(shares)}"),
        )
        for number, share in enumerate(shares, start=1)
    )


def _content(paper: PaperSize) -> Box:
    return Box(
        left_mm=_LEFT_EDGE_MM,
        top_mm=_EDGE_MM,
        width_mm=paper.width_mm - _LEFT_EDGE_MM - _EDGE_MM,
        height_mm=paper.height_mm - 2.0 * _EDGE_MM,
    )


def _shares(sheet: BarSheet, room_mm: float) -> tuple[_Share, ...]:
    """What goes on which page; what page 1 cannot hold is named there."""
    notes = note_lines(sheet, room_mm)
    kept = (
        notes
        if len(notes) <= MOST_NOTES
        else (f"Read before bending: {len(sheet.findings)} notes on the last page.",)
    )
    later_notes = () if kept is notes else notes
    later_steps = sheet.steps[MOST_ROWS:]
    later_checks = sheet.checks[MOST_CHECKS:]
    chunks = [later_steps[k : k + _LATER_ROWS] for k in range(0, len(later_steps), _LATER_ROWS)]
    if not chunks and (later_notes or later_checks):
        chunks = [()]
    first = _Share(
        steps=sheet.steps[:MOST_ROWS],
        checks=sheet.checks[:MOST_CHECKS],
        notes=kept,
        first=True,
        last=not chunks,
    )
    later = (
        _Share(
            steps=chunk,
            checks=later_checks if number == len(chunks) else (),
            notes=later_notes if number == len(chunks) else (),
            first=False,
            last=number == len(chunks),
        )
        for number, chunk in enumerate(chunks, start=1)
    )
    return (first, *later)


class _Column:
    """Boxes handed out from the top of the page to its foot."""

    def __init__(self, content: Box) -> None:
        self._content = content
        self._top_mm = content.top_mm

    def take(self, height_mm: float) -> Box:
        box = Box(
            left_mm=self._content.left_mm,
            top_mm=self._top_mm,
            width_mm=self._content.width_mm,
            height_mm=height_mm,
        )
        self._top_mm += height_mm + _GAP_MM
        return box

    @property
    def left_mm(self) -> float:
        return self._content.bottom_mm - self._top_mm


def _page(
    sheet: BarSheet,
    car: CarLines,
    share: _Share,
    paper: PaperSize,
    unit: LengthUnit,
    project: str,
    page_words: str,
) -> Items:
    content = _content(paper)
    column = _Column(content)
    items: list[Item] = list(header(sheet, column.take(HEADER_MM), unit))
    if not sheet.calibrated:
        items.extend(stamp(column.take(_STAMP_MM), NOT_CALIBRATED))
    items.extend(notes_block(share.notes, column.take(notes_height_mm(share.notes))) if share.notes else ())
    miss = wrong_turn_words(sheet, unit) if share.steps else ""
    ends_mm = _ends_height_mm(share)
    tape_mm = (TAPE_LINE_HEIGHT_MM if sheet.steps else BARE_TAPE_LINE_HEIGHT_MM) if share.first else 0.0
    below_mm = ends_mm + FOOT_MM + 2.0 * _GAP_MM + (_MISS_MM + _GAP_MM if miss else 0.0)
    free_mm = column.left_mm - below_mm - (tape_mm + _GAP_MM if share.first else 0.0) + _GAP_MM
    row_mm = _row_mm(share, free_mm)
    if share.first:
        table_mm = table_height_mm(share.steps, row_mm) + _GAP_MM if share.steps else 0.0
        items.extend(_pictures(sheet, car, column.take(free_mm - table_mm - _GAP_MM)))
        items.extend(tape_line(sheet, column.take(tape_mm), unit))
    if share.steps:
        items.extend(bend_rows(share.steps, column.take(table_height_mm(share.steps, row_mm)), row_mm, unit))
    if miss:
        items.extend(_miss(miss, column.take(_MISS_MM)))
    items.extend(_ends(sheet, share, column.take(ends_mm), unit))
    bottom = Box(
        left_mm=content.left_mm,
        top_mm=content.bottom_mm - FOOT_MM,
        width_mm=content.width_mm,
        height_mm=FOOT_MM,
    )
    upright = check_bar((_LEFT_EDGE_MM - 5.6, content.top_mm + HEADER_MM + 4.0), way="down")
    return (*items, *foot(sheet, bottom, project, page_words), *upright)


def _row_mm(share: _Share, free_mm: float) -> float:
    """Rows as tall as leaves the pictures their least height, within limits."""
    if not share.steps:
        return TALLEST_ROW_MM
    lowest = table_height_mm(share.steps, LOWEST_ROW_MM)
    spare = free_mm - lowest - (_LOWEST_PICTURE_MM + 10.0 if share.first else 0.0)
    return min(TALLEST_ROW_MM, LOWEST_ROW_MM + max(0.0, spare) / len(share.steps))


def _pictures(sheet: BarSheet, car: CarLines, box: Box) -> Items:
    """Both pictures side by side; one over the other where the page has room."""
    if box.height_mm > _STACKED_ABOVE_MM:
        half = (box.height_mm - _GAP_MM) / 2.0
        first = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=half)
        second = Box(left_mm=box.left_mm, top_mm=box.bottom_mm - half, width_mm=box.width_mm, height_mm=half)
    else:
        half = (box.width_mm - _GAP_MM) / 2.0
        first = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=half, height_mm=box.height_mm)
        second = Box(left_mm=box.right_mm - half, top_mm=box.top_mm, width_mm=half, height_mm=box.height_mm)
    return (*bar_in_car(sheet, car, first), *bar_alone(sheet, second))


def _miss(words: str, box: Box) -> Items:
    height = height_to_fit(words, box.width_mm, 4.0, bold=True)
    return (Text(at_mm=(box.left_mm, box.top_mm + 4.8), text=words, height_mm=height, bold=True),)


def _ends_height_mm(share: _Share) -> float:
    checks = checks_height_mm(share.checks, trims=share.first)
    return max(
        checks if share.checks or share.first else 0.0,
        as_bent_height_mm(share.steps) if share.steps or share.first else 0.0,
    )


def _ends(sheet: BarSheet, share: _Share, box: Box, unit: LengthUnit) -> Items:
    """Checks at the left, as-bent boxes at the right."""
    right_mm = min(88.0, max(78.0, 19.0 + 9.6 * len(share.steps)))
    left = Box(
        left_mm=box.left_mm,
        top_mm=box.top_mm,
        width_mm=box.width_mm - right_mm - 4.0,
        height_mm=box.height_mm,
    )
    right = Box(
        left_mm=box.right_mm - right_mm, top_mm=box.top_mm, width_mm=right_mm, height_mm=box.height_mm
    )
    items: list[Item] = []
    if share.checks or share.first:
        items.extend(checks_block(sheet, share.checks, left, unit, trims=share.first))
    if share.steps or share.first:
        items.extend(as_bent_block(share.steps, right))
    return tuple(items)

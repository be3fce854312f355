"""The sheet of one bar: what the person at the bender reads."""

from collections.abc import Sequence

from hoopwright.bender.sheet import BarSheet
from hoopwright.bender.step_poses import StepPose
from hoopwright.papers.bar_blocks import (
    FOOT_MM,
    HEADER_MM,
    MadeFor,
    as_bent_block,
    foot,
    header,
)
from hoopwright.papers.bar_pictures import bar_alone, bar_in_car
from hoopwright.papers.bar_plan import (
    ENDS_GAP_MM,
    GAP_MM,
    LEFT_EDGE_MM,
    MISS_MM,
    STAMP_MM,
    Share,
    checks_width_mm,
    content_box,
    ends_mm,
    free_mm,
    picture_mm,
    row_mm,
    shares,
    tape_mm,
)
from hoopwright.papers.bend_cards import bend_cards, card_groups
from hoopwright.papers.bend_pose import OperatorEye
from hoopwright.papers.bend_rows import bend_rows, table_height_mm
from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.check_rows import checks_block
from hoopwright.papers.drawing import A4, Box, Item, Items, Page, PaperSize, Text
from hoopwright.papers.lettering import height_to_fit
from hoopwright.papers.notes import notes_block, notes_height_mm
from hoopwright.papers.symbols import check_bar, stamp
from hoopwright.papers.tape_line import tape_line
from hoopwright.papers.words import NOT_CALIBRATED, wrong_turn_words
from hoopwright.units import LengthUnit

_STACKED_ABOVE_MM = 140.0


def bar_pages(
    sheet: BarSheet,
    car: CarLines,
    *,
    project: str,
    shop_address: str = "",
    unit: LengthUnit = "mm",
    paper: PaperSize = A4,
    poses: Sequence[StepPose] = (),
    eye: OperatorEye | None = None,
) -> tuple[Page, ...]:
    """The sheet of one bar: one page and more only for what does not fit on it; then a card for each bend.

    Args:
        sheet: What the sheet says.
        car: Lines for the picture of where the bar sits.
        project: Name of the project, for the foot and the square code.
        shop_address: Where phones in the shop come in: the square code then opens the bar there.
        unit: Unit of the large figures; the other stands small beside what is critical.
        paper: A4 or letter.
        poses: How the tube lies at each bend; no cards without.
        eye: Where the operator looks from; from behind the tail without.
    """
    content, made_for = content_box(paper), MadeFor(project=project, shop_address=shop_address)
    planned, cards = shares(sheet, content), card_groups(poses)
    count = len(planned) + len(cards)
    made = [
        _page(sheet, car, share, content, unit, made_for, f"page {number} of {count}")
        for number, share in enumerate(planned, start=1)
    ]
    made += [
        _card_page(sheet, group, eye or OperatorEye(), content, unit, made_for, f"page {number} of {count}")
        for number, group in enumerate(cards, start=len(planned) + 1)
    ]
    return tuple(Page(width_mm=paper.width_mm, height_mm=paper.height_mm, items=items) for items in made)


def _card_page(
    sheet: BarSheet,
    poses: Sequence[StepPose],
    eye: OperatorEye,
    content: Box,
    unit: LengthUnit,
    made_for: MadeFor,
    page_words: str,
) -> Items:
    """The bar's name, the cards, the foot."""
    column = _Column(content)
    items: list[Item] = list(header(sheet, column.take(HEADER_MM), unit))
    used = HEADER_MM + GAP_MM + FOOT_MM + GAP_MM
    if not sheet.calibrated:
        items.extend(stamp(column.take(STAMP_MM), NOT_CALIBRATED))
        used += STAMP_MM + GAP_MM
    items.extend(bend_cards(poses, eye, column.take(content.height_mm - used), unit))
    return (*items, *_bottom(sheet, content, made_for, page_words))


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
        self._top_mm += height_mm + GAP_MM
        return box


def _page(
    sheet: BarSheet,
    car: CarLines,
    share: Share,
    content: Box,
    unit: LengthUnit,
    made_for: MadeFor,
    page_words: str,
) -> Items:
    column = _Column(content)
    free = free_mm(sheet, share, content)
    row = row_mm(share, free)
    items: list[Item] = list(header(sheet, column.take(HEADER_MM), unit))
    if not sheet.calibrated:
        items.extend(stamp(column.take(STAMP_MM), NOT_CALIBRATED))
    if share.notes:
        items.extend(notes_block(share.notes, column.take(notes_height_mm(share.notes)), bold=share.pointer))
    if share.first:
        items.extend(_pictures(sheet, car, column.take(picture_mm(share, free) - GAP_MM)))
        items.extend(tape_line(sheet, column.take(tape_mm(sheet)), unit))
    if share.steps:
        items.extend(bend_rows(share.steps, column.take(table_height_mm(share.steps, row)), row, unit))
        items.extend(_miss(sheet, column, unit))
    items.extend(_ends(sheet, share, column.take(ends_mm(share, content.width_mm)), unit))
    return (*items, *_bottom(sheet, content, made_for, page_words))


def _bottom(sheet: BarSheet, content: Box, made_for: MadeFor, page_words: str) -> Items:
    """The foot, and the upright bar of 100 mm beside the page."""
    bottom = Box(
        left_mm=content.left_mm,
        top_mm=content.bottom_mm - FOOT_MM,
        width_mm=content.width_mm,
        height_mm=FOOT_MM,
    )
    upright = check_bar((LEFT_EDGE_MM - 5.6, content.top_mm + HEADER_MM + 4.0), way="down")
    return (*foot(sheet, bottom, made_for, page_words), *upright)


def _pictures(sheet: BarSheet, car: CarLines, box: Box) -> Items:
    """Both pictures side by side; one over the other where the page has room."""
    if box.height_mm > _STACKED_ABOVE_MM:
        half = (box.height_mm - GAP_MM) / 2.0
        first = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=half)
        second = Box(left_mm=box.left_mm, top_mm=box.bottom_mm - half, width_mm=box.width_mm, height_mm=half)
    else:
        half = (box.width_mm - GAP_MM) / 2.0
        first = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=half, height_mm=box.height_mm)
        second = Box(left_mm=box.right_mm - half, top_mm=box.top_mm, width_mm=half, height_mm=box.height_mm)
    return (*bar_in_car(sheet, car, first), *bar_alone(sheet, second))


def _miss(sheet: BarSheet, column: _Column, unit: LengthUnit) -> Items:
    words = wrong_turn_words(sheet, unit)
    if not words:
        return ()
    box = column.take(MISS_MM)
    height = height_to_fit(words, box.width_mm, 4.0, bold=True)
    return (Text(at_mm=(box.left_mm, box.top_mm + 4.8), text=words, height_mm=height, bold=True),)


def _ends(sheet: BarSheet, share: Share, box: Box, unit: LengthUnit) -> Items:
    """Checks at the left, as-bent boxes at the right."""
    left_mm = checks_width_mm(share, box.width_mm)
    right_mm = box.width_mm - left_mm - ENDS_GAP_MM
    left = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=left_mm, height_mm=box.height_mm)
    right = Box(
        left_mm=box.right_mm - right_mm, top_mm=box.top_mm, width_mm=right_mm, height_mm=box.height_mm
    )
    items: list[Item] = []
    if share.checks or share.first:
        items.extend(checks_block(sheet, share.checks, left, unit, trims=share.first))
    if share.steps or share.first:
        items.extend(as_bent_block(share.steps, right))
    return tuple(items)

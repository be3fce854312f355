"""The blocks of a bar sheet round its pictures and its table."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.bender.sheet import BarSheet, BendStep
from hoopwright.papers.drawing import Box, Item, Items, Text, filled, frame, line
from hoopwright.papers.lettering import height_to_fit, shortened
from hoopwright.papers.symbols import check_bar, square_code
from hoopwright.papers.words import (
    CAUTIONS,
    LEGEND,
    calibration_words,
    code_text,
    count_words,
    machine_words,
    measure,
    other_unit,
    replaces_words,
    screen_address,
    tube_words,
)
from hoopwright.units import LengthUnit

HEADER_MM = 31.0
FOOT_MM = 31.5
IDENTITY_MM = 25.0
CHECK_ROW_MM = 5.8
BLOCK_HEAD_MM = 5.0
AS_BENT_ROW_MM = 8.0
_DATA_MM = 64.0
_LEAST_MM = 2.0
_ROW_NAMES_MM = 19.0
_CODE_MM = 29.0
_LEGEND_MM = 74.0


def header(sheet: BarSheet, box: Box, unit: LengthUnit) -> Items:
    """Bar and side 25 mm high, and at the right what to take from the rack."""
    items: list[Item] = []
    left = box.left_mm
    room = box.width_mm - _DATA_MM - 4.0
    if sheet.side:
        letter = Box(left_mm=left + room - 29.0, top_mm=box.top_mm, width_mm=29.0, height_mm=29.0)
        at = (letter.middle_mm[0], letter.top_mm + 27.0)
        items += [
            filled(letter),
            Text(at_mm=at, text=sheet.side, height_mm=25.0, anchor="middle", bold=True, ink="white"),
        ]
        room -= 33.0
    height = height_to_fit(sheet.bar_id, room, IDENTITY_MM, bold=True)
    items.append(Text(at_mm=(left, box.top_mm + 27.0), text=sheet.bar_id, height_mm=height, bold=True))
    return (
        *items,
        *_header_data(sheet, box, unit),
        line((left, box.bottom_mm), (box.right_mm, box.bottom_mm), width_mm=0.7),
    )


def _header_data(sheet: BarSheet, box: Box, unit: LengthUnit) -> Items:
    left = box.right_mm - _DATA_MM
    cut = f"* cut {measure(sheet.blank_mm, unit)}"
    rows = (
        (5.0, sheet.title, 4.0, True),
        (9.8, f"tube {tube_words(sheet.bar.tube, unit)}", 2.8, False),
        (17.6, cut, 6.0, True),
        (
            21.6,
            f"{measure(sheet.blank_mm, other_unit(unit))}, {count_words(len(sheet.steps), 'bend')}",
            2.6,
            False,
        ),
        (25.6, f"revision {sheet.revision}, {sheet.date}", 2.6, False),
        (29.6, replaces_words(sheet), 2.8, True),
    )
    items: list[Item] = []
    for down, words, tallest, bold in rows:
        if not words:
            continue
        height = max(2.0, height_to_fit(words, _DATA_MM, tallest, bold=bold))
        shown = shortened(words, _DATA_MM, height, bold=bold)
        items.append(Text(at_mm=(left, box.top_mm + down), text=shown, height_mm=height, bold=bold))
    return tuple(items)


def _head(box: Box, words: str) -> Text:
    return Text(at_mm=(box.left_mm, box.top_mm + 3.2), text=words, height_mm=2.8, bold=True)


def as_bent_height_mm(steps: Sequence[BendStep]) -> float:
    """Height of the block of as-bent boxes."""
    return BLOCK_HEAD_MM + (3.6 + 2.0 * AS_BENT_ROW_MM + 1.6 if steps else 0.0) + CHECK_ROW_MM


def as_bent_block(steps: Sequence[BendStep], box: Box) -> Items:
    """Empty boxes: what was read at each bend, and which tube it was."""
    top = box.top_mm + BLOCK_HEAD_MM
    items: list[Item] = [_head(box, "as bent, degrees" if steps else "as made")]
    if steps:
        items.extend(_readings(steps, box, top))
        top += 3.6 + 2.0 * AS_BENT_ROW_MM + 1.6
    half = box.width_mm / 2.0
    for number, words in enumerate(("heat no", "made by" if steps else "length")):
        left = box.left_mm + number * half
        answer = Box(left_mm=left + 15.0, top_mm=top, width_mm=half - 16.0, height_mm=CHECK_ROW_MM)
        items += [frame(answer, width_mm=0.5), Text(at_mm=(left, top + 4.1), text=words, height_mm=2.4)]
    return tuple(items)


def _readings(steps: Sequence[BendStep], box: Box, top_mm: float) -> Items:
    wide = min(14.0, (box.width_mm - _ROW_NAMES_MM) / len(steps))
    items: list[Item] = []
    for row, words in enumerate(("under load", "released")):
        base = top_mm + 3.6 + AS_BENT_ROW_MM * (row + 0.5) + 1.2
        items.append(Text(at_mm=(box.left_mm, base), text=words, height_mm=2.4))
    for column, step in enumerate(steps):
        left = box.left_mm + _ROW_NAMES_MM + column * wide
        at = (left + wide / 2.0, top_mm + 2.4)
        items.append(Text(at_mm=at, text=f"bend {step.bend}", height_mm=2.0, anchor="middle"))
        for row in range(2):
            cell_top = top_mm + 3.6 + row * AS_BENT_ROW_MM
            cell = Box(left_mm=left, top_mm=cell_top, width_mm=wide, height_mm=AS_BENT_ROW_MM)
            items.append(frame(cell, width_mm=0.5))
    return tuple(items)


@dataclass(frozen=True, kw_only=True)
class MadeFor:
    """What a sheet is made for.

    Args:
        project: Name of the project.
        shop_address: Where phones in the shop come in; empty where none do.
    """

    project: str
    shop_address: str = ""


def foot(sheet: BarSheet, box: Box, made_for: MadeFor, page_words: str) -> Items:
    """What the sheet was made from, the square code, the bar of 100 mm and the cautions."""
    code = Box(
        left_mm=box.right_mm - _CODE_MM, top_mm=box.top_mm + 1.8, width_mm=_CODE_MM, height_mm=_CODE_MM
    )
    room = box.width_mm - _CODE_MM - 3.0
    made_from = (
        "    ".join(filter(None, (calibration_words(sheet, "    "), machine_words(sheet)))),
        f"{page_words}    identity {sheet.identity}    revision {sheet.revision}    {sheet.date}"
        f"    bar {sheet.bar_id}    {made_for.project}",
    )
    items: list[Item] = [line((box.left_mm, box.top_mm), (box.right_mm, box.top_mm), width_mm=0.7)]
    for row, words in enumerate(made_from):
        height = max(2.0, height_to_fit(words, room, 2.5, bold=row == 0))
        shown = shortened(words, room, height, bold=row == 0)
        at = (box.left_mm, box.top_mm + 4.2 + 4.2 * row)
        items.append(Text(at_mm=at, text=shown, height_mm=height, bold=row == 0))
    items.extend(check_bar((box.left_mm, box.top_mm + 10.4), way="across"))
    items.append(Text(at_mm=(box.left_mm, box.top_mm + 16.6), text=LEGEND, height_mm=2.3, bold=True))
    if made_for.shop_address:
        words = f"at the bender: {screen_address(sheet.bar_id, made_for.shop_address)}"
        height = height_to_fit(words, room - _LEGEND_MM, 2.3)
        at = (box.left_mm + room, box.top_mm + 16.6)
        items.append(Text(at_mm=at, text=words, height_mm=height, anchor="right"))
    items.extend(_cautions(box.left_mm, box.top_mm + 20.2, room))
    return (*items, *square_code(code_text(sheet, made_for.project, made_for.shop_address), code))


def _cautions(left_mm: float, base_mm: float, room_mm: float) -> Items:
    items = []
    for row, words in enumerate(CAUTIONS):
        height = height_to_fit(words, room_mm, 2.2)
        items.append(Text(at_mm=(left_mm, base_mm + 3.5 * row), text=words, height_mm=height))
    return tuple(items)

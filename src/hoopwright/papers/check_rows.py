"""Distances to measure off the car, each with an empty box for what came out, and what is cut off."""

from collections.abc import Sequence

from hoopwright.bender.sheet import BarSheet, TapeCheck
from hoopwright.papers.drawing import Box, Item, Items, Text, frame
from hoopwright.papers.lettering import height_to_fit, width_mm, wrapped
from hoopwright.papers.symbols import free_box
from hoopwright.papers.words import both, measure, other_unit
from hoopwright.units import LengthUnit

HEAD_MM = 5.0
ROW_MM = 6.2
_ANSWER_MM = 18.0
_VALUE_MM = 22.0
_NAME_MM = 2.5
_SMALL_NAME_MM = 2.1
_LINE_MM = 2.9
_FREE_BOX_MM = 0.8


def checks_height_mm(checks: Sequence[TapeCheck], room_mm: float, *, trims: bool) -> float:
    """Height of the block in a width of `room_mm`."""
    return HEAD_MM + sum(_row_mm(check, room_mm) for check in checks) + (ROW_MM if trims else 0.0)


def checks_block(
    sheet: BarSheet, checks: Sequence[TapeCheck], box: Box, unit: LengthUnit, *, trims: bool
) -> Items:
    """One row for each check; the trims below, where `trims` asks for them."""
    title = "check off the car" if checks else "trim"
    items: list[Item] = [Text(at_mm=(box.left_mm, box.top_mm + 3.2), text=title, height_mm=2.8, bold=True)]
    top = box.top_mm + HEAD_MM
    for check in checks:
        high = _row_mm(check, box.width_mm)
        row = Box(left_mm=box.left_mm, top_mm=top, width_mm=box.width_mm, height_mm=high)
        items.extend(_check(check, row, unit))
        top += high
    if trims:
        row = Box(left_mm=box.left_mm, top_mm=top, width_mm=box.width_mm, height_mm=ROW_MM)
        items.extend(_trims(sheet, row, unit))
    return tuple(items)


def _name(check: TapeCheck) -> str:
    return f"* {check.name}" if check.critical else check.name


def _name_lines(check: TapeCheck, room_mm: float) -> tuple[tuple[str, ...], float]:
    """The name in lines, and their height: one line if it can be, else as many as it needs."""
    room = room_mm - _ANSWER_MM - _VALUE_MM - 2.0
    words = _name(check)
    height = height_to_fit(words, room, _NAME_MM)
    if height >= _SMALL_NAME_MM:
        return (words,), height
    return wrapped(words, room, _SMALL_NAME_MM), _SMALL_NAME_MM


def _row_mm(check: TapeCheck, room_mm: float) -> float:
    lines, _ = _name_lines(check, room_mm)
    return max(ROW_MM, _LINE_MM * len(lines) + 0.8) + (0.0 if check.critical else _FREE_BOX_MM)


def _check(check: TapeCheck, row: Box, unit: LengthUnit) -> Items:
    answer = Box(
        left_mm=row.right_mm - _ANSWER_MM, top_mm=row.top_mm, width_mm=_ANSWER_MM, height_mm=row.height_mm
    )
    lines, height = _name_lines(check, row.width_mm)
    middle = row.middle_mm[1]
    first = middle + height / 2.0 - _LINE_MM * (len(lines) - 1) / 2.0
    items: list[Item] = [
        Text(at_mm=(row.left_mm + 0.8, first + _LINE_MM * number), text=words, height_mm=height)
        for number, words in enumerate(lines)
    ]
    items += [frame(answer, width_mm=0.5), *_values(check, answer.left_mm - 1.2, middle, unit)]
    if not check.critical:
        words_box = Box(
            left_mm=row.left_mm,
            top_mm=row.top_mm + 0.3,
            width_mm=row.width_mm - _ANSWER_MM - 0.6,
            height_mm=row.height_mm - 0.6,
        )
        items.append(free_box(words_box))
    return tuple(items)


def _values(check: TapeCheck, right_mm: float, middle_mm: float, unit: LengthUnit) -> Items:
    """The distance, and under it the same in the other unit."""
    value, small = measure(check.value_mm, unit), measure(check.value_mm, other_unit(unit))
    height = height_to_fit(value, _VALUE_MM - 1.4, 2.5, bold=True)
    return (
        Text(at_mm=(right_mm, middle_mm - 0.3), text=value, height_mm=height, anchor="right", bold=True),
        Text(at_mm=(right_mm, middle_mm + 2.3), text=small, height_mm=1.8, anchor="right"),
    )


def _trims(sheet: BarSheet, row: Box, unit: LengthUnit) -> Items:
    """What is cut off after the test fit: free, by eye."""
    words = f"cut off after test fit: A {both(sheet.trim_a_mm, unit)}, B {both(sheet.trim_b_mm, unit)}"
    height = height_to_fit(words, row.width_mm - 2.4, 2.5)
    box = Box(
        left_mm=row.left_mm,
        top_mm=row.top_mm + 0.7,
        width_mm=max(width_mm(words, height) + 2.4, row.width_mm - _ANSWER_MM - 0.6),
        height_mm=row.height_mm - 1.0,
    )
    return (free_box(box), Text(at_mm=(row.left_mm + 1.2, row.top_mm + 4.5), text=words, height_mm=height))

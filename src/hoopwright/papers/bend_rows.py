"""The bend table: one row for each bend in the order of bending."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hoopwright.bender.sheet import BendStep
from hoopwright.papers.drawing import Box, Item, Items, Point, Text, frame, line
from hoopwright.papers.lettering import height_to_fit, width_mm
from hoopwright.papers.symbols import band, clock_face, free_box, no_turn, numbered_ring, turn_arrow
from hoopwright.papers.words import (
    angle,
    clock_words,
    command_words,
    figure,
    measure,
    other_unit,
    signed_angle,
    turn_end_words,
    turn_word,
    turns,
)
from hoopwright.units import LengthUnit

HEAD_MM = 9.0
BAND_MM = 6.5
TALLEST_ROW_MM = 15.0
LOWEST_ROW_MM = 11.0
_SMALL_MM = 2.2
_BIG_MM = 7.5
_SLASH_SHARE = 0.16
"""How far the stroke of a fraction goes below the line, per capital height."""
_LEAST_GAP_MM = 0.7
_TIGHT_ROW_MM = 12.5
_TIGHT_SMALL_MM = 1.9
_FROM_RING_MM = 1.65

Cell = Callable[[BendStep, Box, LengthUnit], Items]


@dataclass(frozen=True, kw_only=True)
class Column:
    """A column: its head in up to two lines, its share of the width, what draws its cell."""

    head: tuple[str, ...]
    share: float
    cell: Cell


def table_height_mm(steps: Sequence[BendStep], row_mm: float) -> float:
    """Height of the whole table."""
    return HEAD_MM + len(steps) * row_mm + BAND_MM * sum(step.turn_end_for_end for step in steps)


def bend_rows(steps: Sequence[BendStep], box: Box, row_mm: float, unit: LengthUnit) -> Items:
    """The table in the box, from its top, rows of `row_mm`."""
    lefts = [box.left_mm]
    total = sum(column.share for column in COLUMNS)
    for column in COLUMNS:
        lefts.append(lefts[-1] + column.share / total * box.width_mm)
    items: list[Item] = list(_heads(lefts, box.top_mm))
    top = box.top_mm + HEAD_MM
    for step in steps:
        if step.turn_end_for_end:
            strip = Box(left_mm=box.left_mm, top_mm=top, width_mm=box.width_mm, height_mm=BAND_MM)
            items.extend(band(strip, turn_end_words(step), 3.4))
            top += BAND_MM
        items.extend(_row(step, lefts, top, row_mm, unit))
        top += row_mm
    outline = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=top - box.top_mm)
    return (*items, frame(outline, width_mm=0.7))


def _heads(lefts: list[float], top_mm: float) -> Items:
    items: list[Item] = [line((lefts[0], top_mm + HEAD_MM), (lefts[-1], top_mm + HEAD_MM), width_mm=0.7)]
    for column, left, right in zip(COLUMNS, lefts, lefts[1:], strict=False):
        for number, words in enumerate(column.head):
            height = height_to_fit(words, right - left - 1.0, 2.5, bold=True)
            at = ((left + right) / 2.0, top_mm + 3.6 + 3.7 * number)
            items.append(Text(at_mm=at, text=words, height_mm=height, anchor="middle", bold=True))
        if left > lefts[0]:
            items.append(line((left, top_mm), (left, top_mm + HEAD_MM), width_mm=0.35))
    return tuple(items)


def _row(step: BendStep, lefts: list[float], top_mm: float, row_mm: float, unit: LengthUnit) -> Items:
    bottom = top_mm + row_mm
    items: list[Item] = [line((lefts[0], bottom), (lefts[-1], bottom), width_mm=0.5)]
    for column, left, right in zip(COLUMNS, lefts, lefts[1:], strict=False):
        cell = Box(left_mm=left, top_mm=top_mm, width_mm=right - left, height_mm=row_mm)
        items.extend(column.cell(step, cell, unit))
        if left > lefts[0]:
            items.append(line((left, top_mm), (left, bottom), width_mm=0.35))
    return tuple(items)


def _words(at_mm: Point, words: str, room_mm: float, tallest_mm: float, *, bold: bool = False) -> Text:
    height = height_to_fit(words, room_mm, tallest_mm, bold=bold)
    return Text(at_mm=at_mm, text=words, height_mm=height, anchor="middle", bold=bold)


def _order(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    right, down = cell.middle_mm
    return (_words((right, down + 2.5), f"{step.step}.", cell.width_mm - 2.0, 5.0, bold=True),)


def _bend(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    return numbered_ring(cell.middle_mm, str(step.bend), radius_mm=min(4.0, cell.width_mm / 2.0 - 0.8))


def _fed(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    right, down = cell.middle_mm
    return (_words((right, down + 2.5), step.fed_from, cell.width_mm - 2.0, 5.0, bold=True),)


def _big_over_small(cell: Box, big: str, small: str) -> Items:
    """The figure to work by as large as the cell lets it be, and a small one under it."""
    right = cell.middle_mm[0]
    small_mm = _TIGHT_SMALL_MM if cell.height_mm < _TIGHT_ROW_MM else _SMALL_MM
    below = _SLASH_SHARE if "/" in big else 0.0
    tallest = min(_BIG_MM, (cell.height_mm - small_mm - 3.0 * _LEAST_GAP_MM) / (1.0 + below))
    room = cell.width_mm - 2.0
    height = height_to_fit(big, room, tallest, bold=True)
    gap = (cell.height_mm - height * (1.0 + below) - small_mm) / 3.0
    base = cell.top_mm + gap + height
    under = base + height * below + gap + small_mm
    return (
        _words((right, base), big, room, tallest, bold=True),
        _words((right, under), small, room, small_mm),
    )


def _mark(step: BendStep, cell: Box, unit: LengthUnit) -> Items:
    small = f"{measure(step.mark_mm, other_unit(unit))}, start {figure(step.start_mm, unit)}"
    return _big_over_small(cell, figure(step.mark_mm, unit), small)


def _command(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    if step.command_deg is None:
        return _big_over_small(cell, command_words(step), "no springback yet")
    spread = "" if step.command_sd_deg is None else f"± {angle(step.command_sd_deg, 1)}"
    return _big_over_small(cell, command_words(step), spread)


def _target(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    right, down = cell.middle_mm
    return (_words((right, down + 1.9), angle(step.target_deg, 2), cell.width_mm - 2.0, 3.8),)


def _rotation(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    """Two lines: the turn from the bend before it on the tube, and from bend 1."""
    if step.bend == 1:
        right, down = cell.middle_mm
        return (_words((right, down + 1.2), "bend 1: zero", cell.width_mm - 2.0, 2.4),)
    upper = cell.top_mm + cell.height_mm * 0.29
    lower = cell.top_mm + cell.height_mm * 0.73
    return (
        *_small_turn(step.rotation_step_deg, cell, upper, 3.0, bold=True),
        *_small_turn(step.rotation_total_deg, cell, lower, 2.3, bold=False),
    )


def _small_turn(turn_deg: float, cell: Box, middle_mm: float, height_mm: float, *, bold: bool) -> Items:
    words = signed_angle(turn_deg)
    room = cell.width_mm - 7.6
    height = height_to_fit(words, room, height_mm, bold=bold)
    symbol = (cell.left_mm + 3.4, middle_mm)
    drawn = turn_arrow(symbol, 1.6, clockwise=turn_deg > 0.0) if turns(turn_deg) else no_turn(symbol, 1.2)
    at = (cell.right_mm - 1.2, middle_mm + height / 2.0)
    return (*drawn, Text(at_mm=at, text=words, height_mm=height, anchor="right", bold=bold))


def _turn_tube(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    right, down = cell.middle_mm
    if step.turn_tube_deg is None:
        return (
            _words((right, down - 0.4), "set gauge", cell.width_mm - 2.0, 2.6),
            _words((right, down + 4.0), "to zero", cell.width_mm - 2.0, 2.6),
        )
    base = cell.top_mm + (cell.height_mm - 2.4) / 2.0 + 2.0
    under = _turned_from(step, cell)
    if not turns(step.turn_tube_deg):
        return (_words((right, base - 0.4), "no turn", cell.width_mm - 2.0, 3.4, bold=True), *under)
    words = angle(abs(step.turn_tube_deg))
    height = height_to_fit(words, cell.width_mm - 10.2, 4.6, bold=True)
    return (
        *turn_arrow((cell.left_mm + 4.6, base - height / 2.0), 2.4, clockwise=step.turn_tube_deg > 0.0),
        Text(at_mm=(cell.right_mm - 1.2, base), text=words, height_mm=height, anchor="right", bold=True),
        *under,
    )


def _turned_from(step: BendStep, cell: Box) -> Items:
    """Which way, and from which finished bend the turn counts."""
    turning = turns(step.turn_tube_deg or 0.0)
    way = turn_word(step.turn_tube_deg or 0.0) if turning else ""
    base = cell.bottom_mm - 1.3
    if step.turn_from_bend is None:
        return (_words((cell.middle_mm[0], base), way, cell.width_mm - 1.6, _SMALL_MM),) if way else ()
    words = f"{way} from" if way else "from bend"
    room = cell.width_mm - 2.0 * _FROM_RING_MM - 2.4
    height = height_to_fit(words, room, _SMALL_MM)
    left = cell.left_mm + (cell.width_mm - width_mm(words, height) - 2.0 * _FROM_RING_MM - 0.8) / 2.0
    ring = (left + width_mm(words, height) + 0.8 + _FROM_RING_MM, base - height / 2.0)
    return (
        Text(at_mm=(left, base), text=words, height_mm=height),
        *numbered_ring(ring, str(step.turn_from_bend), radius_mm=_FROM_RING_MM),
    )


def _leg(step: BendStep, cell: Box, _unit: LengthUnit) -> Items:
    right, down = cell.middle_mm
    if step.leg_clock is None:
        words = "first" if step.turn_tube_deg is None else "no leg yet"
        return (_words((right, down + 1.2), words, cell.width_mm - 1.6, 2.4),)
    radius = min(cell.width_mm / 2.0 - 0.9, (cell.height_mm - 4.4) / 2.0)
    words = clock_words(step.leg_clock)
    return (
        *clock_face((right, cell.top_mm + 0.7 + radius), radius, step.leg_clock),
        _words((right, cell.bottom_mm - 0.8), words, width_mm(words, 2.1) + 1.0, 2.1),
    )


def _straight(step: BendStep, cell: Box, unit: LengthUnit) -> Items:
    right, down = cell.middle_mm
    room = cell.width_mm - 3.6
    return (
        free_box(cell.inset(0.9)),
        _words((right, down - 0.4), figure(step.straight_after_mm, unit), room, 3.0),
        _words((right, down + 3.3), measure(step.straight_after_mm, other_unit(unit)), room, 2.1),
    )


COLUMNS = (
    Column(head=("step",), share=9.5, cell=_order),
    Column(head=("bend",), share=10.0, cell=_bend),
    Column(head=("fed", "from"), share=9.0, cell=_fed),
    Column(head=("* mark at die face", "from A"), share=39.0, cell=_mark),
    Column(head=("* bend to", "(under load)"), share=28.0, cell=_command),
    Column(head=("target", "released"), share=17.0, cell=_target),
    Column(head=("rotation A to B", "step, then total"), share=23.0, cell=_rotation),
    Column(head=("* turn the tube", "seen from tail"), share=26.0, cell=_turn_tube),
    Column(head=("last leg", "points"), share=14.0, cell=_leg),
    Column(head=("straight", "after"), share=17.0, cell=_straight),
)

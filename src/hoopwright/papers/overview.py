"""The whole cage on one page: views with bar names, and the table of bars."""

from collections.abc import Sequence

import numpy as np

from hoopwright.bender.sheet import BarSheet
from hoopwright.geometry import Points
from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.context import shell_lines
from hoopwright.papers.drawing import (
    A4,
    Box,
    Item,
    Items,
    Page,
    PaperSize,
    Polyline,
    Text,
    filled,
)
from hoopwright.papers.lettering import text_box
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.tables import HEAD_MM as TABLE_HEAD_MM
from hoopwright.papers.tables import ROW_MM, Column, rows_that_fit, ruled_table
from hoopwright.papers.views import ViewName, axis_arrows, fit_view, view
from hoopwright.papers.words import count_words, measure, other_unit, tube_short
from hoopwright.tubes import section_properties
from hoopwright.units import MM_PER_FOOT, MM_PER_UNIT, LengthUnit, shown

_VIEWS: tuple[ViewName, ...] = ("oblique left", "front", "side", "top")
_BAR_MM = 0.9
_NAME_MM = 2.4
_LEAST_VIEWS_MM = 110.0
_TALLEST_VIEWS_MM = 170.0
_PLACES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78, 0.12, 0.88, 0.04, 0.96)
_COLUMNS = (
    Column(head="bar", share=18, bold=True),
    Column(head="what", share=38),
    Column(head="side", share=10, anchor="middle"),
    Column(head="tube", share=32),
    Column(head="bends", share=12, anchor="middle"),
    Column(head="blank", share=27, anchor="right", bold=True),
    Column(head="", share=24, anchor="right"),
    Column(head="kg", share=14, anchor="right"),
)


def blank_mass_kg(sheet: BarSheet) -> float:
    """Mass of the blank as cut, trims included."""
    return section_properties(sheet.bar.tube).kg_per_m * sheet.blank_mm / 1000.0


def overview_pages(
    car: CarLines,
    sheets: Sequence[BarSheet],
    *,
    project: str,
    date: str,
    unit: LengthUnit = "mm",
    paper: PaperSize = A4,
) -> tuple[Page, ...]:
    """The cage in four views with the table of its bars; bars that do not fit go on to further pages.

    Args:
        car: Lines of the shell and all bars.
        sheets: One for each bar.
        project: Name of the project.
        date: Day of issue, ISO 8601.
        unit: Unit of the lengths; the other stands beside it.
        paper: A4 or letter.
    """
    inside = body(paper)
    rows = [*(_row(sheet, unit) for sheet in sheets), _sum_row(sheets, unit)]
    table_mm = TABLE_HEAD_MM + ROW_MM * len(rows)
    views_mm = min(_TALLEST_VIEWS_MM, max(_LEAST_VIEWS_MM, inside.height_mm - table_mm - 4.0))
    pictures = Box(left_mm=inside.left_mm, top_mm=inside.top_mm, width_mm=inside.width_mm, height_mm=views_mm)
    below = Box(
        left_mm=inside.left_mm,
        top_mm=pictures.bottom_mm + 4.0,
        width_mm=inside.width_mm,
        height_mm=inside.height_mm - views_mm - 4.0,
    )
    here = rows_that_fit(below.height_mm)
    more = rows_that_fit(inside.height_mm)
    later = [rows[k : k + more] for k in range(here, len(rows), more)]
    bodies: list[Items] = [
        (*cage_views(car, pictures), *ruled_table(_COLUMNS, rows[:here], below)),
        *(ruled_table(_COLUMNS, part, inside) for part in later),
    ]
    return tuple(
        Page(
            width_mm=paper.width_mm,
            height_mm=paper.height_mm,
            items=(
                *page_frame(paper, f"{project}: cage", _second_line(sheets, date, number, len(bodies))),
                *items,
            ),
        )
        for number, items in enumerate(bodies, start=1)
    )


def cage_views(car: CarLines, box: Box) -> Items:
    """Four views in a grid, with the bars' names on them."""
    items: list[Item] = []
    wide, high = (box.width_mm - 4.0) / 2.0, (box.height_mm - 3.0) / 2.0
    for number, name in enumerate(_VIEWS):
        down, across = divmod(number, 2)
        cell = Box(
            left_mm=box.left_mm + across * (wide + 4.0),
            top_mm=box.top_mm + down * (high + 3.0),
            width_mm=wide,
            height_mm=high,
        )
        items.extend(_cage_view(car, name, cell))
    return tuple(items)


def _cage_view(car: CarLines, name: ViewName, cell: Box) -> Items:
    seen = view(name)
    room = Box(
        left_mm=cell.left_mm + 16.0,
        top_mm=cell.top_mm + 2.0,
        width_mm=cell.width_mm - 18.0,
        height_mm=cell.height_mm - 8.0,
    )
    fit = fit_view(seen, [*car.shell, *(bar.centreline for bar in car.bars)], room)
    bars = [
        Polyline(points_mm=fit.points(bar.centreline), width_mm=_BAR_MM, round_ends=True) for bar in car.bars
    ]
    names: list[tuple[Text, Box]] = []
    for bar in car.bars:
        names.extend(_name(bar.bar_id, [fit.points(_at(bar.centreline, p))[0] for p in _PLACES], names))
    caption = Text(
        at_mm=(cell.right_mm, cell.bottom_mm - 1.0), text=seen.title, height_mm=2.3, anchor="right"
    )
    labels = [item for text, box in names for item in (filled(box, "white"), text)]
    return (
        *shell_lines(car.shell, fit),
        *bars,
        *labels,
        caption,
        *axis_arrows(seen, (cell.left_mm, cell.bottom_mm - 0.5)),
    )


def _name(
    words: str, spots: Sequence[tuple[float, float]], taken: Sequence[tuple[Text, Box]]
) -> list[tuple[Text, Box]]:
    """The name at the first spot along the bar that no other name covers; nowhere if all are covered."""
    for right, down in spots:
        text = Text(
            at_mm=(right, down + _NAME_MM / 2.0), text=words, height_mm=_NAME_MM, anchor="middle", bold=True
        )
        box = text_box(text).inset(-0.4)
        if not any(overlap(box, other) for _, other in taken):
            return [(text, box)]
    return []


def overlap(first: Box, second: Box) -> bool:
    """Whether two boxes cover each other in part."""
    return (
        first.left_mm < second.right_mm
        and second.left_mm < first.right_mm
        and first.top_mm < second.bottom_mm
        and second.top_mm < first.bottom_mm
    )


def _at(points: Points, share: float) -> Points:
    """The point at a share of a line's length, shape (1, 3)."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    return np.array([[np.interp(share * along[-1], along, points[:, axis]) for axis in range(3)]])


def _row(sheet: BarSheet, unit: LengthUnit) -> tuple[str, ...]:
    return (
        sheet.bar_id,
        sheet.title,
        sheet.side,
        tube_short(sheet.bar.tube, unit),
        str(len(sheet.steps)),
        measure(sheet.blank_mm, unit),
        measure(sheet.blank_mm, other_unit(unit)),
        shown(blank_mass_kg(sheet), 2),
    )


def _sum_row(sheets: Sequence[BarSheet], unit: LengthUnit) -> tuple[str, ...]:
    length = sum(sheet.blank_mm for sheet in sheets)
    bends = sum(len(sheet.steps) for sheet in sheets)
    return (
        "sum",
        count_words(len(sheets), "bar"),
        "",
        "",
        str(bends),
        *_long(length, unit),
        shown(sum(map(blank_mass_kg, sheets)), 2),
    )


def _long(length_mm: float, unit: LengthUnit) -> tuple[str, str]:
    """A length of many bars, in metres and feet."""
    metric, feet = f"{shown(length_mm / MM_PER_UNIT['m'], 3)} m", f"{shown(length_mm / MM_PER_FOOT, 2)} ft"
    return (metric, feet) if unit == "mm" else (feet, metric)


def _second_line(sheets: Sequence[BarSheet], date: str, number: int, count: int) -> str:
    return f"{count_words(len(sheets), 'bar')}    {date}    blanks as cut, trims included    page {number} of {count}"

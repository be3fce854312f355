"""What one more bend buys: mean, 90 % and greatest gap over the number of bends."""

import itertools
import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.chart import Chart, label, mark, round_ticks
from hoopwright.papers.drawing import Box, Item, Page, Point, Polygon, Polyline, frame
from hoopwright.papers.lettering import shortened
from hoopwright.units import shown

_WIDTH_MM, _HEIGHT_MM = 240.0, 140.0
_BOX = Box(left_mm=42.0, top_mm=27.0, width_mm=168.0, height_mm=62.0)
_LABEL_LEFT_MM = 12.0
_MOST_BENDS, _BEYOND = 5, 3.0
_SERIES = (("mean", "disc"), ("90 %", "ring"), ("greatest", "square"))
_FIRST_ROW_MM, _ROW_MM, _NOTE_MM = _BOX.bottom_mm + 15.0, 7.5, 135.0


@dataclass(frozen=True, kw_only=True)
class TradeRow:
    """The bar found for one number of bends.

    Args:
        bends: How many.
        mean_mm: Mean gap; infinite or not a number where it is not known.
        p90_mm: Nine tenths of the bar are at or below it.
        largest_mm: Greatest gap.
        length_mm: Tube length.
        chosen: Whether it is the one that was taken.
    """

    bends: int
    mean_mm: float
    p90_mm: float
    largest_mm: float
    length_mm: float
    chosen: bool


def trade_chart(rows: Sequence[TradeRow], *, title: str, gap_mm: float) -> Page:
    """The gaps over the number of bends, with their numbers in a table below.

    A bar so far off that it would flatten the others is an arrow at the upper edge.

    Args:
        rows: At most one for each number of bends, in any order; none is drawn as six empty columns.
        title: What stands over it.
        gap_mm: The target gap.
    """
    ordered = sorted(rows, key=lambda row: row.bends)
    most = max([_MOST_BENDS, *(row.bends for row in ordered)])
    chart = Chart(box=_BOX, across=(-0.5, most + 0.5), upward=(0.0, _top(ordered, gap_mm)))
    counts = [float(count) for count in range(most + 1)]
    items = [
        label(shortened(title, _WIDTH_MM - 24.0, 5.0, bold=True), 12.0, 14.0, height_mm=5.0, bold=True),
        label("gap, mm", _BOX.left_mm, _BOX.top_mm - 4.0),
        *chart.frame(counts),
        *chart.level(gap_mm, f"target {gap_mm:g} mm"),
        *_series(chart, ordered),
        *_arrows(chart, ordered),
        *_names(),
        *_numbers(chart, ordered, most),
        *_chosen(chart, ordered),
    ]
    return Page(width_mm=_WIDTH_MM, height_mm=_HEIGHT_MM, items=tuple(items))


def _top(rows: Sequence[TradeRow], gap_mm: float) -> float:
    """The upper end of the scale: a round number above every bar that is not far beyond the middle one."""
    largest = [row.largest_mm for row in rows if math.isfinite(row.largest_mm)]
    limit = _BEYOND * max(statistics.median_low(largest) if largest else 0.0, gap_mm)
    highest = max([1.5 * gap_mm, 1.0, *(value for value in largest if value <= limit)])
    step = round_ticks(0.0, highest)[1]
    return math.ceil(highest / step - 1e-9) * step


def _values(row: TradeRow) -> tuple[float, float, float]:
    return (row.mean_mm, row.p90_mm, row.largest_mm)


def _series(chart: Chart, rows: Sequence[TradeRow]) -> list[Item]:
    """Marks and the lines between neighbours; white under a ring hides the line."""
    items: list[Item] = []
    marks: list[Item] = []
    for index, (_words, kind) in enumerate(_SERIES):
        points = {
            row.bends: chart.at(row.bends, _values(row)[index])
            for row in rows
            if _values(row)[index] <= chart.upward[1]
        }
        for (before, a), (after, b) in itertools.pairwise(points.items()):
            if after == before + 1:
                items.append(Polyline(points_mm=(a, b), width_mm=0.3))
        marks += [mark(point, kind) for point in points.values()]
    return items + marks


def _arrows(chart: Chart, rows: Sequence[TradeRow]) -> list[Item]:
    """An arrow at the upper edge over each bar with a gap off the scale, and what it means."""
    top = chart.upward[1]
    off = [row.bends for row in rows if any(math.isfinite(one) and one > top for one in _values(row))]
    items = [item for bends in off for item in _arrow(chart.at(bends, top))]
    if off:
        items += [
            *_arrow((_LABEL_LEFT_MM - 4.0, _NOTE_MM - 3.6), 4.0),
            label("off the scale: its number is in the table", _LABEL_LEFT_MM, _NOTE_MM),
        ]
    return items


def _arrow(tip_mm: Point, long_mm: float = 6.0) -> list[Item]:
    x, y = tip_mm
    return [
        Polyline(points_mm=((x, y + 1.0), (x, y + long_mm)), width_mm=0.5),
        Polygon(points_mm=((x, y), (x - 1.3, y + 2.4), (x + 1.3, y + 2.4))),
    ]


def _names() -> list[Item]:
    """What each row of the table is, with the mark of its series."""
    items: list[Item] = [label("bends", _LABEL_LEFT_MM, _BOX.bottom_mm + 7.0)]
    for index, (words, kind) in enumerate(_SERIES):
        y = _FIRST_ROW_MM + _ROW_MM * index
        items += [mark((_LABEL_LEFT_MM - 4.0, y - 1.7), kind), label(words, _LABEL_LEFT_MM, y)]
    return [*items, label("tube, mm", _LABEL_LEFT_MM, _FIRST_ROW_MM + 3 * _ROW_MM)]


def _numbers(chart: Chart, rows: Sequence[TradeRow], most: int) -> list[Item]:
    by_bends = {row.bends: row for row in rows}
    items: list[Item] = []
    for bends in range(most + 1):
        x, row = chart.at(bends, 0.0)[0], by_bends.get(bends)
        if row is None:
            items.append(label("no bar", x, _FIRST_ROW_MM, anchor="middle"))
            continue
        for index, (value, decimals) in enumerate([*((one, 1) for one in _values(row)), (row.length_mm, 0)]):
            words = shown(value, decimals) if math.isfinite(value) else "unknown"
            y = _FIRST_ROW_MM + _ROW_MM * index
            items.append(label(words, x, y, anchor="middle", bold=row.chosen))
    return items


def _chosen(chart: Chart, rows: Sequence[TradeRow]) -> list[Item]:
    """A frame round the column that was taken."""
    items: list[Item] = []
    half = 0.46 * _BOX.width_mm / (chart.across[1] - chart.across[0])
    for row in rows:
        if row.chosen:
            x = chart.at(row.bends, 0.0)[0]
            bottom = _FIRST_ROW_MM + 3 * _ROW_MM + 3.0
            box = Box(
                left_mm=x - half,
                top_mm=_BOX.top_mm - 2.0,
                width_mm=2.0 * half,
                height_mm=bottom - _BOX.top_mm + 2.0,
            )
            items += [
                frame(box, width_mm=0.6),
                label("taken", x, box.top_mm - 2.0, anchor="middle", bold=True),
            ]
    return items

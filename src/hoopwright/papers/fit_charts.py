"""Two charts of a fit: what one more bend buys, and the gap along the bar."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.chart import Chart, mark, round_ticks
from hoopwright.papers.drawing import Box, Item, Page, Polyline, Text
from hoopwright.shell.clearance import TubeGaps

_WIDTH_MM, _HEIGHT_MM = 240.0, 140.0
_BOX = Box(left_mm=20.0, top_mm=28.0, width_mm=180.0, height_mm=88.0)
_MOST_MM = 400.0


@dataclass(frozen=True, kw_only=True)
class TradeRow:
    """One number of bends.

    Args:
        bends: How many.
        mean_mm: Mean gap.
        p90_mm: Nine tenths are at or below it.
        largest_mm: Greatest gap.
        length_mm: Tube length.
        chosen: Whether it is the one that was taken.
    """

    bends: int
    mean_mm: float
    p90_mm: float
    largest_mm: float
    length_mm: float
    chosen: bool = False


def trade_chart(rows: Sequence[TradeRow], *, title: str, gap_mm: float) -> Page:
    """Mean, 90 % and greatest gap over the number of bends; numbers without an end are left out.

    Args:
        rows: At least one, by number of bends.
        title: What stands over it.
        gap_mm: The gap that was asked.
    """
    known = [row for row in rows if math.isfinite(row.largest_mm)]
    # a straight bar through the middle of the car would flatten all the others
    bent = [row for row in known if row.bends] or known
    top = min(_MOST_MM, 1.15 * max([gap_mm * 2.0, *(row.largest_mm for row in bent)]))
    bends = [row.bends for row in rows] or [0]
    chart = Chart(box=_BOX, across=(min(bends) - 0.4, max(bends) + 0.4), upward=(0.0, top))
    items: list[Item] = [
        _title(title),
        *chart.frame([float(count) for count in bends], "bends", "gap, mm"),
        *chart.level(gap_mm, f"asked {gap_mm:g}"),
    ]
    for name, kind in (("mean_mm", "disc"), ("p90_mm", "ring"), ("largest_mm", "square")):
        shown = [(row, getattr(row, name)) for row in known if getattr(row, name) <= top]
        points = [chart.at(row.bends, value) for row, value in shown]
        items += [Polyline(points_mm=(a, b), width_mm=0.3) for a, b in itertools.pairwise(points)]
        items += [mark(point, kind) for point in points]
        if name == "mean_mm":
            items += [
                Text(
                    text=f"{value:.1f}",
                    at_mm=(x + 2.6, y + 5.0),
                    height_mm=3.2,
                    anchor="left",
                    bold=row.chosen,
                )
                for (row, value), (x, y) in zip(shown, points, strict=True)
            ]
    items += [
        Polyline(
            points_mm=(chart.at(row.bends, 0.0), chart.at(row.bends, top)), width_mm=0.3, dash_mm=(0.8, 1.6)
        )
        for row in known
        if row.chosen
    ]
    return Page(width_mm=_WIDTH_MM, height_mm=_HEIGHT_MM, items=(*items, *_key()))


def gap_chart(gaps: TubeGaps, *, title: str, gap_mm: float) -> Page:
    """The gap along a bar from end A; landings are dashed, since they are not judged.

    Args:
        gaps: What was measured.
        title: What stands over it.
        gap_mm: The gap that was asked.
    """
    length = float(gaps.along_mm[-1])
    finite = [float(gap) for gap in gaps.gap_mm if math.isfinite(gap)]
    top = min(_MOST_MM, 1.1 * max([2.0 * gap_mm, *finite]))
    low = min(0.0, *finite, 0.0)
    chart = Chart(box=_BOX, across=(0.0, max(length, 1.0)), upward=(low, top))
    items: list[Item] = [
        _title(title),
        *chart.frame(round_ticks(0.0, length), "from end A, mm", "gap, mm"),
        *chart.level(gap_mm, f"asked {gap_mm:g}"),
    ]
    places = list(zip(gaps.along_mm, gaps.gap_mm, gaps.judged, strict=True))
    for judged, run in itertools.groupby(places, key=lambda one: (bool(one[2]), math.isfinite(one[1]))):
        points = tuple(chart.at(float(along), float(gap)) for along, gap, _ in run) if judged[1] else ()
        if len(points) > 1:
            dash = () if judged[0] else (1.0, 1.4)
            items.append(Polyline(points_mm=points, width_mm=0.7 if judged[0] else 0.4, dash_mm=dash))
    if gaps.smallest is not None:
        x, y = chart.at(gaps.smallest.along_mm, gaps.smallest.gap_mm)
        words = f"least {gaps.smallest.gap_mm:.1f} mm, {gaps.smallest.region}"
        on_left = x > _BOX.middle_mm[0]
        items += [
            mark((x, y), "ring"),
            Text(
                text=words,
                at_mm=(x - 3.0 if on_left else x + 3.0, _BOX.bottom_mm - 3.0),
                height_mm=3.2,
                anchor="right" if on_left else "left",
            ),
        ]
    note = "dashed: landings, not judged" if finite else "no scanned metal near the bar: its gap is not known"
    return Page(
        width_mm=_WIDTH_MM,
        height_mm=_HEIGHT_MM,
        items=(*items, Text(text=note, at_mm=(20.0, 134.0), height_mm=3.2, anchor="left")),
    )


def _title(words: str) -> Text:
    return Text(text=words, at_mm=(20.0, 14.0), height_mm=5.0, anchor="left", bold=True)


def _key() -> list[Item]:
    items: list[Item] = []
    for index, (words, kind) in enumerate((("mean", "disc"), ("90 %", "ring"), ("greatest", "square"))):
        x = 24.0 + 30.0 * index
        items += [
            mark((x, 133.0), kind),
            Text(text=words, at_mm=(x + 4.0, 134.5), height_mm=3.4, anchor="left"),
        ]
    return items

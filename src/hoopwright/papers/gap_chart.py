"""The gap along a bar, from end A: where it is judged, where it is not, and where nobody knows it."""

import itertools
import math
from collections.abc import Sequence

import numpy as np

from hoopwright.papers.chart import TEXT_MM, Chart, label, mark, round_ticks
from hoopwright.papers.drawing import Box, Circle, Item, Page, Polyline, Text, filled, line
from hoopwright.papers.lettering import shortened, text_box, width_mm
from hoopwright.shell.clearance import GapPlace, TubeGaps
from hoopwright.units import shown

_WIDTH_MM, _HEIGHT_MM = 240.0, 140.0
_BOX = Box(left_mm=24.0, top_mm=34.0, width_mm=182.0, height_mm=72.0)
_KEY_MM = 132.0
_REACH_MM = 150.0  # as shell.clearance: metal farther off than this is not listed as a neighbour
_HEADROOM = 0.86
_UNKNOWN, _FIRST_WORD_MM = "unknown: no metal within 150 mm", 34.0

Stretches = Sequence[tuple[float, float]]


def gap_chart(gaps: TubeGaps, *, target_mm: float, bends: Stretches = (), title: str | None = None) -> Page:
    """The gap to the metal along a bar; a stretch with no metal within 150 mm is a break, called unknown.

    Args:
        gaps: What was measured.
        target_mm: The gap to hold.
        bends: Start and end of each bend along the centreline, mm from end A.
        title: What stands over it; the name of the bar where none is given.
    """
    length = max(float(gaps.along_mm[-1]), 1.0)
    known = np.isfinite(gaps.gap_mm) & (gaps.gap_mm <= _REACH_MM)
    upward = _scale(gaps.gap_mm[known & gaps.judged], target_mm)
    chart = Chart(box=_BOX, across=(0.0, length), upward=upward)
    heading = title or f"{gaps.tube.name}: gap along the bar"
    judged = np.flatnonzero(gaps.judged)
    landings = ((0.0, float(gaps.along_mm[judged[0]])), (float(gaps.along_mm[judged[-1]]), length))
    items = [
        label(shortened(heading, _WIDTH_MM - 24.0, 5.0, bold=True), 12.0, 14.0, height_mm=5.0, bold=True),
        *(item for stretch in bends for item in _dots(_band(chart, stretch))),
        *(item for stretch in landings for item in _hatch(_band(chart, stretch))),
        *_axes(chart, length),
        *chart.level(target_mm, f"target {target_mm:g} mm"),
        *_curve(chart, gaps, known),
        *_bend_numbers(chart, bends),
        *_unknown(chart, gaps, known),
        *_smallest(chart, gaps.smallest),
        *_key(bent=bool(bends)),
    ]
    return Page(width_mm=_WIDTH_MM, height_mm=_HEIGHT_MM, items=tuple(items))


def _scale(values: np.ndarray, target_mm: float) -> tuple[float, float]:
    """From zero, or below the deepest cut, to the greatest judged gap with room above for bend numbers."""
    highest = max([1.5 * target_mm, 1.0, *values.tolist()])
    lowest = min([0.0, *values.tolist()])
    ticks = round_ticks(lowest, highest / _HEADROOM)
    step = ticks[1] - ticks[0]
    low = math.floor(lowest / step + 1e-9) * step
    return low, low + (highest - low) / _HEADROOM


def _band(chart: Chart, stretch_mm: tuple[float, float]) -> Box:
    left, right = (chart.at(place, 0.0)[0] for place in stretch_mm)
    return Box(left_mm=left, top_mm=_BOX.top_mm, width_mm=right - left, height_mm=_BOX.height_mm)


def _dots(box: Box) -> list[Item]:
    """A grey of dots: the inks are black and white only."""
    count = int(box.width_mm / 1.4)
    first = box.left_mm + (box.width_mm - 1.4 * (count - 1)) / 2.0
    columns = [first + 1.4 * index for index in range(count)]
    return [line((x, box.top_mm), (x, box.bottom_mm), width_mm=0.3, dash_mm=(0.3, 1.1)) for x in columns]


def _hatch(box: Box) -> list[Item]:
    """Slanting lines, rising to the right, cut at the edges of the box."""
    if box.width_mm <= 0.0:
        return []
    reach = box.width_mm + box.height_mm
    lines: list[Item] = []
    for index in range(1, int(reach / 2.4) + 1):
        rise = 2.4 * index
        low = (box.left_mm + max(0.0, rise - box.height_mm), box.top_mm + min(rise, box.height_mm))
        high = (box.left_mm + min(rise, box.width_mm), box.top_mm + max(0.0, rise - box.width_mm))
        lines.append(line(low, high, width_mm=0.25))
    return lines


def _axes(chart: Chart, length_mm: float) -> list[Item]:
    below = _BOX.bottom_mm + 14.0
    items = chart.frame(round_ticks(0.0, length_mm))
    if chart.upward[0] < 0.0:
        items.append(line(chart.at(0.0, 0.0), chart.at(length_mm, 0.0), width_mm=0.25))
    return [
        *items,
        label("gap, mm", 12.0, _BOX.top_mm - 5.0),
        label("end A", _BOX.left_mm, below, bold=True),
        label("along the centreline from end A, mm", _BOX.middle_mm[0], below, anchor="middle"),
        label(f"end B, {shown(length_mm, 0)}", _BOX.right_mm, below, anchor="right", bold=True),
    ]


def _curve(chart: Chart, gaps: TubeGaps, known: np.ndarray) -> list[Item]:
    """The gap in runs: bold where judged, fine in the landings, nothing where unknown or off the scale."""
    low, high = chart.upward
    drawn = known & (gaps.gap_mm >= low) & (gaps.gap_mm <= high)
    items: list[Item] = []
    rows = zip(gaps.along_mm, gaps.gap_mm, drawn, gaps.judged, strict=True)
    for (is_drawn, judged), run in itertools.groupby(rows, key=lambda row: (bool(row[2]), bool(row[3]))):
        if not is_drawn:
            continue
        points = tuple(chart.at(float(row[0]), float(row[1])) for row in run)
        wide = 0.7 if judged else 0.3
        if len(points) > 1:
            items.append(Polyline(points_mm=points, width_mm=wide))
        else:
            items.append(Circle(centre_mm=points[0], radius_mm=wide / 2.0, width_mm=0.25, fill="black"))
    return items


def _bend_numbers(chart: Chart, bends: Stretches) -> list[Item]:
    items: list[Item] = []
    for number, stretch in enumerate(bends, start=1):
        right = _band(chart, stretch).middle_mm[0]
        items += _on_white(label(f"{number}", right, _BOX.top_mm + 5.5, anchor="middle", bold=True))
    return items


def _unknown(chart: Chart, gaps: TubeGaps, known: np.ndarray) -> list[Item]:
    """A bracket over each unknown stretch; of words that would run into each other the first is written."""
    items: list[Item] = []
    free_from = _FIRST_WORD_MM
    places = zip(gaps.along_mm, known, strict=True)
    for is_known, run in itertools.groupby(places, key=lambda place: bool(place[1])):
        stretch = [float(along) for along, _ in run]
        if is_known:
            continue
        left, right = (chart.at(along, 0.0)[0] for along in (stretch[0], stretch[-1]))
        y, end = _BOX.top_mm - 2.0, max(right, left + 1.0)
        items.append(Polyline(points_mm=((left, y + 1.5), (left, y), (end, y), (end, y + 1.5))))
        words = _UNKNOWN if width_mm(_UNKNOWN, TEXT_MM) < right - left else "unknown"
        half, middle = width_mm(words, TEXT_MM) / 2.0, (left + right) / 2.0
        shift = max(0.0, free_from + half - middle)
        if shift < half or free_from == _FIRST_WORD_MM:
            items.append(label(words, middle + shift, y - 2.0, anchor="middle"))
            free_from = middle + shift + half + 3.0
    return items


def _smallest(chart: Chart, place: GapPlace | None) -> list[Item]:
    """A ring at the smallest judged gap, and its words under the title, where nothing can run through them."""
    if place is None or not math.isfinite(place.gap_mm):
        return [label("no metal within 150 mm of the judged part: its gap is unknown", 12.0, 21.5)]
    words = f"smallest judged gap {shown(place.gap_mm, 1)} mm, {shown(place.along_mm, 0)} mm from end A: {place.region}"
    return [
        mark(chart.at(place.along_mm, place.gap_mm), "ring"),
        mark((13.6, 19.8), "ring"),
        label(shortened(words, _WIDTH_MM - 30.0, TEXT_MM), 18.0, 21.5),
    ]


def _on_white(text: Text) -> list[Item]:
    """Words on a white ground, so that dots and lines do not cloud them."""
    return [filled(text_box(text).inset(-0.8), "white"), text]


def _key(*, bent: bool) -> list[Item]:
    bend, landing = (
        Box(left_mm=left, top_mm=_KEY_MM - 4.0, width_mm=9.0, height_mm=5.0) for left in (92.0, 24.0)
    )
    items = [*_hatch(landing), label("landing, not judged", 36.0, _KEY_MM)]
    return [*items, *_dots(bend), label("bend, with its number", 104.0, _KEY_MM)] if bent else items

"""Springback over command with its band and readings, and below how far each bend lay from what was foretold."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.chart import Chart, label, mark, round_ticks
from hoopwright.papers.drawing import Box, Item, Page, Point, Polyline, line
from hoopwright.papers.lettering import shortened, width_mm

_WIDTH_MM, _HEIGHT_MM = 240.0, 190.0
_LINE_BOX = Box(left_mm=24.0, top_mm=32.0, width_mm=200.0, height_mm=72.0)
_ERROR_BOX = Box(left_mm=24.0, top_mm=130.0, width_mm=200.0, height_mm=34.0)
_KEY_MM = 184.0
_ROOM = 1.08
_NAME_MM = 3.4


@dataclass(frozen=True, kw_only=True)
class SpringbackBand:
    """The learnt springback at one command.

    Args:
        command_deg: The command.
        mean_deg: Springback to expect.
        low_deg: 1 in 40 bends springs back less.
        high_deg: 1 in 40 bends springs back more.
    """

    command_deg: float
    mean_deg: float
    low_deg: float
    high_deg: float


@dataclass(frozen=True, kw_only=True)
class ReadingMark:
    """One bend.

    Args:
        number: Its place in the order.
        command_deg: Read under load.
        springback_deg: Command less released angle.
        error_deg: Springback more than was foretold from the bends before it.
        half_band_deg: Half of the band that was foretold.
        sample: A sample bend, or one from the log.
        counted: Whether it was learnt from.
        batch: Its batch.
        same_batch: Whether it is of the batch that the line is drawn for.
    """

    number: int
    command_deg: float
    springback_deg: float
    error_deg: float
    half_band_deg: float
    sample: bool
    counted: bool
    batch: str
    same_batch: bool


def springback_chart(curve: Sequence[SpringbackBand], readings: Sequence[ReadingMark], *, title: str) -> Page:
    """The learnt line with its 95 % band over the readings, and the error of each bend in turn.

    An error beyond the scale, of a bend that was not learnt from, lies on the edge.

    Args:
        curve: At rising commands, two or more.
        readings: In order; may be none.
        title: What stands over it.
    """
    items = [
        label(shortened(title, _WIDTH_MM - 24.0, 5.0, bold=True), 12.0, 14.0, height_mm=5.0, bold=True),
        label("springback, degrees", 12.0, 26.0),
        *_line_part(curve, readings),
        label("springback more (+) or less (-) than foretold from the bends before, degrees", 12.0, 122.5),
        *_error_part(readings),
        *_key(),
    ]
    return Page(width_mm=_WIDTH_MM, height_mm=_HEIGHT_MM, items=tuple(items))


def _line_part(curve: Sequence[SpringbackBand], readings: Sequence[ReadingMark]) -> list[Item]:
    across = (0.0, curve[-1].command_deg)
    values = [*(one.springback_deg for one in readings), *(one.high_deg for one in curve)]
    lowest = min([0.0, *(one.low_deg for one in curve), *(one.springback_deg for one in readings)])
    chart = Chart(box=_LINE_BOX, across=across, upward=_round_range(lowest, max(values)))
    low, mean, high = (
        [chart.at(one.command_deg, getattr(one, name)) for one in curve]
        for name in ("low_deg", "mean_deg", "high_deg")
    )
    dots = [line(below, above, width_mm=0.3, dash_mm=(0.3, 1.3)) for below, above in _columns(low, high)]
    items: list[Item] = [
        *dots,
        *chart.frame(round_ticks(*across)),
        label("command, degrees", _LINE_BOX.right_mm, _LINE_BOX.bottom_mm + 12.0, anchor="right"),
        *(Polyline(points_mm=tuple(edge), width_mm=0.3) for edge in (low, high)),
    ]
    for one in sorted(readings, key=lambda reading: reading.same_batch):
        items += _reading(chart.at(one.command_deg, one.springback_deg), one)
    return [*items, Polyline(points_mm=tuple(mean), width_mm=0.7)]


def _columns(low: Sequence[Point], high: Sequence[Point]) -> list[tuple[Point, Point]]:
    """Upright pairs between the two edges, close enough to make a grey."""
    pairs = []
    for (a, b), (c, d) in zip(itertools.pairwise(low), itertools.pairwise(high), strict=True):
        steps = max(1, round((b[0] - a[0]) / 1.3))
        for step in range(steps):
            share = step / steps
            x = a[0] + share * (b[0] - a[0])
            pairs.append(((x, a[1] + share * (b[1] - a[1])), (x, c[1] + share * (d[1] - c[1]))))
    return pairs


def _error_part(readings: Sequence[ReadingMark]) -> list[Item]:
    numbers = [one.number for one in readings] or [0, 1]
    across = (min(numbers) - 0.6, max(numbers) + 0.6)
    kept = [max(abs(one.error_deg) if one.counted else 0.0, one.half_band_deg) for one in readings]
    reach = max([0.5, *(_ROOM * value for value in kept)])
    chart = Chart(box=_ERROR_BOX, across=across, upward=_round_range(-reach, reach))
    ticks = [tick for tick in round_ticks(*across) if tick == round(tick) and tick >= 1.0]
    items: list[Item] = [
        *chart.frame(ticks),
        line(chart.at(across[0], 0.0), chart.at(across[1], 0.0), width_mm=0.35),
        label("bend, in order", _ERROR_BOX.right_mm, _ERROR_BOX.bottom_mm + 12.0, anchor="right"),
        *_batch_names(chart, readings),
    ]
    for sign in (-1.0, 1.0):
        edge = tuple(chart.at(one.number, sign * one.half_band_deg) for one in readings)
        if len(edge) > 1:
            items.append(Polyline(points_mm=edge, width_mm=0.3))
    for one in readings:
        items += _reading(chart.at(one.number, one.error_deg), one)
    return items


def _batch_names(chart: Chart, readings: Sequence[ReadingMark]) -> list[Item]:
    """A dashed line where another batch begins, with its name where there is room for it."""
    items: list[Item] = []
    starts = [after for before, after in itertools.pairwise(readings) if after.batch != before.batch]
    lefts = [chart.at(one.number - 0.5, 0.0)[0] for one in starts]
    for one, (left, end) in zip(starts, itertools.pairwise([*lefts, _ERROR_BOX.right_mm]), strict=True):
        top = (left, _ERROR_BOX.top_mm)
        items.append(line(top, (left, _ERROR_BOX.bottom_mm), width_mm=0.3, dash_mm=(1.5, 1.5)))
        if one.batch and width_mm(one.batch, _NAME_MM) < end - left - 2.0:
            items.append(label(one.batch, left + 1.0, _ERROR_BOX.top_mm - 0.6))
    return items


def _reading(at: Point, one: ReadingMark) -> list[Item]:
    if one.counted:
        return [mark(at, "square" if one.sample else "disc" if one.same_batch else "ring")]
    return _cross(at)


def _cross(at: Point) -> list[Item]:
    (x, y), half = at, 1.6
    return [
        line((x - half, y - half), (x + half, y + half), width_mm=0.5),
        line((x - half, y + half), (x + half, y - half), width_mm=0.5),
    ]


def _key() -> list[Item]:
    y = _KEY_MM - 1.7
    return [
        mark((14.0, y), "square"),
        label("sample", 17.0, _KEY_MM),
        mark((38.0, y), "disc"),
        label("logged", 41.0, _KEY_MM),
        mark((62.0, y), "ring"),
        label("of another batch", 65.0, _KEY_MM),
        *_cross((106.0, y)),
        label("not learnt from", 109.0, _KEY_MM),
        line((145.0, y), (152.0, y), width_mm=0.7),
        label("learnt line", 154.0, _KEY_MM),
        line((182.0, y), (189.0, y), width_mm=0.3),
        label("95 of 100 bends", 191.0, _KEY_MM),
    ]


def _round_range(low: float, high: float) -> tuple[float, float]:
    """The range, out to round numbers."""
    ticks = round_ticks(low, max(high, low + 1.0))
    step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
    bottom = ticks[0] if ticks[0] <= low + 1e-9 else ticks[0] - step
    top = ticks[-1] if ticks[-1] >= high - 1e-9 else ticks[-1] + step
    return bottom, top

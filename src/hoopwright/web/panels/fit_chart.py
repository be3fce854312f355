"""The trade-off of a fit: for each number of bends its least, mean and greatest gap, to click or to step through."""

import math
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from nicegui import ui

from hoopwright.fitting.offers import Offer
from hoopwright.jobs.fits import FitReport
from hoopwright.units import format_length
from hoopwright.web.bench import Bench

_WIDE, _HIGH = 370.0, 230.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 8.0, 26.0, 40.0
_HEADROOM = 1.08


@dataclass(frozen=True, kw_only=True)
class _Scale:
    """Where bends and gaps lie on the chart."""

    most_bends: int
    highest_mm: float
    lowest_mm: float

    @property
    def column(self) -> float:
        return (_WIDE - _LEFT - _RIGHT) / (self.most_bends + 1)

    def x(self, bends: int) -> float:
        return _LEFT + (bends + 0.5) * self.column

    def y(self, gap_mm: float) -> float:
        held = min(max(gap_mm, self.lowest_mm), self.highest_mm)
        share = (held - self.lowest_mm) / (self.highest_mm - self.lowest_mm)
        return _HIGH - _BOTTOM - share * (_HIGH - _TOP - _BOTTOM)


def fit_chart(
    bench: Bench, report: FitReport, picked: Offer | None, pick: Callable[[Offer], Awaitable[None]]
) -> None:
    """Draw the chart; every column is a button that is reached and pressed by keys too.

    Args:
        bench: The page.
        report: What was found.
        picked: The offer that is looked at.
        pick: Called with an offer that was clicked.
    """
    offers = report.found.offers
    scale = _scale(offers, report.found.task.gap_mm)
    drawing = ui.element("svg").props(
        f'viewBox="0 0 {_WIDE:g} {_HIGH:g}" role="group" aria-label="Gap against bends"'
    )
    with drawing.classes("hw-chart w-full"):
        ui.html(_axes(bench, scale, report.found.task.gap_mm), tag="g", sanitize=False)
        for offer in offers:
            column = ui.html(_column(scale, offer, offer is picked), tag="g", sanitize=False)
            column.classes("hw-column").props(
                f'role="button" tabindex="0" aria-pressed="{str(offer is picked).lower()}" '
                f'aria-label="{_words(bench, offer)}"'
            )
            if offer is picked:
                ui.run_javascript(f"getHtmlElement({column.id})?.focus({{preventScroll: true}})")
            for key in ("click", "keydown.enter", "keydown.space.prevent"):
                column.on(key, lambda _, one=offer: pick(one))
    ui.label(
        "Each line: least to greatest gap. The disc is the mean gap; a ring with ! does not hold what was asked. "
        "Click a column to see that bar."
    ).classes("hw-soft")


def _scale(offers: tuple[Offer, ...], gap_mm: float) -> _Scale:
    highest = max(
        [2.0 * gap_mm, 1.0, *(one.largest_gap_mm for one in offers if math.isfinite(one.largest_gap_mm))]
    )
    lowest = min([0.0, *(one.smallest_gap_mm for one in offers if math.isfinite(one.smallest_gap_mm))])
    return _Scale(
        most_bends=max([4, *(one.bends for one in offers)]), highest_mm=highest * _HEADROOM, lowest_mm=lowest
    )


def _axes(bench: Bench, scale: _Scale, gap_mm: float) -> str:
    right, floor = _WIDE - _RIGHT, _HIGH - _BOTTOM
    parts = [
        '<text x="4" y="13" font-weight="700">gap</text>',
        f'<text x="{right}" y="13" text-anchor="end">dashed: {bench.length(gap_mm)} asked</text>',
        f'<path d="M{_LEFT} {_TOP}V{floor}H{right}" fill="none" stroke="currentColor"/>',
        f'<path d="M{_LEFT} {scale.y(gap_mm):.1f}H{right}" stroke="currentColor" stroke-dasharray="5 4"/>',
        f'<text x="{(_LEFT + right) / 2}" y="{_HIGH - 4}" text-anchor="middle" font-weight="700">bends</text>',
    ]
    for value in _ticks(scale):
        y = scale.y(value)
        words = f"{value:g}" if bench.units == "mm" else format_length(value, "in").split(" ")[0]
        parts.append(f'<path d="M{_LEFT - 4} {y:.1f}H{_LEFT}" stroke="currentColor"/>')
        parts.append(f'<text x="{_LEFT - 7}" y="{y + 4:.1f}" text-anchor="end">{words}</text>')
    parts += [
        f'<text x="{scale.x(bends):.1f}" y="{floor + 16}" text-anchor="middle">{bends}</text>'
        for bends in range(scale.most_bends + 1)
    ]
    return "".join(parts)


def _ticks(scale: _Scale) -> list[float]:
    span = scale.highest_mm - scale.lowest_mm
    rough = span / 4.0
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= rough)
    first, last = math.ceil(scale.lowest_mm / step), math.floor(scale.highest_mm / step)
    return [index * step for index in range(first, last + 1)]


def _column(scale: _Scale, offer: Offer, is_picked: bool) -> str:
    x, half = scale.x(offer.bends), scale.column * 0.44
    top, floor = _TOP - 8.0, _HIGH - _BOTTOM
    low, mean, high = (
        scale.y(value) for value in (offer.smallest_gap_mm, offer.mean_gap_mm, offer.largest_gap_mm)
    )
    parts = [
        f'<rect class="{"hw-picked" if is_picked else "hw-pick"}" x="{x - half:.1f}" y="{top}" '
        f'width="{2 * half:.1f}" height="{floor - top:.1f}" rx="5"/>',
        f'<path d="M{x:.1f} {low:.1f}V{high:.1f}M{x - 7:.1f} {low:.1f}h14M{x - 7:.1f} {high:.1f}h14" '
        'stroke="currentColor" stroke-width="2" fill="none"/>',
    ]
    if offer.holds:
        parts.append(f'<circle class="hw-disc" cx="{x:.1f}" cy="{mean:.1f}" r="6"/>')
    else:
        parts.append(f'<circle class="hw-ring" cx="{x:.1f}" cy="{mean:.1f}" r="6"/>')
        parts.append(f'<text class="hw-short" x="{x + 10:.1f}" y="{mean + 5:.1f}" font-weight="700">!</text>')
    return "".join(parts)


def _words(bench: Bench, offer: Offer) -> str:
    holds = "holds" if offer.holds else "does not hold"
    gaps = (("mean", offer.mean_gap_mm), ("least", offer.smallest_gap_mm), ("greatest", offer.largest_gap_mm))
    words = ", ".join(f"{name} gap {bench.length(value)}" for name, value in gaps)
    return f"{offer.bends} bends: {words}, {holds} what was asked".replace('"', " in")

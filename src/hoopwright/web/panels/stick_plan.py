"""A cutting plan as a page shows it: each stick to scale, the spare, and what to buy."""

from html import escape

from nicegui import ui

from hoopwright.jobs.cuts import GroupCuts
from hoopwright.jobs.stock import ProjectStock
from hoopwright.jobs.stock_keys import order_sums
from hoopwright.jobs.stock_words import parts_words, proof_words, spare_words
from hoopwright.stock import CutStick
from hoopwright.web.bench import Bench
from hoopwright.web.findings_words import job_words
from hoopwright.web.parts import table

_SOURCES = {"buy": "to buy", "rack": "on the rack", "offcut": "offcut"}
_PERCENT = 100.0
_NAME_SHARE = 0.09


def draw_plan(bench: Bench, found: ProjectStock) -> None:
    """The plan of each size with its spare, and what to buy."""
    for group, spare in zip(found.groups, found.spares, strict=True):
        draw_group(bench, group)
        name = f"{spare.bar_id}, {bench.length(spare.length_mm)}: {job_words(spare.why, bench.units)}"
        ui.label(spare_words(group, name)).classes("hw-soft")
    ui.label("To buy").classes("hw-head")
    _order(bench, found)
    for bar, why in found.left_out:
        ui.label(f"{bar} is not in it: {job_words(why, bench.units)}").classes("hw-finding note")


def draw_group(bench: Bench, group: GroupCuts) -> None:
    """The plan of one size: how many sticks, whether that is proven, and each of them."""
    ui.label(group.title).classes("hw-head")
    ui.label(proof_words(group))
    ui.label(job_words(parts_words(group), bench.units)).classes("hw-soft")
    longest = max(stick.offer.length_mm for stick in group.to_saw.sticks)
    for stick in group.to_saw.sticks:
        _stick(bench, stick, longest)


def _stick(bench: Bench, stick: CutStick, longest_mm: float) -> None:
    """One stick to scale, with its parts in words below, so that no colour is needed."""
    offer = stick.offer
    source = f"{_SOURCES[offer.source]}{f' {offer.label}' if offer.label else ''}"
    heat = f", heat number {offer.heat_number}" if offer.heat_number else ""
    left = bench.length(stick.rest_mm)
    ui.label(f"{stick.number}: {source}, {bench.length(offer.length_mm)}{heat}; {left} left")
    words = ", ".join(f"{part.name} {bench.length(part.length_mm)}" for part in stick.parts)
    drawn = "".join(
        f'<div class="hw-part" style="width: {_PERCENT * part.length_mm / offer.length_mm:.2f}%">'
        f"{escape(part.name) if part.length_mm > _NAME_SHARE * longest_mm else ''}</div>"
        for part in stick.parts
    )
    said = escape(f"Stick {stick.number}: {words}", quote=True)
    share = _PERCENT * offer.length_mm / longest_mm
    ui.html(
        f'<div class="hw-stick" role="img" aria-label="{said}" style="width: {share:.1f}%">'
        f'{drawn}<div class="hw-rest"></div></div>',
        sanitize=False,
    ).classes("w-full")
    ui.label(words).classes("hw-soft")


def _order(bench: Bench, found: ProjectStock) -> None:
    if not found.order:
        ui.label("Nothing: the rack holds it all.")
        return
    rows = [
        [
            f"{line.tube} {line.steel}".strip(),
            f"{line.count} x {bench.length(line.length_mm)}",
            f"{line.mass_kg:.1f}",
            _price(line.price),
        ]
        for line in found.order
    ]
    if len(rows) > 1:
        sums = order_sums(found)
        rows.append(
            [
                "in all",
                str(sums["to_buy_count"]),
                f"{sums['to_buy_mass_kg']:.1f}",
                _price(sums["to_buy_price"]),
            ]
        )
    table(["tube, mm", "sticks", "kg", "price"], rows)
    for line in found.order:
        for bars in line.share_a_batch:
            ui.label(f"{line.tube}: {bars} of one batch").classes("hw-soft")


def _price(price: float | None) -> str:
    return "not priced" if price is None else f"{price:.2f}"

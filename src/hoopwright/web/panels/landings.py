"""What the feet stand on: chosen for one foot or all, and fitted to the scan."""

import math
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any

from nicegui import ui

from hoopwright.cage import EndLetter, LandingKind
from hoopwright.findings import UserError
from hoopwright.jobs.landings import (
    LandedFoot,
    LandingReport,
    land_feet,
    set_every_landing,
    set_landing,
    take_landing_out,
)
from hoopwright.jobs.paper_previews import part_preview
from hoopwright.units import shown
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, length_entry
from hoopwright.web.made import Made, fill_part, make, told_below
from hoopwright.web.number_entries import MM2_PER_CM2, angle_entry, area_entry, count_entry
from hoopwright.web.picks import finding_list, older, pick_table, show_place, svg_pages
from hoopwright.web.work import work

_USUAL = "the usual, or as it was"
_KINDS = {"": _USUAL, **{kind.value: kind.value for kind in LandingKind}}
_UP_THE_LEG = 10
_LENGTHS = {
    "length_mm": "Sole along",
    "width_mm": "Sole across; of a folded plate from the corner",
    "thickness_mm": "Thickness of the sheet",
    "wall_mm": "How far a folded plate goes up the wall",
    "height_mm": "Height of a box over the metal",
    "bolt_mm": "Diameter of the bolts",
}


Again = Callable[[], Awaitable[None]]


@dataclass
class _State(Made[LandingReport]):
    """What this page last fitted."""

    foot: tuple[str, EndLetter] | None = None


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()

    async def fit() -> None:
        await make(
            bench,
            state,
            "Fitting the landings",
            lambda folder, progress: land_feet(folder, progress=progress),
        )

    ui.button("Look at the feet", on_click=fit).classes("hw-button")
    fill_part(bench, lambda: (id(state.report), bench.seen.version, bench.units), lambda: _list(bench, state))
    fill_part(
        bench,
        lambda: (id(state.report), bench.units, state.foot),
        lambda: _one(bench, state, fit),
        gap="gap-1",
    )
    with ui.expansion("Choose landings"):
        _form(bench, state, fit)


def _list(bench: Bench, state: _State) -> None:
    report = state.report
    if report is None:
        ui.label("Plates, folded plates and boxes, fitted to the metal of the scan.").classes("hw-soft")
        return
    older(bench, state.version, "Look at the feet again.")
    if not report.feet:
        ui.label("No bar stands on the shell.").classes("hw-soft")
        return
    views = {bar.bar_id: bar for bar in bench.seen.bars}

    def pick(number: int) -> None:
        foot = report.feet[number].foot
        state.foot = (foot.bar_id, foot.end)
        view = views.get(foot.bar_id)
        ends = () if view is None else view.path_mm if foot.end == "A" else view.path_mm[::-1]
        axis = [(float(x), float(y), float(z)) for x, y, z in ends[: _UP_THE_LEG + 1]]
        show_place(
            bench,
            axis[0] if axis else None,
            f"{foot.bar_id} {foot.end}",
            bar_id=foot.bar_id,
            # the foot itself stands in the metal of the floor: its leg is seen from inside the car
            seen_mm=axis[-1] if axis else None,
        )
        bench.tell()

    pick_table(
        ["foot", "landing", "area, gap"], [_row(bench, one) for one in report.feet], pick, widths=(78, 0, 110)
    )
    if all(one.foot.landing is None for one in report.feet):
        ui.label("Choose landings below: 'Set every foot' with nothing typed gives each the usual one.")
    finding_list(bench, report.findings)
    ui.label(
        "Sizes that nobody typed are common practice; what is enough is for your rule book and the scrutineer."
    ).classes("hw-soft")


def _row(bench: Bench, one: LandedFoot) -> list[str]:
    name = f"{one.foot.bar_id} {one.foot.end}"
    if one.foot.landing is None:
        return [name, "none yet", ""]
    kind, fitted = one.foot.landing.kind.value, one.fitted
    if fitted is None:
        return [name, f"{kind}\n✗ cannot be made", ""]
    size = " x ".join(
        bench.length(value) for value in (fitted.length_mm, fitted.width_mm, fitted.landing.thickness_mm)
    )
    gaps = [face.gap.largest_mm for face in fitted.faces if face.gap is not None]
    seen = [gap for gap in gaps if math.isfinite(gap)]
    gap = f"gap {bench.length(max(seen))}" if seen else "metal not seen"
    return [name, f"{kind}\n{size}", f"{shown(fitted.area_mm2 / MM2_PER_CM2, 1)} cm²\n{gap}"]


def _one(bench: Bench, state: _State, again: Again) -> None:
    feet = () if state.report is None else state.report.feet
    found = next((one for one in feet if (one.foot.bar_id, one.foot.end) == state.foot), None)
    if found is None or state.foot is None:
        return
    bar_id, end = state.foot
    ui.label(f"Foot {bar_id} {end}").classes("hw-head")
    if found.fitted is None:
        return
    cut = found.fitted.cut
    way = "shorter" if cut.shorten_mm >= 0.0 else "longer"
    ui.label(
        f"Leg {bench.length(abs(cut.shorten_mm))} {way} than drawn, cut {shown(cut.angle_deg, 1)}° off square; "
        f"{shown(found.fitted.mass_kg, 2)} kg"
    )
    for part in found.fitted.parts:
        pages = part_preview(part, project=bench.seen.project.name, unit=bench.units)
        svg_pages(pages, f"{part.name} as cut; print it from Papers, never from this picture")

    async def out() -> None:
        await bench.edit(lambda folder: take_landing_out(folder, bar_id, end))
        await again()

    ui.button("Take this landing out", on_click=out).props("flat dense")


def _form(bench: Bench, state: _State, again: Again) -> None:
    kind = ui.select(_KINDS, value="", label="Kind").props("dense outlined")
    entries: dict[str, Entry[Any]] = {
        key: length_entry(label, hint="the usual") for key, label in _LENGTHS.items()
    }
    entries["area_mm2"] = area_entry("Area wanted in all planes", hint="none asked")
    entries["bolts"] = count_entry("Bolts", hint="0: welded")
    entries["turn_deg"] = angle_entry("Its length turned from the front of the car", hint="0")

    def typed() -> dict[str, Any] | None:
        try:
            wishes = {key: entry.maybe() for key, entry in entries.items()}
        except UserError as error:
            tell(error.findings)
            return None
        return {**wishes, "kind": LandingKind(kind.value) if kind.value else None}

    async def one() -> None:
        wishes, foot = typed(), state.foot
        if wishes is None:
            return
        if foot is None:
            ui.notify("Choose a foot in the list first.")
            return
        made = await work(
            bench,
            f"Landing of {foot[0]} {foot[1]}",
            lambda folder, progress: set_landing(folder, *foot, wishes, progress=progress),
        )
        if made is None:
            tell(bench.findings)
        else:
            tell(())
            await again()

    async def every() -> None:
        wishes = typed()
        if wishes is None:
            return
        made = await work(
            bench,
            "Landings of all feet",
            lambda folder, progress: set_every_landing(folder, wishes, progress=progress),
        )
        if made is None:
            tell(bench.findings)
        else:
            tell(())
            await again()

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Set the chosen foot", on_click=one).classes("hw-button")
        ui.button("Set every foot", on_click=every).classes("hw-button")
    tell = told_below(bench)

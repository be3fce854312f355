"""Gussets between bars, and ties to the shell."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from nicegui import ui

from hoopwright.cage import GussetKind
from hoopwright.findings import UserError
from hoopwright.jobs.gussets import ListedGusset, WantedGusset, list_gussets, put_gusset, take_gusset_out
from hoopwright.jobs.paper_previews import part_preview
from hoopwright.units import shown
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry, place_entry, text_entry
from hoopwright.web.forms import form_part
from hoopwright.web.made import Made, fill_part, make, told_below
from hoopwright.web.picks import finding_list, older, pick_table, show_place, svg_pages
from hoopwright.web.work import work

_KINDS = {kind.value: kind.value for kind in GussetKind if kind is not GussetKind.TIE}
_TIE = ""


Again = Callable[[], Awaitable[None]]


@dataclass
class _State(Made[tuple[ListedGusset, ...]]):
    """What this page last made."""

    name: str | None = None


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()

    async def look() -> None:
        await make(
            bench,
            state,
            "Making the gussets",
            lambda folder, progress: list_gussets(folder, progress=progress),
        )

    def show_one() -> None:
        found = next((it for it in state.report or () if it.gusset.name == state.name), None)
        if found is not None:
            _one(bench, found, look)

    ui.button("Look at the gussets", on_click=look).classes("hw-button")
    fill_part(bench, lambda: (id(state.report), bench.seen.version, bench.units), lambda: _list(bench, state))
    fill_part(bench, lambda: (id(state.report), bench.units, state.name), show_one, gap="gap-1")
    with ui.expansion("Add one"):
        form_part(
            bench,
            lambda: tuple(one.member_id for one in bench.seen.project.cage.members),
            lambda _: _form(bench, look),
        )


def _list(bench: Bench, state: _State) -> None:
    listed = state.report
    if listed is None:
        count = len(bench.seen.project.cage.gussets)
        words = (
            f"{count} in the cage; look to see each made to its true shape."
            if count
            else "None yet. Add one below."
        )
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, "Look at the gussets again.")

    def pick(number: int) -> None:
        gusset = listed[number].gusset
        state.name = gusset.name
        show_place(bench, gusset.place_mm, gusset.name, bar_id=gusset.bar_id, across_mm=500.0)
        bench.tell()

    if not listed:
        ui.label("None yet. Add one below.").classes("hw-soft")
        return
    pick_table(
        ["name", "what", "leg, gap"],
        [
            [
                one.gusset.name,
                f"{one.gusset.kind.value}\n{one.gusset.bar_id} to {one.gusset.other or 'shell'}",
                f"{bench.length(one.gusset.leg_mm)}\n"
                + ("✗ cannot be made" if one.made is None else f"gap {bench.length(one.made.gap_mm)}"),
            ]
            for one in listed
        ],
        pick,
        widths=(70, 0, 110),
    )
    finding_list(bench, [finding for one in listed for finding in one.findings])


def _one(bench: Bench, one: ListedGusset, again: Again) -> None:
    name = one.gusset.name
    ui.label(f"Gusset {name}").classes("hw-head")
    if one.made is not None:
        ui.label(f"{shown(one.made.angle_deg, 1)}° between the bars, {shown(one.made.mass_kg, 3)} kg")
        pages = part_preview(one.made.part, project=bench.seen.project.name, unit=bench.units)
        svg_pages(pages, f"{name} as cut; print it from Papers, never from this picture")

    async def out() -> None:
        await bench.edit(lambda folder: take_gusset_out(folder, name))
        await again()

    ui.button(f"Take {name} out", on_click=out).props("flat dense")


def _form(bench: Bench, again: Again) -> None:
    bars = [member.member_id for member in bench.seen.project.cage.members]
    if not bars:
        ui.label("No bars yet.").classes("hw-soft")
        return
    name = text_entry("Name", hint="such as G3")
    kind = ui.select(_KINDS, value=GussetKind.FLAT.value, label="Kind").props("dense outlined")
    first = ui.select(bars, value=bars[0], label="Welded to").props("dense outlined")
    second = ui.select(
        {_TIE: "the shell (a tie)", **{bar: bar for bar in bars}}, value=_TIE, label="And to"
    ).props("dense outlined")
    at = place_entry(
        bench,
        "Inside the corner, or the middle of a tie",
        what="the corner of the gusset",
        hint="the sharpest corner; of a tie where the metal is nearest",
        bars_too=True,
    )
    leg = length_entry(
        "Length along each bar", hint="2.5 diameters; of a tie 120 mm (common practice, no source)"
    )
    sheet = length_entry("Thickness of the sheet", hint="2 mm")
    for entry in (leg, sheet):
        entry.follow_units(bench)
    hole = length_entry("Its hole or dimple", hint="none")
    twin = text_entry("The same on the other side, named", hint="none")

    async def add() -> None:
        try:
            wanted = WantedGusset(
                name=name.text,
                kind=GussetKind.TIE if second.value == _TIE else GussetKind(kind.value),
                bar_id=str(first.value),
                other=None if second.value == _TIE else str(second.value),
                place_mm=at.maybe(),
                leg_mm=leg.maybe(),
                thickness_mm=2.0 if not sheet.text else sheet.value(),
                hole_mm=hole.maybe() or 0.0,
            )
        except UserError as error:
            tell(error.findings)
            return
        other_side = twin.text or None
        made = await work(
            bench,
            f"Making {wanted.name or 'the gusset'}",
            lambda folder, progress: put_gusset(folder, wanted, other_side=other_side, progress=progress),
        )
        if made is None:
            tell(bench.findings)
        else:
            tell(())
            await again()

    ui.button("Add it", on_click=add).classes("hw-button")
    tell = told_below(bench)

"""Numbers that a person measured on the cage or read from a certificate, typed in."""

from nicegui import ui

from hoopwright.jobs.hand_measures import (
    OVALITY,
    REQUIRED,
    TypedMeasure,
    hand_kinds,
    keep_measures,
    places_for,
)
from hoopwright.jobs.paper_previews import today
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.forms import clear_taken, form_part
from hoopwright.web.made import fill_part
from hoopwright.web.parts import table


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    form_part(bench, lambda: tuple(places_for(bench.seen.project.cage, "any")), lambda _: _form(bench))
    fill_part(bench, lambda: bench.seen.project.measures, lambda: _kept(bench))


def _form(bench: Bench) -> None:
    kinds = hand_kinds()
    names = {name: f"{name} ({kind.unit})" if kind.unit else name for name, kind in kinds.items()}
    names[REQUIRED] = "whether the book demands the bar"
    name = ui.select(names, value=OVALITY, label="What was measured", with_input=True).props("dense outlined")
    how = ui.label(kinds[OVALITY].what).classes("hw-understood")
    about = ui.select([], label="Where").props("dense outlined")
    bend = text_entry("Number of the bend, from 1 at end A", value="1")
    number = text_entry("Measured")

    def turn() -> None:
        kind = kinds.get(str(name.value))
        if kind is None:
            return
        how.set_text(kind.what)
        places = places_for(bench.seen.project.cage, kind.at)
        wanted = next((one for one in (about.value, bench.chosen) if one in places), None)
        about.set_options(places, value=wanted)
        bend.row.set_visibility(kind.at == "bend")
        kept.set_text("")

    name.on_value_change(turn)

    async def keep(text: str) -> None:
        kind = kinds.get(str(name.value))
        if kind is None or not about.value:
            ui.notify("Say what was measured and where.")
            return
        typed = TypedMeasure(
            name=str(name.value),
            text=text,
            bend=int(bend.text) if kind.at == "bend" and bend.text.isdecimal() else 0,
        )
        place = str(about.value)
        if await bench.edit(lambda folder: keep_measures(folder, place, [typed], date=today())):
            at = f"{place}, bend {typed.bend}" if typed.bend else place
            done = f"kept: {typed.name} of {at}, {text}" if text else f"taken back: {typed.name} of {at}"
            kept.set_text(f"✓ {done}. Hold the cage to the book again.")
            clear_taken({number: text})

    async def keep_typed() -> None:
        if number.text:
            await keep(number.text)
        else:
            ui.notify("Type the number first.")

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Keep this number", on_click=keep_typed).classes("hw-button")
        ui.button("Take the last one back", on_click=lambda: keep("")).props("flat dense")
    kept = ui.label().classes("hw-hold").props('role="status"')
    turn()
    ui.label("Numbers are added, never changed; the last one counts.").classes("hw-soft")


def _kept(bench: Bench) -> None:
    kept = bench.seen.project.measures_in_force
    if not kept:
        ui.label(
            "Nothing typed yet. A book asks for some values that no model has, such as the ovality of a bend."
        ).classes("hw-soft")
        return
    kinds = hand_kinds()
    rows = []
    for one in kept:
        unit = kinds[one.name].unit if one.name in kinds else ""
        value = "" if one.measured is None else f"{one.measured:g}"
        value += "" if one.other is None else f" / {one.other:g}"
        rows.append(
            [f"{one.about}{f', bend {one.bend}' if one.bend else ''}", one.name, f"{value} {unit}", one.date]
        )
    table(["where", "what", "measured", "day"], rows)

"""Numbers that a person measured on the cage or read from a certificate, typed in."""

from nicegui import ui

from hoopwright.jobs.hand_measures import OVALITY, TypedMeasure, hand_kinds, keep_measures, places_for
from hoopwright.jobs.paper_previews import today
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.made import fill_part
from hoopwright.web.parts import table


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    fill_part(
        bench, lambda: tuple(places_for(bench.seen.project.cage, "any")), lambda: _form(bench), gap="gap-1"
    )
    fill_part(bench, lambda: bench.seen.project.measures, lambda: _kept(bench))


def _form(bench: Bench) -> None:
    kinds = hand_kinds()
    names = {name: f"{name} ({kind.unit})" if kind.unit else name for name, kind in kinds.items()}
    name = ui.select(names, value=OVALITY, label="What was measured", with_input=True).props("dense outlined")
    how = ui.label(kinds[OVALITY].what).classes("hw-understood")
    about = ui.select(places_for(bench.seen.project.cage, kinds[OVALITY].at), label="Where").props(
        "dense outlined"
    )
    bend = text_entry("Number of the bend, from 1 at end A", value="1")
    number = text_entry("Measured", hint="two widths with a stroke between them for an ovality: 40.9/46.2")

    def turn() -> None:
        kind = kinds.get(str(name.value))
        if kind is None:
            return
        how.set_text(kind.what)
        places = places_for(bench.seen.project.cage, kind.at)
        about.set_options(places, value=bench.chosen if bench.chosen in places else None)
        bend.row.set_visibility(kind.at == "bend")

    name.on_value_change(turn)
    turn()

    async def keep() -> None:
        kind = kinds.get(str(name.value))
        if kind is None or not about.value or not number.text:
            ui.notify("Say what was measured, where, and the number.")
            return
        typed = TypedMeasure(
            name=str(name.value),
            text=number.text,
            bend=int(bend.text) if kind.at == "bend" and bend.text.isdecimal() else 0,
        )
        if await bench.edit(lambda folder: keep_measures(folder, str(about.value), [typed], date=today())):
            number.put("")

    ui.button("Keep this number", on_click=keep).classes("hw-button")
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

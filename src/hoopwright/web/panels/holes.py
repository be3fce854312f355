"""Holes that are cut in the shell so that bars pass."""

from nicegui import background_tasks, run, ui

from hoopwright.findings import UserError
from hoopwright.jobs.holes import ListedHole, cut_hole, list_holes, take_hole_out
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry
from hoopwright.web.picking import Picked
from hoopwright.web.picks import finding_list
from hoopwright.web.work import work


def holes_section(bench: Bench) -> None:
    """Build the section."""
    box = ui.column().classes("w-full gap-1")
    ui.label(
        "Where a bar must pass through metal, such as a bulkhead: choose the bar, and pick the place, on the metal or "
        "on the bar."
    ).classes("hw-soft")
    wide = length_entry("Diameter", hint="empty: the tube and 5 mm all round (common practice, no source)")
    wide.follow_units(bench)
    told = ui.column().classes("w-full gap-1")
    shown: list[object] = [None]

    async def cut(picked: Picked, bar_id: str) -> None:
        told.clear()
        try:
            diameter = wide.maybe()
        except UserError as error:
            with told:
                finding_list(bench, error.findings)
            return
        if picked.bar_id not in (None, bar_id):
            ui.notify(
                f"That is {picked.bar_id}: choose it first if it passes there, or pick {bar_id} or the metal."
            )
            return
        made = await work(
            bench,
            f"Cutting a hole for {bar_id}",
            lambda folder, progress: cut_hole(
                folder, bar_id, picked.place_mm, diameter_mm=diameter, progress=progress
            ),
        )
        with told:
            finding_list(bench, bench.findings if made is None else made[1])

    def pick() -> None:
        bar_id = bench.chosen
        if bar_id is None:
            ui.notify("Choose the bar that passes first.")
            return
        # another bar may be chosen before the place is picked: the hole is for the one that was asked about
        bench.picking.ask(
            f"where {bar_id} passes through the metal", lambda picked: cut(picked, bar_id), bars_too=True
        )

    ui.button("Pick where it passes", on_click=pick).classes("hw-button")

    def follow() -> None:
        key = (bench.seen.project.cage.holes, bench.seen.shell_key, bench.units)
        if bench.tab == "Cage" and key != shown[0]:
            shown[0] = key
            background_tasks.create(look(key))

    async def look(key: object) -> None:
        listed: tuple[ListedHole, ...] | None = ()
        if bench.seen.project.cage.holes:
            try:
                listed = await run.io_bound(lambda: list_holes(bench.desk.folder))
            except UserError as error:
                bench.say(error.findings)
                return
        if listed is None or key != shown[0]:
            return
        box.clear()
        with box:
            if not listed:
                ui.label("No holes.").classes("hw-soft")
            for one in listed:
                _row(bench, one)

    bench.when_changed(follow)
    ui.timer(0.1, follow, once=True)


def _row(bench: Bench, one: ListedHole) -> None:
    bar_id, number = one.hole.hole.bar_id, one.hole.number
    cuts = "no scan" if one.skins is None else "; ".join(skin.regions[0] for skin in one.skins) or "nothing"
    mirrored = any(m.member_id == bar_id and m.mirror_of for m in bench.seen.project.cage.members)
    with ui.row().classes("hw-row"):
        ui.label(f"{bar_id} {number}: {bench.length(one.hole.hole.diameter_mm)} wide, cuts {cuts}").classes(
            "grow"
        )
        ui.button("Look", on_click=lambda: bench.view.look_at(one.hole.hole.place_mm)).props(
            f'flat dense no-caps aria-label="Look at hole {number} of {bar_id}"'
        )
        if not mirrored:
            ui.button(
                "Take out",
                on_click=lambda: bench.edit(lambda folder: take_hole_out(folder, bar_id, number)),
            ).props(f'flat dense no-caps aria-label="Take out hole {number} of {bar_id}"')

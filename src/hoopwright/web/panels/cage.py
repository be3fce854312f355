"""The cage as a whole: landmarks, laying out, bars added and taken out, limits, and what was changed."""

from nicegui import ui

from hoopwright.cage import Limits
from hoopwright.findings import UserError
from hoopwright.jobs.projects import change_limits
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry
from hoopwright.web.forms import Form, edit_typed, form_part
from hoopwright.web.panels.changes import changes_section
from hoopwright.web.panels.chosen_bar import chosen_bar_section
from hoopwright.web.panels.holes import holes_section
from hoopwright.web.panels.landmarks import landmarks_section
from hoopwright.web.panels.laying_out import laying_out_section
from hoopwright.web.panels.new_bar import new_bar_section


def build(bench: Bench) -> None:
    """Fill the tab."""
    hint = ui.label().classes("hw-hold")
    started = bool(bench.seen.project.cage.members)
    folds: dict[str, ui.expansion] = {}
    with ui.column().classes("w-full gap-0"):
        for title, fill, is_open in (
            ("The chosen bar", chosen_bar_section, started),
            ("Landmarks", landmarks_section, not started),
            ("Lay a whole cage out", laying_out_section, not started),
            ("Add a bar", new_bar_section, False),
            ("Holes that bars pass through", holes_section, False),
            ("Gap and clamp", _limits, False),
            ("What was changed", changes_section, False),
        ):
            folds[title] = ui.expansion(title, value=is_open).classes("w-full hw-fold")
            with folds[title]:
                fill(bench)

    def show() -> None:
        nonlocal started
        there = bool(bench.seen.project.cage.members)
        folds["The chosen bar"].set_visibility(there)
        if there and not started:
            folds["Landmarks"].set_value(False)
            folds["The chosen bar"].set_value(True)
        started = there
        project = bench.seen.project
        words = ""
        if project.scan is None:
            words = "Take the scan in first, under Scan: a cage is laid out in it. A bar can be added below without it."
        elif not project.cage.members:
            words = "Next: find the landmarks and lay a whole cage out; or add one bar by its nodes, further below."
        hint.set_text(words)
        hint.set_visibility(bool(words))

    bench.when_changed(show)
    show()


def _limits(bench: Bench) -> None:
    form_part(bench, lambda: bench.seen.project.cage.limits, lambda form: _limits_form(bench, form))


def _limits_form(bench: Bench, form: Form) -> None:
    limits = bench.seen.project.cage.limits
    gap = length_entry("Gap that bars keep to the shell", value=f"{limits.gap_mm:g} mm")
    clamp = length_entry("Straight that the bender's clamp needs", value=f"{limits.clamp_mm:g} mm")

    async def keep() -> None:
        try:
            wanted = Limits(gap_mm=gap.value(), clamp_mm=clamp.value())
        except UserError as error:
            bench.say(error.findings)
            return

        def change(folder: ProjectFolder) -> bool:
            change_limits(folder, wanted)
            return True

        if await edit_typed(bench, form, change):
            ui.notify("Kept. Bars stay where they are; look at their gaps.")

    ui.button("Keep these", on_click=keep).classes("hw-button")

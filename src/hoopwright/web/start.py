"""The page of a folder that holds no project yet: start one."""

from nicegui import run, ui

from hoopwright.cage import Limits
from hoopwright.findings import UserError
from hoopwright.jobs.projects import start_project
from hoopwright.web.desk import Desk
from hoopwright.web.entries import length_entry, text_entry
from hoopwright.web.parts import findings_list


def start_page(desk: Desk) -> None:
    """Offer to start a project in the desk's folder."""
    path = desk.folder.path.resolve()
    with ui.column().classes("hw-start"):
        ui.label("Start a cage").classes("hw-name")
        ui.label(f"There is no project in {path} yet. What lies in that folder stays as it is.").classes(
            "hw-soft"
        )
        name = text_entry("Name", value=path.name, hint="stands on every sheet")
        gap = length_entry("Gap that bars keep to the shell", value="10 mm")
        clamp = length_entry("Straight that your bender's clamp needs", value="60 mm")
        told = ui.column().classes("w-full")

        async def start() -> None:
            told.clear()
            try:
                limits = Limits(gap_mm=gap.value(), clamp_mm=clamp.value())
                await run.io_bound(lambda: start_project(desk.folder, name.text or path.name, limits))
            except UserError as error:
                with told:
                    findings_list(error.findings)
                return
            ui.navigate.reload()

        ui.button("Start the project", on_click=start).classes("hw-button")
        ui.label("This tool draws and computes; the scrutineer decides, by the current rule book.").classes(
            "hw-soft"
        )

"""One reading of a stick, put right or taken back, and a stick that is scrapped."""

from collections.abc import Awaitable, Callable

from nicegui import ui

from hoopwright.bender.rescue.records import Reading
from hoopwright.findings import UserError
from hoopwright.jobs.bend_answers import Bending
from hoopwright.jobs.bending import correct_reading, decide, take_back
from hoopwright.jobs.bent_sticks import BentStick, StickReading
from hoopwright.jobs.sticks import BendWishes
from hoopwright.progress import Progress
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.number_entries import angle_entry
from hoopwright.web.parts import bring_into_view

SIGNS = {"counts": "● counts", "read again": "○ read again", "taken back": "– taken back"}
"""State of a reading as it is shown."""
Act = Callable[[ProjectFolder, BendWishes, str, Progress], Bending]
"""What is sent: to the folder, with what was shown and a key of its own."""
Sent = Callable[[str, Act, str], Awaitable[None]]
"""Sends it: what is done, the act, and the words when it is kept."""


def one_reading(bench: Bench, bar: str, one: StickReading, sent: Sent) -> None:
    """One reading, put right or taken back."""
    head = ui.label(f"Bend {one.bend} of {bar}: {SIGNS[one.state]}").classes("hw-head")
    bring_into_view(head, "nearest")
    if one.reading.device:
        ui.label(f"Read on {one.reading.device}").classes("hw-soft")
    if one.reason:
        ui.label(one.reason).classes("hw-soft")
    if not one.may_be_corrected:
        ui.label("It does not count, or its stick is not the last: it stays as it is on record.").classes(
            "hw-soft"
        )
        return
    read_deg = one.reading.released_deg
    reads = angle_entry("Really reads after release", value=f"{read_deg:g}")
    load = angle_entry(
        "Really read under load",
        value="" if one.reading.command_deg is None else f"{one.reading.command_deg:g}",
        hint="as asked where empty" if one.reading.command_deg is None else "",
    )
    why = text_entry("Why", hint="needed where the numbers do not go together")

    async def correct() -> None:
        try:
            released_deg, load_deg = reads.value(), load.maybe()
        except UserError as error:
            bench.say(error.findings)
            return

        def act(folder: ProjectFolder, wishes: BendWishes, key: str, progress: Progress) -> Bending:
            mended = Reading(
                step=0,
                released_deg=released_deg,
                command_deg=load_deg,
                reason=why.text,
                device=bench.asker.device,
                at=wishes.at,
                key=key,
            )
            return correct_reading(folder, bar, one.record, mended, wishes, progress=progress)

        await sent(
            "Putting a reading right",
            act,
            f"Bend {one.bend} of {bar} reads {released_deg:g}°, not {read_deg:g}°.",
        )

    async def back() -> None:
        def act(folder: ProjectFolder, wishes: BendWishes, key: str, progress: Progress) -> Bending:
            return take_back(
                folder, bar, one.record, reason=why.text, key=key, wishes=wishes, progress=progress
            )

        await sent("Taking a reading back", act, f"{read_deg:g}° of bend {one.bend} of {bar} is taken back.")

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Put it right", on_click=correct).classes("hw-button")
        if one.may_be_taken_back:
            ui.button("Take it back", on_click=back).props(
                f'flat dense aria-label="Take it back: the reading of bend {one.bend}"'
            )
    if not one.may_be_taken_back:
        ui.label("Only the last reading can be taken back, while nothing was decided on it.").classes(
            "hw-soft"
        )


def drop(bar: str, stick: BentStick, sent: Sent) -> None:
    """The button that scraps a stick, after a question."""

    def act(folder: ProjectFolder, wishes: BendWishes, key: str, progress: Progress) -> Bending:
        return decide(folder, bar, go_on=False, key=key, wishes=wishes, progress=progress)

    async def scrap() -> None:
        with (
            ui.dialog().props(f'aria-label="Scrap the stick of {bar}"') as asked,
            ui.card().classes("hw-dialog"),
        ):
            ui.label(
                f"Scrap stick {stick.number} of {bar}? What was read on it stays on record, and in the log of the "
                "shop. The next stick begins anew."
            )
            with ui.row():
                ui.button("Yes, it is scrap", on_click=lambda: asked.submit(True)).classes("hw-button")
                ui.button("No", on_click=lambda: asked.submit(False)).props("flat dense")
        if await asked:
            await sent("Scrapping a stick", act, f"Stick {stick.number} of {bar} is scrapped.")

    ui.button("Scrap this stick", on_click=scrap).props("flat dense")

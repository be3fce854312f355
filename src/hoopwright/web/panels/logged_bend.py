"""One bend of the shop's log: what is known of it, put right or taken back."""

from collections.abc import Awaitable, Callable, Sequence
from typing import Any

from nicegui import ui

from hoopwright.bender import LoggedBend
from hoopwright.findings import Finding, UserError
from hoopwright.jobs.log_rows import LogRow
from hoopwright.jobs.logs import correct_bend, withdraw_bend
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, text_entry
from hoopwright.web.made import told_below
from hoopwright.web.number_entries import angle_entry
from hoopwright.web.parts import bring_into_view
from hoopwright.web.work import work

SIGNS = {"counts": "● counts", "corrected since": "○ put right since", "taken back": "– taken back"}
"""State of a bend of the log as it is shown."""


def one_bend(
    bench: Bench,
    row: LogRow,
    kept: Callable[[str, Sequence[Finding]], None],
    look: Callable[[], Awaitable[None]],
) -> None:
    """Build it.

    Args:
        bench: The page.
        row: The bend.
        kept: Told the words and the findings of what was kept.
        look: Reads the log again.
    """
    bend = row.bend
    head = ui.label(f"{_name(bend)}: {SIGNS[row.state]}").classes("hw-head")
    bring_into_view(head, "nearest")
    for words in _about(row):
        ui.label(words).classes("hw-soft")
    if row.state != "counts":
        return
    entries: dict[str, Entry[Any]] = {
        "released_deg": angle_entry("Read after release", value=f"{bend.released_deg:g}"),
        "command_deg": angle_entry("Read under load", value=f"{bend.command_deg:g}"),
        "wanted_deg": angle_entry("Wanted of the finished bend", value=f"{bend.wanted_deg:g}"),
        "rotation_deg": angle_entry(
            "Rotation read before the bend",
            value="" if bend.rotation_deg is None else f"{bend.rotation_deg:g}",
        ),
        "batch": text_entry("Batch that was bent", value=bend.batch),
        "die": text_entry("Die that it was bent on", value=bend.die),
        "note": text_entry("Note on this bend", value=bend.note),
    }
    told = told_below(bench)

    async def sent(title: str, act: Callable[[], tuple[Finding, ...]], words: str) -> None:
        found = await work(bench, title, lambda *_: act(), edits=False)
        told(bench.findings if found is None else ())
        if found is not None:
            kept(f"✓ {words}", found)
        await look()

    async def correct() -> None:
        try:
            changes = {
                name: entry.value()
                for name, entry in entries.items()
                if entry.text and entry.text != entry.first
            }
        except UserError as error:
            told(error.findings)
            return
        if not changes:
            ui.notify("Nothing of it was typed otherwise.")
            return
        await sent(
            "Putting a bend right",
            lambda: correct_bend(None, bend.key, changes).findings,
            f"{_name(bend)} is put right. The old reading stays in the log.",
        )

    async def back() -> None:
        note = entries["note"].text
        await sent(
            "Taking a reading back",
            lambda: withdraw_bend(None, bend.key, note).findings,
            f"{_name(bend)} is taken back: it stays in the log, and is used no more.",
        )

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Keep it as it is now", on_click=correct).classes("hw-button").props(
            f'aria-label="Keep the correction of {_name(bend)}"'
        )
        ui.button("Take this reading back", on_click=back).props("flat dense")


def _name(bend: LoggedBend) -> str:
    return f"Bend {bend.bend_number} of {bend.bar}" if bend.bar else f"Trial bend {bend.key}"


def _about(row: LogRow) -> list[str]:
    bend = row.bend
    project = f", project {bend.project}" if bend.project else ""
    device = f", read on {bend.device}" if bend.device else ""
    lines = [
        f"{bend.time.astimezone():%Y-%m-%d %H:%M}, bender {bend.bender}, die {bend.die}, batch {bend.batch}, fed from "
        f"{bend.fed_from}{project}{device}; key {bend.key}"
    ]
    if bend.note:
        lines.append(bend.note)
    later = row.later
    if later is not None:
        how = "put right" if later.counts else "taken back"
        note = f": {later.note}" if later.note and later.note != bend.note else ""
        lines.append(f"{how[:1].upper()}{how[1:]} by {later.key}{note}")
    return lines

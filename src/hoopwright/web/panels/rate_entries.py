"""The usual rates as fields, over the file that is edited as a text."""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field

from nicegui import run, ui

from hoopwright.findings import Finding, UserError
from hoopwright.jobs.rate_fields import RateFields, keep_rate_fields, rate_fields
from hoopwright.stock.rate_edits import Place
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, text_entry
from hoopwright.web.forms import form_part
from hoopwright.web.made import told_below
from hoopwright.web.reading import read


@dataclass
class _State:
    """What was read last, and the fields that it stands in."""

    known: RateFields | None = None
    entries: dict[Place, Entry[str]] = field(default_factory=dict)


def rate_entries(bench: Bench, kept: Callable[[], Awaitable[None]]) -> Callable[[], Awaitable[None]]:
    """Draw them, closed; gives what reads them again where they are open.

    Args:
        bench: The page.
        kept: Called when they were kept.
    """
    state, one_keeping = _State(), asyncio.Lock()

    async def look() -> None:
        if whole.value:
            state.known = await read(bench, rate_fields)
            bench.tell()

    async def keep() -> None:
        # pressed twice in haste, the second would find the first to be another's change
        async with one_keeping:
            was, sent = state.known, form.typed()
            if was is None:
                return
            typed = {place: entry.text for place, entry in state.entries.items()}
            findings: tuple[Finding, ...] = ()
            try:
                await run.io_bound(lambda: keep_rate_fields(bench.desk.folder, was, typed))
            except UserError as error:
                findings = error.findings
            told(findings)
            if findings:
                return
            ui.notify(f"Kept in {was.file.file.name}")
            await look()
            form.take(sent)
        await kept()

    with ui.expansion("Your usual rates", value=False, on_value_change=look) as whole:
        ui.label(
            "What is left empty is not priced. They stand in the file that 'Type your rates' shows as a text, with all "
            "else that can be typed there."
        ).classes("hw-soft")
        # what is typed while it is kept stands in the fields that are drawn anew then
        form = form_part(bench, lambda: id(state.known), lambda _: _fields(state), gap="gap-2")
        ui.button("Keep these rates", on_click=keep).classes("hw-button")
        told = told_below(bench)
    return look


def _fields(state: _State) -> None:
    state.entries.clear()
    for one in state.known.fields if state.known is not None else ():
        state.entries[one.place] = text_entry(one.label, value=one.value)

"""A bend that was made without its screen, such as a trial, written into the shop's log by hand."""

import datetime as dt
from collections.abc import Awaitable, Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from nicegui import ui

from hoopwright.bender import ShopDie, TubeBatch
from hoopwright.findings import Finding, UserError
from hoopwright.jobs.logs import log_bend, new_key
from hoopwright.jobs.shop_tools import ShopTools
from hoopwright.jobs.typed import moment
from hoopwright.web.bench import Bench
from hoopwright.web.choice_entries import Choice
from hoopwright.web.entries import Entry, text_entry
from hoopwright.web.forms import clear_taken, form_part
from hoopwright.web.made import told_below
from hoopwright.web.number_entries import angle_entry, count_entry
from hoopwright.web.work import work

_ENDS = MappingProxyType({"A": "end A", "B": "end B"})
_OF_ONE_BEND = ("wanted_deg", "command_deg", "released_deg", "rotation_deg", "bend_number", "time", "note")


def bend_by_hand(
    bench: Bench,
    tools: Callable[[], ShopTools | None],
    written: Callable[[str, Sequence[Finding]], Awaitable[None]],
) -> None:
    """Fill the form.

    Args:
        bench: The page.
        tools: The dies and batches of the shop, as they were last read.
        written: Told the words and the findings of what was kept.
    """

    def fill() -> None:
        dies, batches = _in_use(tools())
        if not dies:
            ui.label("The shop has no die yet: add it under Benders in the shop.").classes("hw-soft")
        elif not batches:
            ui.label("The shop has no tube yet: put it in under Tube that came, in the Sticks tab.").classes(
                "hw-soft"
            )
        else:
            _form(bench, dies, batches, written)

    form_part(bench, lambda: _in_use(tools()), lambda _: fill())


def _in_use(tools: ShopTools | None) -> tuple[tuple[ShopDie, ...], tuple[TubeBatch, ...]]:
    if tools is None:
        return (), ()
    return (
        tuple(one for one in tools.dies if not one.retired),
        tuple(one for one in tools.batches if not one.retired),
    )


def _form(
    bench: Bench,
    dies: Sequence[ShopDie],
    batches: Sequence[TubeBatch],
    written: Callable[[str, Sequence[Finding]], Awaitable[None]],
) -> None:
    ui.label("What the gauge read and what was left of it. Leave the bar empty for a trial.").classes(
        "hw-soft"
    )
    die_words = {one.name: f"{one.name}, on {one.bender}" for one in dies}
    batch_words = {one.name: f"{one.name}, {one.tube} mm" for one in batches}
    entries: Mapping[str, Entry[Any] | Choice] = {
        "die": Choice("Die of this bend", die_words, value=_only(die_words)),
        "batch": Choice("Batch of this bend", batch_words, value=_only(batch_words)),
        "wanted_deg": angle_entry("Wanted of this bend"),
        "command_deg": angle_entry("The gauge read under load"),
        "released_deg": angle_entry("Left after release"),
        "bar": text_entry("Bar of this bend", hint="of this project; empty for a trial"),
        "bend_number": count_entry("Which bend of the bar", hint="from 1 at end A; 1 where empty"),
        "fed_from": Choice("Went through the die first", _ENDS, value="A"),
        "rotation_deg": angle_entry("Rotation before this bend", hint="where it was read"),
        "time": Entry("When it was bent", moment, _when, hint="such as 2026-03-14T09:30; now where empty"),
        "note": text_entry("Note on what was bent"),
    }
    # pressed twice it is one bend: what is sent again under its key, with its time, is kept once
    going: dict[str, Any] = {}
    told = told_below(bench)

    async def write() -> None:
        needed = ("die", "batch", "wanted_deg", "command_deg", "released_deg")
        try:
            values = {name: entry.value() for name, entry in entries.items() if entry.text or name in needed}
        except UserError as error:
            told(error.findings)
            return
        project = bench.seen.project.name if values.get("bar") else None
        if not going:
            going.update(key=new_key(), time=dt.datetime.now(dt.UTC))
        bend = {**going, **values, "project": project, "device": bench.asker.device}
        sent = {entries[name]: entries[name].text for name in _OF_ONE_BEND}
        stored = await work(bench, "Writing a bend in", lambda *_: log_bend(None, bend), edits=False)
        going.clear()
        told(bench.findings if stored is None else ())
        if stored is None:
            return
        clear_taken(sent)
        kept = stored.record
        of = f"bend {kept.bend_number} of {kept.bar}" if kept.bar else "a trial bend"
        await written(
            f"✓ Written in: {of}, {kept.command_deg:g}° under load, {kept.released_deg:g}° after release.",
            stored.findings,
        )

    ui.button("Write the bend in", on_click=write).classes("hw-button")


def _only(words: Mapping[str, str]) -> str:
    return next(iter(words)) if len(words) == 1 else ""


def _when(time: dt.datetime) -> str:
    return f"{time:%Y-%m-%d %H:%M}"

"""The log of the shop: every bend that was made, put right or taken back, and the bends of a bar put into it."""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import Any

from nicegui import ui

from hoopwright.bender import LoggedBend
from hoopwright.findings import Finding, UserError
from hoopwright.jobs.bending import log_bar
from hoopwright.jobs.log_rows import LogRow, log_rows
from hoopwright.jobs.logs import LogFilter, correct_bend, withdraw_bend
from hoopwright.jobs.paper_previews import now
from hoopwright.jobs.shop_bends import LoggedStick
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, text_entry
from hoopwright.web.made import fill_part, told_below, when_unfolded
from hoopwright.web.number_entries import angle_entry
from hoopwright.web.parts import bring_into_view
from hoopwright.web.picks import finding_list, pick_table
from hoopwright.web.reading import read
from hoopwright.web.work import work

_MOST = 60
_HERE, _BAR, _EVERY = "project", "bar", "every"
_SIGNS = {"counts": "● counts", "corrected since": "○ put right since", "taken back": "– taken back"}


@dataclass
class _State:
    """What is open of the log.

    Args:
        rows: As they were last read, the last bend first.
        whose: Bends of this project, of the chosen bar, or every one.
        every: Whether those that were put right or taken back are shown, too.
        key: Key of the bend that is open; empty for none.
        drawn: Grows whenever the form is to be filled anew.
        told: What was kept last.
        found: What was found by it.
    """

    rows: tuple[LogRow, ...] | None = None
    whose: str = _HERE
    every: bool = False
    key: str = ""
    drawn: int = 0
    told: str = ""
    found: tuple[Finding, ...] = ()

    def kept(self, told: str, found: Sequence[Finding]) -> None:
        """Something was kept: the form is done with."""
        self.key, self.told, self.found = "", told, tuple(found)
        self.drawn += 1


def build(bench: Bench) -> None:
    """Fill the card."""
    state = _State()

    async def look() -> None:
        wanted = _wanted(bench, state)
        found = await read(bench, lambda _: log_rows(wanted))
        if found is not None:
            state.rows = found
            bench.tell()

    def ask(*_: Any) -> None:
        state.whose, state.every = str(whose.value), bool(every.value)
        bench.tell()

    with ui.expansion("The log of the shop") as fold:
        words = {_HERE: "this project", _BAR: "the chosen bar", _EVERY: "every bend of the shop"}
        whose = ui.select(words, value=_HERE, label="Bends of").props("dense outlined").classes("w-full")
        every = ui.checkbox("those put right or taken back, too").props("dense")
        for one in (whose, every):
            one.on_value_change(ask)
        fill_part(bench, lambda: (id(state.rows), bench.units), lambda: _rows(bench, state))
        fill_part(bench, lambda: (state.key, state.drawn), lambda: _form(bench, state, look), gap="gap-1")
        fill_part(
            bench, lambda: (bench.chosen, state.drawn), lambda: _into_it(bench, state, look), gap="gap-1"
        )
    when_unfolded(
        bench,
        "Bender",
        fold,
        lambda: (state.whose, state.every, bench.chosen if state.whose == _BAR else None, bench.seen.version),
        look,
    )


def _wanted(bench: Bench, state: _State) -> LogFilter:
    project = None if state.whose == _EVERY else bench.seen.project.name
    # without a bar chosen there is none of that name
    bar = (bench.chosen or "") if state.whose == _BAR else None
    return LogFilter(project=project, bar=bar, every=state.every)


def _rows(bench: Bench, state: _State) -> None:
    rows = state.rows
    if rows is None:
        ui.label("Not read yet.").classes("hw-soft")
        return
    if not rows:
        ui.label(
            "No such bend in the log yet. A bar that is bent by its screen comes into it by itself, where the shop "
            "knows its die and its batch."
        ).classes("hw-soft")
        return

    def choose(number: int) -> None:
        state.kept("", ())
        state.key = rows[number].bend.key
        bench.tell()

    shown = rows[:_MOST]
    pick_table(
        ["bend", "wanted", "load", "reads", "when"],
        [_row(one) for one in shown],
        choose,
        widths=(72, 72, 66, 66),
        classes=["" if one.state == "counts" else "open" for one in shown],
    )
    if len(rows) > len(shown):
        ui.label(f"The last {len(shown)} of {len(rows)} bends.").classes("hw-soft")


def _row(row: LogRow) -> list[str]:
    bend = row.bend
    state = "" if row.state == "counts" else f"\n{_SIGNS[row.state]}"
    return [
        f"{bend.bar}, {bend.bend_number}" if bend.bar else "trial",
        f"{bend.wanted_deg:.2f}°",
        f"{bend.command_deg:.2f}°",
        f"{bend.released_deg:.2f}°",
        f"{bend.time.astimezone():%m-%d %H:%M}{state}",
    ]


def _form(bench: Bench, state: _State, look: Callable[[], Awaitable[None]]) -> None:
    if state.told:
        ui.label(state.told).classes("hw-hold").props('role="status"')
    finding_list(bench, state.found)
    row = next((one for one in state.rows or () if one.bend.key == state.key), None)
    if row is None:
        return
    bend = row.bend
    head = ui.label(f"{_name(bend)}: {_SIGNS[row.state]}").classes("hw-head")
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
            state.kept(f"✓ {words}", found)
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
    lines = [
        f"{bend.time.astimezone():%Y-%m-%d %H:%M}, bender {bend.bender}, die {bend.die}, batch {bend.batch}, fed from "
        f"{bend.fed_from}{project}; key {bend.key}"
    ]
    if bend.note:
        lines.append(bend.note)
    later = row.later
    if later is not None:
        how = "put right" if later.counts else "taken back"
        note = f": {later.note}" if later.note and later.note != bend.note else ""
        lines.append(f"{how[:1].upper()}{how[1:]} by {later.key}{note}")
    return lines


def _into_it(bench: Bench, state: _State, look: Callable[[], Awaitable[None]]) -> None:
    """The bends of the chosen bar, where they did not come into the log by themselves."""
    bar = bench.chosen
    if bar is None:
        return
    ui.label(f"Bends of {bar} that are not in it").classes("hw-head")
    batch = text_entry("Batch of the bent stick", hint="that of the calibration where empty")
    told = told_below(bench)

    async def log() -> None:
        named = batch.text
        made = await work(
            bench,
            f"Logging the bends of {bar}",
            lambda folder, _: log_bar(folder, bar, batch=named, at=now()),
            edits=False,
        )
        told(bench.findings if made is None else ())
        if made is not None:
            state.kept(f"✓ {_logged(made)}", made.findings)
            await look()

    ui.button("Put them into the log", on_click=log).classes("hw-button").props(
        f'aria-label="Put the bends of {bar} into the log"'
    )


def _logged(made: LoggedStick) -> str:
    corrected = f", {made.corrected} put right" if made.corrected else ""
    return (
        f"{made.bar_id}, stick {made.stick}: {made.added} logged, {made.known} were logged before{corrected}."
    )

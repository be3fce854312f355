"""The log of the shop: every bend that was made, put right or taken back, and the bends of a bar put into it."""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import Any

from nicegui import ui

from hoopwright.findings import Finding
from hoopwright.jobs.bending import log_bar
from hoopwright.jobs.log_rows import LogRow, log_rows
from hoopwright.jobs.logs import LogFilter
from hoopwright.jobs.paper_previews import now
from hoopwright.jobs.shop_bends import LoggedStick
from hoopwright.jobs.shop_tools import ShopTools, tools_in_shop
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.made import fill_part, told_below, when_unfolded
from hoopwright.web.panels.bend_by_hand import bend_by_hand
from hoopwright.web.panels.logged_bend import SIGNS, one_bend
from hoopwright.web.parts import kept_words
from hoopwright.web.picks import finding_list, pick_table
from hoopwright.web.reading import read
from hoopwright.web.work import work

_MOST = 60
_HERE, _BAR, _EVERY = "project", "bar", "every"


@dataclass
class _State:
    """What is open of the log.

    Args:
        rows: As they were last read, the last bend first.
        tools: The dies and batches that a bend can be of.
        whose: Bends of this project, of the chosen bar, or every one.
        every: Whether those that were put right or taken back are shown, too.
        key: Key of the bend that is open; empty for none.
        drawn: Grows whenever the form is to be filled anew.
        told: What was kept last.
        found: What was found by it.
    """

    rows: tuple[LogRow, ...] | None = None
    tools: ShopTools | None = None
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


def build(bench: Bench) -> Callable[[], Awaitable[None]]:
    """Fill the card.

    Returns:
        What reads the log again while the card is unfolded, for when something of the shop was kept.
    """
    state = _State()

    async def look() -> None:
        wanted = _wanted(bench, state)
        found = await read(bench, lambda _: (log_rows(wanted), tools_in_shop()))
        if found is not None:
            state.rows, state.tools = found
            bench.tell()

    async def written(told: str, found: Sequence[Finding]) -> None:
        state.kept(told, found)
        await look()

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
        with ui.expansion("Write a bend in by hand").classes("hw-fold"):
            bend_by_hand(bench, lambda: state.tools, written)
    when_unfolded(
        bench,
        "Bender",
        fold,
        lambda: (state.whose, state.every, bench.chosen if state.whose == _BAR else None, bench.seen.version),
        look,
    )

    async def again() -> None:
        if fold.value:
            await look()

    return again


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
    device = f"\non {bend.device}" if bend.device else ""
    state = "" if row.state == "counts" else f"\n{SIGNS[row.state]}"
    return [
        f"{bend.bar}, {bend.bend_number}" if bend.bar else "trial",
        f"{bend.wanted_deg:.2f}°",
        f"{bend.command_deg:.2f}°",
        f"{bend.released_deg:.2f}°",
        f"{bend.time.astimezone():%m-%d %H:%M}{device}{state}",
    ]


def _form(bench: Bench, state: _State, look: Callable[[], Awaitable[None]]) -> None:
    kept_words(state.told)
    finding_list(bench, state.found)
    row = next((one for one in state.rows or () if one.bend.key == state.key), None)
    if row is not None:
        one_bend(bench, row, state.kept, look)


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

"""Sticks bent, and their readings: what was read at the bender, put right, taken back, and a stick dropped."""

import datetime as dt
import secrets
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from nicegui import run, ui

from hoopwright.findings import Finding
from hoopwright.jobs.bend_screens import stamp_of
from hoopwright.jobs.bent_sticks import BentStick, StickReading, bent_sticks
from hoopwright.jobs.paper_previews import now
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.made import fill_part, told_below, when_unfolded
from hoopwright.web.panels.bent_reading import SIGNS, Act, drop, one_reading
from hoopwright.web.parts import bring_into_view, kept_words
from hoopwright.web.picks import finding_list, pick_table
from hoopwright.web.reading import read
from hoopwright.web.work import work

_LOOK_S = 2.0
"""How often it is looked whether a phone has read more, while a stick is open."""


@dataclass
class _State:
    """What is open.

    Args:
        sticks: As they were last read.
        stamp: Of the records of the bar whose stick is open.
        stick: Key of the stick that is open; empty for none.
        record: Number of the reading that is open; 0 for none.
        drawn: Grows whenever the form is to be filled anew.
        told: What was kept last.
        found: What was found by it.
    """

    sticks: tuple[BentStick, ...] | None = None
    stamp: str = ""
    stick: str = ""
    record: int = 0
    drawn: int = 0
    told: str = ""
    found: tuple[Finding, ...] = ()

    @property
    def chosen(self) -> BentStick | None:
        """The stick that is open."""
        return next((one for one in self.sticks or () if one.started.key == self.stick), None)

    def open(self, stick: str, record: int = 0) -> None:
        """Open a stick, or one reading of it."""
        self.stick, self.record, self.told, self.found = stick, record, "", ()
        self.drawn += 1


def build(bench: Bench, changed: Callable[[], Awaitable[None]]) -> None:
    """Fill the card.

    Args:
        bench: The page.
        changed: Called when something was kept, so that the rest of the tab follows.
    """
    state = _State()

    async def look() -> None:
        chosen = state.chosen
        found = await read(bench, lambda folder: _look(folder, chosen))
        if found is not None:
            state.stamp, state.sticks = found
            bench.tell()

    async def follow() -> None:
        """A phone may have read more meanwhile."""
        chosen = state.chosen
        if bench.tab != "Bender" or not fold.value or chosen is None:
            return
        if await run.io_bound(lambda: stamp_of(bench.desk.folder, chosen.bar_id)) != state.stamp:
            await look()

    async def kept() -> None:
        await look()
        await changed()

    with ui.expansion("Sticks bent, and their readings") as fold:
        fill_part(bench, lambda: (id(state.sticks),), lambda: _sticks(bench, state, look))
        fill_part(bench, lambda: (id(state.sticks), state.stick), lambda: _readings(bench, state))
        fill_part(
            bench,
            lambda: (state.stick, state.record, state.drawn),
            lambda: _form(bench, state, kept),
            gap="gap-1",
        )
    when_unfolded(bench, "Bender", fold, lambda: bench.seen.version, look)
    ui.timer(_LOOK_S, follow)


def _look(folder: ProjectFolder, chosen: BentStick | None) -> tuple[str, tuple[BentStick, ...]]:
    """When that was, and every stick."""
    return "" if chosen is None else stamp_of(folder, chosen.bar_id), bent_sticks(folder)


def _sticks(bench: Bench, state: _State, look: Callable[[], Awaitable[None]]) -> None:
    sticks = state.sticks
    if sticks is None:
        ui.label("Not read yet.").classes("hw-soft")
        return
    if not sticks:
        ui.label("No stick was begun yet: bend one by its screen, under At the bender.").classes("hw-soft")
        return

    async def choose(number: int) -> None:
        state.open(sticks[number].started.key)
        if bench.chosen != sticks[number].bar_id:
            bench.choose(sticks[number].bar_id)
        await look()

    ui.label("Choose a stick to see what was read.").classes("hw-soft")
    pick_table(
        ["bar", "begun", "stands"],
        [
            [
                one.bar_id,
                _time(one.started.at),
                f"stick {one.number} of revision {one.started.revision}\n{one.words}",
            ]
            for one in sticks
        ],
        choose,
        widths=(66, 92),
        classes=["open" if one.may_be_scrapped else "" for one in sticks],
    )


def _readings(bench: Bench, state: _State) -> None:
    stick = state.chosen
    if stick is None:
        return
    started = stick.started
    head = ui.label(f"{stick.bar_id}, stick {stick.number} of revision {started.revision}").classes("hw-head")
    batch = f", batch {started.batch}" if started.batch else ""
    ui.label(
        f"die {started.die}, calibration {started.calibration}{batch}, sheet {started.identity}"
    ).classes("hw-soft")
    if not stick.readings:
        ui.label("Nothing was read on it yet.").classes("hw-soft")
        return

    def choose(number: int) -> None:
        state.open(stick.started.key, stick.readings[number].record)
        bench.tell()

    pick_table(
        ["bend", "wanted", "load", "reads", "when"],
        [_row(one) for one in stick.readings],
        choose,
        widths=(64, 72, 66, 66),
        classes=["" if one.state == "counts" else "open" for one in stick.readings],
    )
    if not state.record:
        bring_into_view(head, "nearest")


def _row(one: StickReading) -> list[str]:
    states = ["put right"] if one.is_corrected else []
    states += [] if one.state == "counts" else [SIGNS[one.state]]
    return [
        f"{one.bend}, step {one.step}",
        _angle(one.wanted_deg),
        _angle(one.load_deg),
        _angle(one.reading.released_deg),
        "\n".join(
            [_time(one.reading.at), *([f"on {one.reading.device}"] if one.reading.device else []), *states]
        ),
    ]


def _form(bench: Bench, state: _State, kept: Callable[[], Awaitable[None]]) -> None:
    kept_words(state.told)
    finding_list(bench, state.found)
    stick = state.chosen
    if stick is None:
        return
    # what was shown goes along: an answer to what a phone has gone on from since is refused, and nothing doubled
    shown, key, bar = [stick.records], secrets.token_hex(6), stick.bar_id

    async def sent(title: str, act: Act, words: str) -> None:
        wishes = BendWishes(at=now(), shown=shown[0], stick=stick.started.key, solve=False)
        made = await work(
            bench, title, lambda folder, progress: act(folder, wishes, key, progress), edits=False
        )
        found = bench.findings if made is None else ()
        await kept()
        if made is not None:
            state.open(stick.started.key)
            state.told, state.found = f"✓ {words}", made.findings
            bench.tell()
            return
        if state.chosen is not None:
            shown[0] = state.chosen.records
        # told when it is known how things stand: whoever presses again at once means that
        told(found)

    reading = next((one for one in stick.readings if one.record == state.record), None)
    if reading is not None:
        one_reading(bench, bar, reading, sent)
    if stick.may_be_scrapped and reading is None:
        drop(bar, stick, sent)
    told = told_below(bench)


def _angle(value_deg: float | None) -> str:
    return "-" if value_deg is None else f"{value_deg:.2f}°"


def _time(at: str) -> str:
    return f"{dt.datetime.fromisoformat(at).astimezone():%m-%d %H:%M}"

"""The finished bar by tape: what its bends came out as, from what was taped at the bender or is typed here."""

import datetime as dt
from dataclasses import dataclass, field

from nicegui import run, ui

from hoopwright.bender.as_bent import TapeEntry
from hoopwright.findings import Finding, UserError, as_text
from hoopwright.jobs.as_bent import BentBar, DistanceRow, bar_from_tape, drop_bent, keep_bent
from hoopwright.jobs.bend_screens import stamp_of
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.tape_of_bars import distances_to_tape
from hoopwright.jobs.taped_at_bender import TapedAtBender, taped_at_bender
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, length_entry
from hoopwright.web.forms import Form
from hoopwright.web.parts import bring_into_view, table
from hoopwright.web.picks import draw_when_other, finding_list, older, when_open
from hoopwright.web.reading import read

_LOOK_S = 2.0
"""How often it is looked whether a phone has taped more, while the tab is open."""


@dataclass
class _State:
    """What is asked of the chosen bar, and what the tape told of it."""

    bar: str | None = None
    rows: tuple[DistanceRow, ...] = ()
    entries: dict[str, Entry[float]] = field(default_factory=dict)
    taped: TapedAtBender | None = None
    stamp: str = ""
    told: ui.label | None = None
    made: BentBar | None = None
    version: int | None = None
    kept: bool = False
    hanging: tuple[Finding, ...] = ()


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()
    form = Form()
    result = ui.column().classes("w-full gap-2").props('role="status"')

    async def look() -> None:
        bar = bench.chosen
        found = None if bar is None else await read(bench, lambda folder: _look(folder, bar))
        before = state.taped if bar == state.bar else None
        state.bar, state.made = bar, None
        state.stamp, state.rows, state.taped = ("", (), None) if found is None else found
        bench.tell()
        _fill(state, before)

    async def follow() -> None:
        """A phone may have taped more meanwhile: it fills fields that nobody has typed in."""
        bar = state.bar
        if bench.tab != "Bender" or bar is None or not state.rows or bar != bench.chosen:
            return
        if await run.io_bound(lambda: stamp_of(bench.desk.folder, bar)) == state.stamp:
            return
        found = await read(bench, lambda folder: _look(folder, bar))
        if found is not None and bar == state.bar:
            before = state.taped
            state.stamp, _, state.taped = found
            _fill(state, before)

    async def tell() -> None:
        bar, version = state.bar, bench.seen.version
        if bar is None:
            return
        try:
            taken = {key: entry.maybe() for key, entry in state.entries.items()}
        except UserError as error:
            bench.say(error.findings)
            return
        tape = [TapeEntry(key=key, tape_mm=value) for key, value in taken.items() if value is not None]
        if not tape:
            ui.notify("Type at least one distance.")
            return
        made = await read(bench, lambda folder: bar_from_tape(folder, bar, tape))
        if made is not None:
            state.made, state.version, state.kept = made, version, False
            bench.tell()
            bring_into_view(result)

    def draw_form() -> None:
        form.fill(fill_form, about=state.bar)

    def fill_form() -> None:
        state.entries.clear()
        state.told = None
        if not state.rows:
            ui.label("Choose a bent bar to type what the tape reads on it.").classes("hw-soft")
            return
        ui.label(
            f"What the tape reads on the finished {state.bar}. Leave empty what you did not take."
        ).classes("hw-soft")
        if state.bar in {record.bar_id for record in bench.seen.project.as_bent_in_force}:
            _counts_as_bent(bench, state, state.bar)
        state.told = ui.label().classes("hw-soft").props('role="status"')
        for row in state.rows:
            should = f"should be {bench.length(row.drawn_mm)}"
            ui.label(f"{row.words}; {should}").classes("hw-soft")
            state.entries[row.key] = length_entry(row.key[0].upper() + row.key[1:])
        _fill(state, None)
        ui.button("Say how its bends came out", on_click=tell).classes("hw-button")

    def draw_result() -> None:
        result.clear()
        with result:
            if state.made is not None:
                _result(bench, state, state.made)

    draw_when_other(
        bench,
        lambda: (state.bar, state.rows, bench.units, len(bench.seen.project.as_bent_in_force)),
        draw_form,
    )
    draw_when_other(bench, lambda: (id(state.made), state.kept, bench.seen.version, bench.units), draw_result)
    when_open(bench, "Bender", lambda: (bench.chosen, _drawn(bench)), look)
    ui.timer(_LOOK_S, follow)


def _look(folder: ProjectFolder, bar: str) -> tuple[str, tuple[DistanceRow, ...], TapedAtBender | None]:
    """When that was, what to tape, and what was taped at the bender."""
    return stamp_of(folder, bar), distances_to_tape(folder, bar), taped_at_bender(folder, bar)


def _fill(state: _State, before: TapedAtBender | None) -> None:
    """What was taped at the bender into the fields, but for those in which a person typed or cleared something."""
    had, now = _texts(before), _texts(state.taped)
    for key, entry in state.entries.items():
        if entry.text == had.get(key, ""):
            entry.put(now.get(key, ""))
    if state.told is not None:
        state.told.set_visibility(bool(now))
        state.told.set_text("" if state.taped is None else _where_from(state.taped))


def _texts(taped: TapedAtBender | None) -> dict[str, str]:
    return {} if taped is None else {one.key: f"{one.tape_mm:.1f} mm" for one in taped.entries}


def _where_from(taped: TapedAtBender) -> str:
    when = dt.datetime.fromisoformat(taped.at).astimezone()
    names = ", ".join(one.key for one in taped.entries)
    said = f"✓ Taped at the bender: {names} ({taped.stick}, last on {when:%Y-%m-%d at %H:%M})."
    return " ".join([said, *(as_text(finding) for finding in taped.findings)])


def _counts_as_bent(bench: Bench, state: _State, bar: str) -> None:
    async def drop() -> None:
        def change(folder: ProjectFolder) -> bool:
            drop_bent(folder, bar, today())
            return True

        state.made = None
        await bench.edit(change, bar_id=bar)

    with ui.row().classes("hw-row"):
        ui.label(f"{bar} counts as bent.").classes("hw-hold")
        ui.button("Let the drawn one count", on_click=drop).props("flat dense")


def _drawn(bench: Bench) -> object:
    cage = bench.seen.project.cage
    return cage.member(bench.chosen) if bench.chosen is not None and bench.chosen in cage else None


def _result(bench: Bench, state: _State, made: BentBar) -> None:
    if not state.kept:
        older(bench, state.version, "Say it again.")
    for kind in made.kinds:
        way = "over" if kind.over_deg >= 0.0 else "under"
        words = f"{kind.kind.name}: {abs(kind.over_deg):.2f}° {way} (± {kind.sd_deg:.2f}°)"
        if kind.told:
            ui.label(words)
        else:
            ui.label(f"? {kind.kind.name}: cannot tell").classes("hw-near")
    if made.next_distance is not None:
        ui.label(f"Measure next: {made.next_distance.words}").classes("hw-hold")
    if made.can_tell:
        rows = [
            [str(number), f"{drawn:.2f}°", f"{bent:.2f}°", f"{bent - drawn:+.2f}°"]
            for number, (drawn, bent) in enumerate(
                zip(made.drawn_table.angles_deg, made.table.angles_deg, strict=True), start=1
            )
        ]
        table(["bend", "drawn", "as bent", "over"], rows)
        _keeping(bench, state, made)
    finding_list(bench, made.findings)


def _keeping(bench: Bench, state: _State, made: BentBar) -> None:
    async def keep() -> None:
        told = await bench.edit(lambda folder: keep_bent(folder, made, today()), bar_id=made.bar_id)
        if told is not None:
            state.kept, state.hanging = True, told
            bench.tell()

    if state.kept:
        ui.label(f"✓ {made.bar_id} counts as bent from now on.").classes("hw-hold")
        finding_list(bench, state.hanging)
    else:
        ui.button("Let it count as bent", on_click=keep).classes("hw-button")

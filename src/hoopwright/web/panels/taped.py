"""The finished bar by tape: what its bends came out as, where nobody typed readings at the bender."""

from dataclasses import dataclass, field

from nicegui import ui

from hoopwright.bender.as_bent import TapeEntry
from hoopwright.findings import Finding, UserError
from hoopwright.jobs.as_bent import BentBar, DistanceRow, bar_from_tape, drop_bent, keep_bent
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.tape_of_bars import distances_to_tape
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, length_entry
from hoopwright.web.parts import bring_into_view, table
from hoopwright.web.picks import draw_when_other, finding_list, older, when_open
from hoopwright.web.reading import read


@dataclass
class _State:
    """What is asked of the chosen bar, and what the tape told of it."""

    bar: str | None = None
    rows: tuple[DistanceRow, ...] = ()
    entries: dict[str, Entry[float]] = field(default_factory=dict)
    made: BentBar | None = None
    version: int | None = None
    kept: bool = False
    hanging: tuple[Finding, ...] = ()


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()
    form = ui.column().classes("w-full gap-1")
    result = ui.column().classes("w-full gap-2").props('role="status"')

    async def look() -> None:
        bar = bench.chosen
        rows = () if bar is None else await read(bench, lambda folder: distances_to_tape(folder, bar))
        state.bar, state.rows, state.made = bar, rows or (), None
        bench.tell()

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
        form.clear()
        state.entries.clear()
        with form:
            if not state.rows:
                ui.label("Choose a bent bar to type what the tape reads on it.").classes("hw-soft")
                return
            ui.label(
                f"What the tape reads on the finished {state.bar}. Leave empty what you did not take."
            ).classes("hw-soft")
            if state.bar in {record.bar_id for record in bench.seen.project.as_bent_in_force}:
                _counts_as_bent(bench, state, state.bar)
            for row in state.rows:
                ui.label(row.words).classes("hw-soft")
                state.entries[row.key] = length_entry(
                    row.key[0].upper() + row.key[1:], hint=f"should be {bench.length(row.drawn_mm)}"
                )
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

"""From which stick or batch the chosen bar was cut, or every bar of its tube size."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from nicegui import ui

from hoopwright.jobs.batch_numbers import bars_without_number, lacking_words
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.tube_choices import TubeChoices, tube_choices
from hoopwright.jobs.tubes_used import SaidTube, Shown, is_said, say_cut_from, say_not_cut, used_words
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import TubeUsed
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.made import fill_part, told_below, when_unfolded
from hoopwright.web.parts import bring_into_view, counted, kept_words
from hoopwright.web.picks import pick_table
from hoopwright.web.reading import read

_ONE, _OPEN, _ALL = "one", "open", "all"
_NONE = ""


@dataclass
class _State:
    """What is known of the chosen bar.

    Args:
        known: As it was last read.
        shown: What was on record when the person began to type; None while nothing is typed.
        kept: Grows with everything that was kept: its form is empty again then.
        told: What was kept last.
    """

    known: TubeChoices | None = None
    shown: Shown | None = None
    kept: int = 0
    told: str = ""

    @property
    def bar(self) -> str | None:
        """The bar that it is of."""
        return None if self.known is None else self.known.bar_id


def build(bench: Bench) -> None:
    """Fill the card."""
    state = _State()

    async def look() -> None:
        bar = bench.chosen
        known = None if bar is None else await read(bench, lambda folder: tube_choices(folder, bar))
        if bar != bench.chosen:
            return
        if state.bar != bar:
            state.shown, state.told = None, ""
        state.known = known
        bench.tell()

    with ui.expansion("Cut from").classes("w-full hw-fold") as fold, ui.column().classes("w-full gap-2"):
        # by what it shows: one that is only read again would close the fold that a person has just opened
        fill_part(bench, lambda: _record_of(state.known), lambda: _on_record(bench, state.known))
        fill_part(bench, lambda: (state.bar, state.kept), lambda: _form(bench, state, look), gap="gap-1")
    when_unfolded(bench, "Bar", fold, lambda: (bench.chosen, bench.seen.version), look)


def _record_of(known: TubeChoices | None) -> tuple[tuple[str, str], ...]:
    """The bar and those of its tube size, each with what it was cut from."""
    if known is None:
        return ()
    bars = (known.bar_id, *(bar for bar in known.alike if bar != known.bar_id))
    return tuple((bar, used_words(known.said[bar])) for bar in bars)


def _on_record(bench: Bench, known: TubeChoices | None) -> None:
    if known is None:
        ui.label("Choose a bar in the list or in the picture.").classes("hw-soft")
        return
    (bar, words), *others = _record_of(known)
    ui.label(f"{bar} was cut from: {words}")
    if others:
        with ui.expansion(f"The other bars of its tube size ({len(others)})"):
            pick_table(
                ["bar", "cut from"],
                others,
                lambda number: bench.choose(others[number][0]),
                widths=(74,),
            )


def _form(bench: Bench, state: _State, look: Callable[[], Awaitable[None]]) -> None:
    known = state.known
    if known is None:
        return
    bar = known.bar_id
    ui.label(
        "Heat number and certificate go into the scrutineer's file. Choose the stick or the batch of the shop; what "
        "you leave empty is the batch's."
    ).classes("hw-soft")
    stick = ui.select(_sticks(known), value=_NONE, label="Stick").props("dense outlined").classes("w-full")
    batch = ui.select(_batches(known), value=_NONE, label="Batch").props("dense outlined").classes("w-full")
    heat = text_entry("Heat number on the tube", hint="that of the batch where empty")
    certificate = text_entry("Certificate of the tube", hint="its number; that of the batch where empty")
    steel = text_entry("Steel of the tube", hint="that of the batch where empty")
    whose = ui.select(_whose(known), value=_ONE, label="For").props("dense outlined").classes("w-full")
    told = told_below(bench)
    fields = (stick, batch, heat.field, certificate.field, steel.field, whose)

    def typing() -> None:
        if state.shown is None and state.known is not None:
            state.shown = state.known.said

    def follow() -> None:
        """What the shop and the cage hold now; what is chosen and typed stays."""
        if state.known is None or state.known.bar_id != bar:
            return
        for field, options in ((stick, _sticks), (batch, _batches), (whose, _whose)):
            found = options(state.known)
            if found == field.options:
                continue
            field.set_options(found, value=field.value if field.value in found else next(iter(found)))

    for one in fields:
        one.on_value_change(typing)
    bench.when_changed(follow, on=stick)

    async def sent(act: Callable[[ProjectFolder, Shown], tuple[TubeUsed, ...]], words: str) -> None:
        shown = (state.known or known).said if state.shown is None else state.shown
        state.told = ""
        kept = await bench.edit(lambda folder: act(folder, shown))
        found = bench.findings if kept is None else ()
        # what is on record now stands above before it is told: pressed again, it is said of that
        state.shown = None
        await look()
        told(found)
        if kept is not None:
            lacking = lacking_words(bars_without_number(kept[:1]) if is_said(kept[0]) else ())
            state.told = f"✓ {counted(len(kept), 'bar')}: {words} {used_words(kept[0])}.{lacking}"
            state.kept += 1
            bench.tell()

    def bars() -> tuple[str, ...]:
        return _bars(state.known or known, str(whose.value))

    async def keep() -> None:
        said = SaidTube(
            stick=str(stick.value or ""),
            batch=str(batch.value or ""),
            steel=steel.text,
            heat_number=heat.text,
            certificate=certificate.text,
        )
        named = bars()

        def act(folder: ProjectFolder, shown: Shown) -> tuple[TubeUsed, ...]:
            return say_cut_from(folder, named, said, date=today(), shown=shown)

        await sent(act, "cut from")

    async def back() -> None:
        def act(folder: ProjectFolder, shown: Shown) -> tuple[TubeUsed, ...]:
            return say_not_cut(folder, (bar,), date=today(), shown=shown)

        await sent(act, "its tube is")

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Keep what it was cut from", on_click=keep).classes("hw-button")
        ui.button("Take back what was said of it", on_click=back).props(
            f'flat dense aria-label="Take back what was said of {bar}"'
        )
    told_last = kept_words(state.told)
    if told_last is not None:
        bring_into_view(told_last)


def _sticks(known: TubeChoices) -> dict[str, str]:
    sticks = {
        one.label: f"{one.label}, batch {one.batch}{', used' if one.state == 'used' else ''}"
        for one in known.tube.sticks
    }
    return {_NONE: "not said" if sticks else "none of this size in the shop", **sticks}


def _batches(known: TubeChoices) -> dict[str, str]:
    batches = {one.name: f"{one.name}, heat {one.heat_number or 'not known'}" for one in known.tube.batches}
    return {_NONE: "that of the stick" if batches else "none of this size in the shop", **batches}


def _whose(known: TubeChoices) -> dict[str, str]:
    """The bar alone, those of its size of which nobody said anything, or all of its size."""
    size = [bar for bar in known.alike if not is_said(known.said[bar])]
    words = {_ONE: f"{known.bar_id} alone"}
    if len(known.alike) > 1:
        words |= {
            _OPEN: f"every bar of its tube size that has none yet ({len(size)})",
            _ALL: f"every bar of its tube size ({len(known.alike)})",
        }
    return words


def _bars(known: TubeChoices, whose: str) -> tuple[str, ...]:
    if whose == _ALL:
        return known.alike
    if whose == _OPEN:
        return tuple(bar for bar in known.alike if not is_said(known.said[bar]))
    return (known.bar_id,)

"""The batches of the shop: what their certificates say, put right, and of which none is left."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any

from nicegui import ui

from hoopwright.bender import TubeBatch
from hoopwright.findings import UserError
from hoopwright.jobs.batch_numbers import lacking_words, number_findings, papers_of
from hoopwright.jobs.shops import change, retire
from hoopwright.jobs.tube_choices import ShopTube
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, text_entry, tube_entry
from hoopwright.web.made import fill_part, told_below
from hoopwright.web.number_entries import number_entry
from hoopwright.web.parts import bring_into_view, kept_words
from hoopwright.web.picks import pick_table
from hoopwright.web.work import work

Look = Callable[[], Awaitable[None]]


@dataclass
class _State:
    """What is open of the batches.

    Args:
        chosen: Name of the one that is open; empty for none.
        shown: Its version as the person had it before his eyes.
        drawn: Grows whenever its form is to be filled anew.
        told: What was kept last.
    """

    chosen: str = ""
    shown: int = 0
    drawn: int = 0
    told: str = ""


def batches(bench: Bench, tube: Callable[[], ShopTube | None], look: Look) -> None:
    """Fill the card.

    Args:
        bench: The page.
        tube: What the shop knows, as it was last read.
        look: Reads the shop again.
    """
    state = _State()

    def choose(batch: TubeBatch) -> None:
        state.chosen, state.shown, state.told = batch.name, batch.version, ""
        state.drawn += 1
        bench.tell()

    def every() -> None:
        known = tube()
        if known is None:
            ui.label("Not read yet.").classes("hw-soft")
        elif not known.batches:
            ui.label("No batch yet. Put in what came, under Tube that came.").classes("hw-soft")
        else:
            ui.label("Choose one to put right what its certificate says.").classes("hw-soft")
            pick_table(
                ["batch", "tube", "heat number, certificate"],
                [_row(one) for one in known.batches],
                lambda number: choose(known.batches[number]),
                widths=(90, 110),
            )

    fill_part(bench, lambda: (id(tube()), bench.units), every)
    fill_part(
        bench, lambda: (state.chosen, state.drawn), lambda: _form(bench, state, tube, look), gap="gap-1"
    )
    fill_part(bench, lambda: (state.told,), lambda: kept_words(state.told))


def _row(batch: TubeBatch) -> list[str]:
    left = "\n– none is left" if batch.retired else ""
    return [batch.name, f"{batch.tube}\n{batch.steel}".strip(), f"{papers_of(batch)}{left}"]


def _form(bench: Bench, state: _State, tube: Callable[[], ShopTube | None], look: Look) -> None:
    known = tube()
    batch = None if known is None else known.batch(state.chosen)
    if batch is None:
        return
    head = ui.label(f"Batch {batch.name}").classes("hw-head")
    bring_into_view(head, "nearest")
    entries: dict[str, Entry[Any]] = {
        "tube": tube_entry("Tube of this batch", value=str(batch.tube)),
        "steel": text_entry("Steel of this batch", value=batch.steel, hint="as the certificate writes it"),
        "heat_number": text_entry("Heat number of this batch", value=batch.heat_number),
        "certificate": text_entry("Certificate of this batch", value=batch.certificate, hint="its number"),
        "yield_mpa": number_entry(
            "Yield strength of this batch, MPa",
            value="" if batch.yield_mpa is None else f"{batch.yield_mpa:g}",
            hint="on the certificate; what was kept stays where empty",
        ),
        "note": text_entry("Note on this batch", value=batch.note),
    }
    now = ui.label().classes("hw-near").props('role="status"')
    now.set_visibility(False)
    told = told_below(bench)

    async def sent(title: str, act: Callable[[int], TubeBatch]) -> None:
        state.told = ""
        shown = state.shown
        kept = await work(bench, title, lambda *_: act(shown), edits=False)
        told(bench.findings if kept is None else ())
        await look()
        if kept is not None:
            state.told = (
                f"✓ Batch {kept.name} kept. Bars that were sawn before keep the numbers that were recorded of them."
                f"{lacking_words(number_findings((kept,)))}"
            )
            state.shown = kept.version
            state.drawn += 1
            bench.tell()
        else:
            _seen_anew(state, tube(), now)

    async def keep() -> None:
        typed = {name: entry for name, entry in entries.items() if entry.text != entry.first}
        try:
            changes = {
                name: entry.maybe() if name == "yield_mpa" else entry.value() for name, entry in typed.items()
            }
        except UserError as error:
            told(error.findings)
            return
        if not changes:
            ui.notify("Nothing of it was typed otherwise.")
            return
        await sent(
            "Putting a batch right",
            lambda shown: change(None, "batch", batch.name, changes, shown=shown).record,
        )

    async def left() -> None:
        await sent(
            "Marking a batch",
            lambda shown: retire(None, "batch", batch.name, back=batch.retired, shown=shown).record,
        )

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Keep the batch", on_click=keep).classes("hw-button")
        ui.button(
            "There is some of it again" if batch.retired else "None of it is left", on_click=left
        ).props("flat dense")


def _seen_anew(state: _State, known: ShopTube | None, now: ui.label) -> None:
    """What another window kept meanwhile, beside what is typed here; pressed again it is a change of that."""
    batch = None if known is None else known.batch(state.chosen)
    if batch is None or batch.version == state.shown:
        return
    state.shown = batch.version
    now.set_text(
        f"Kept elsewhere now: {batch.tube} mm, steel {batch.steel or 'not known'}, {papers_of(batch)}. What you typed "
        "still stands here; keep it again if you still want it."
    )
    now.set_visibility(True)

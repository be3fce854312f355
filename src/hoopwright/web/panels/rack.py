"""The rack of the shop: what lies there, and tube that came."""

from collections.abc import Awaitable, Callable, Sequence

from nicegui import ui

from hoopwright.bender import Stick, TubeBatch
from hoopwright.findings import UserError
from hoopwright.jobs.deliveries import take_delivery
from hoopwright.jobs.shops import change
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry, text_entry, tube_entry
from hoopwright.web.forms import clear_taken
from hoopwright.web.made import told_below
from hoopwright.web.number_entries import count_entry
from hoopwright.web.parts import counted, table
from hoopwright.web.work import work


def rack(bench: Bench, sticks: Sequence[tuple[Stick, TubeBatch]]) -> None:
    """All that lies there, of whatever size."""
    if not sticks:
        ui.label("Nothing yet. Put in what came, under Tube that came.").classes("hw-soft")
        return
    table(
        ["tube", "label", "length", "heat number, certificate"],
        [
            [
                f"{batch.tube} {batch.steel}".strip(),
                stick.label,
                bench.length(stick.length_mm),
                _papers_of(batch),
            ]
            for stick, batch in sticks
        ],
    )


def delivery(bench: Bench, came: Callable[[], Awaitable[None]]) -> None:
    """A form for tube that came, with what its certificate says.

    Args:
        bench: The page.
        came: Called when sticks were put on the rack.
    """
    ui.label(
        "As the certificate and the tube have it. What is not known stays empty and can be typed later, with the "
        "name of the batch."
    ).classes("hw-soft")
    name = text_entry("Batch", hint="your name for this delivery, such as B7")
    tube = tube_entry("Tube, outside x wall")
    steel = text_entry("Steel", hint="such as E235+C")
    heat = text_entry("Heat number")
    certificate = text_entry("Certificate", hint="its number")
    length = length_entry("Length of a stick", value="6000")
    count = count_entry("How many came", value="1")
    told = told_below(bench)
    kept = ui.label("").classes("hw-hold")

    async def keep() -> None:
        kept.text = ""
        try:
            batch = TubeBatch(
                name=name.text,
                tube=tube.value(),
                steel=steel.text,
                heat_number=heat.text,
                certificate=certificate.text,
            )
            length_mm, number = length.value(), count.value()
        except UserError as error:
            told(error.findings)
            return
        sent = {entry: entry.text for entry in (name, steel, heat, certificate)}
        sticks = await work(
            bench,
            "Putting tube on the rack",
            lambda folder, progress: take_delivery(batch, length_mm=length_mm, count=number),
            edits=False,
        )
        told(bench.findings if sticks is None else ())
        if sticks is not None:
            # pressed once more it would be another delivery; the next one has papers of its own
            clear_taken(sent)
            kept.text = (
                f"{counted(len(sticks), 'stick')} on the rack: {sticks[0].label} to {sticks[-1].label}."
                f"{_without(batch)} Next: Plan the cuts, which takes them first."
            )
            await came()

    async def correct() -> None:
        kept.text = ""
        # the size of the delivery before may still stand in its field
        changes = {
            "steel": steel.text or None,
            "heat_number": heat.text or None,
            "certificate": certificate.text or None,
        }
        if not any(changes.values()):
            ui.notify("Type the batch, and its steel, heat number or certificate as it should be.")
            return
        stored = await work(
            bench,
            "Correcting a batch",
            lambda folder, progress: change(None, "batch", name.text, changes),
            edits=False,
        )
        told(bench.findings if stored is None else ())
        if stored is not None:
            kept.text = (
                f"Batch {stored.record.name}: steel {stored.record.steel or 'not known'}, papers "
                f"{_papers_of(stored.record)}. Bars that were sawn before keep what was recorded of them."
            )
            await came()

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Put it on the rack", on_click=keep).classes("hw-button")
        ui.button("Correct steel, heat or certificate", on_click=correct).props("flat dense")


def _papers_of(batch: TubeBatch) -> str:
    return ", ".join(filter(None, (batch.heat_number, batch.certificate))) or "not known"


def _without(batch: TubeBatch) -> str:
    """What the papers of the batch do not say, which every file of its bars will lack."""
    lacking = [
        word
        for word, text in (
            ("heat number", batch.heat_number),
            ("certificate", batch.certificate),
            ("steel", batch.steel),
        )
        if not text
    ]
    return f" Without {' and '.join(lacking)}: the scrutineer's file will lack it." if lacking else ""

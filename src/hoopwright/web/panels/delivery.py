"""Tube that came into the shop."""

from collections.abc import Awaitable, Callable

from nicegui import ui

from hoopwright.bender import TubeBatch
from hoopwright.findings import UserError
from hoopwright.jobs.batch_numbers import lacking_papers, number_findings
from hoopwright.jobs.deliveries import take_delivery
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry, text_entry, tube_entry
from hoopwright.web.forms import clear_taken
from hoopwright.web.made import told_below
from hoopwright.web.number_entries import count_entry
from hoopwright.web.parts import counted
from hoopwright.web.work import work


def delivery(bench: Bench, came: Callable[[], Awaitable[None]]) -> None:
    """A form for tube that came, with what its certificate says.

    Args:
        bench: The page.
        came: Called when sticks were put on the rack.
    """
    ui.label(
        "As the certificate and the tube have it. What is not known stays empty and can be typed later, under Batches."
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
        # pressed twice in haste it would be two deliveries
        if not button.enabled:
            return
        button.disable()
        try:
            await put_on_rack()
        finally:
            button.enable()

    async def put_on_rack() -> None:
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
        told(bench.findings if sticks is None else number_findings((batch,)))
        if sticks is not None:
            # pressed once more it would be another delivery; the next one has papers of its own
            clear_taken(sent)
            kept.text = (
                f"{counted(len(sticks), 'stick')} on the rack: {sticks[0].label} to {sticks[-1].label}."
                f"{_without(batch)} Next: Plan the cuts, which takes them first."
            )
            await came()

    button = ui.button("Put it on the rack", on_click=keep).classes("hw-button")


def _without(batch: TubeBatch) -> str:
    """What the papers of the batch do not say, which every file of its bars will lack."""
    lacking = lacking_papers(batch)
    return f" Without {' and '.join(lacking)}: the scrutineer's file will lack it." if lacking else ""

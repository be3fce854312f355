"""The rack of the shop: what lies there, and tube that came."""

from nicegui import ui

from hoopwright.bender import TubeBatch
from hoopwright.findings import UserError
from hoopwright.jobs.deliveries import take_delivery
from hoopwright.jobs.stock import ProjectStock
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry, text_entry, tube_entry
from hoopwright.web.made import told_below
from hoopwright.web.number_entries import count_entry
from hoopwright.web.parts import counted, table
from hoopwright.web.work import work


def rack(bench: Bench, found: ProjectStock) -> None:
    """The sticks of the project's sizes."""
    sticks = [(one, stick) for one in found.rack for stick in one.sticks]
    if not sticks:
        ui.label("Nothing of these sizes. Put in what came, below.").classes("hw-soft")
        return
    table(
        ["tube", "label", "length", "batch"],
        [[str(one.tube), stick.label, bench.length(stick.length_mm), stick.batch] for one, stick in sticks],
    )


def delivery(bench: Bench) -> None:
    """A form for tube that came, with what its certificate says."""
    ui.label("As the certificate and the tube have it. What is not known stays empty.").classes("hw-soft")
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
        sticks = await work(
            bench,
            "Putting tube on the rack",
            lambda folder, progress: take_delivery(batch, length_mm=length_mm, count=number),
            edits=False,
        )
        told(bench.findings if sticks is None else ())
        if sticks is not None:
            name.put("")  # pressed once more it would be another delivery
            kept.text = (
                f"{counted(len(sticks), 'stick')} on the rack: {sticks[0].label} to {sticks[-1].label}. "
                "Next: Plan the cuts, which takes them first."
            )

    ui.button("Put it on the rack", on_click=keep).classes("hw-button")

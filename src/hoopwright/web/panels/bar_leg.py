"""Where the leg of a bar ends, for rules that count the bends of a leg alone."""

from collections.abc import Awaitable, Callable

from nicegui import ui

from hoopwright.cage import Member
from hoopwright.findings import UserError
from hoopwright.jobs.bar_values import leg_ends, mark_leg
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry
from hoopwright.web.forms import Form

_TYPED = -1


def leg_section(
    bench: Bench,
    member: Member,
    then: Callable[[], Awaitable[None]] | None = None,
    *,
    form: Form | None = None,
) -> None:
    """Mark where it ends, between two bends or at a typed length.

    Args:
        bench: The page.
        member: The bar.
        then: Called when it was changed.
        form: What it stands in, where that is filled anew.
    """
    bar_id = member.member_id
    try:
        ends = leg_ends(bench.seen.project.cage, bar_id)
    except UserError as error:
        ui.label(error.findings[0].sentence).classes("hw-soft")
        return
    ui.label(_now(bench, member)).classes("hw-soft")
    choices = {
        number: f"{end.words}: {end.bends} in the leg, {bench.length(end.leg_mm)}"
        for number, end in enumerate(ends)
    }
    at = ui.select(
        {**choices, _TYPED: "at the length typed below"}, value=_TYPED, label="Seen from end A, the leg ends"
    )
    at.props("dense outlined").classes("w-full")
    typed = length_entry(
        "Length of the leg",
        value="" if member.leg_mm is None else bench.length(member.leg_mm),
        hint="from end A along the bar; a bend counts when its middle lies in it",
    )

    def show() -> None:
        typed.row.set_visibility(at.value == _TYPED)

    at.on_value_change(show)

    async def keep(leg_mm: float | None) -> None:
        sent = {} if form is None else form.typed()
        done = await bench.edit(lambda folder: mark_leg(folder, bar_id, leg_mm), bar_id=bar_id)
        if done is None:
            return
        if form is not None:
            form.take(sent)
        said = "no leg is marked" if leg_mm is None else f"the leg ends {bench.length(leg_mm)} from end A"
        ui.notify(f"✓ {', '.join(done.bars)}: {said}")
        if then is not None:
            await then()

    async def mark() -> None:
        try:
            leg_mm = typed.value() if at.value == _TYPED else ends[int(at.value or 0)].leg_mm
        except UserError as error:
            bench.say(error.findings)
            return
        await keep(leg_mm)

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Mark the leg", on_click=mark).classes("hw-button")
        if member.leg_mm is not None:
            ui.button("Take the mark away", on_click=lambda: keep(None)).props("flat dense")


def _now(bench: Bench, member: Member) -> str:
    if member.leg_mm is None:
        return "Not marked: a rule on the bends of a leg is not checked. The foot of the leg is end A."
    return f"The leg is marked as {bench.length(member.leg_mm)} from end A. Its mirror has the same."

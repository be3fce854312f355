"""Where the leg of a bar ends, for rules that count the bends of a leg alone."""

from collections.abc import Awaitable, Callable

from nicegui import ui

from hoopwright.cage import EndLetter, Member
from hoopwright.findings import UserError
from hoopwright.jobs.bar_values import LegEnd, foot_end, leg_ends, mark_leg
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry
from hoopwright.web.forms import Form, edit_typed

_TYPED = -1


def leg_section(
    bench: Bench,
    form: Form,
    member: Member,
    then: Callable[[], Awaitable[None]] | None = None,
) -> None:
    """Mark from which end it is counted and where it ends, between two bends or at a typed length.

    Args:
        bench: The page.
        form: What it stands in.
        member: The bar.
        then: Called when it was changed.
    """
    bar_id, cage = member.member_id, bench.seen.project.cage
    try:
        ends: dict[EndLetter, tuple[LegEnd, ...]] = {
            "A": leg_ends(cage, bar_id, "A"),
            "B": leg_ends(cage, bar_id, "B"),
        }
    except UserError as error:
        ui.label(error.findings[0].sentence).classes("hw-soft")
        return
    foot = foot_end(cage, bar_id)
    ui.label(_now(bench, member, foot)).classes("hw-soft")
    begun: EndLetter = foot if member.leg_mm is None else member.leg_from
    names = {end: f"end {end}{', its foot' if end == foot else ''}" for end in ends}
    counted = ui.select(names, value=begun, label="The leg is counted from").props("dense outlined")
    counted.classes("w-full")
    at = ui.select({_TYPED: ""}, value=_TYPED, label="Seen from there, the leg ends")
    at.props("dense outlined").classes("w-full")
    typed = length_entry(
        "Length of the leg",
        value="" if member.leg_mm is None else bench.length(member.leg_mm),
        hint="along the bar; a bend counts when its middle lies in it",
    )

    def letter() -> EndLetter:
        return "B" if counted.value == "B" else "A"

    def list_ends() -> None:
        choices = {
            number: f"{end.words}: {end.bends} in the leg, {bench.length(end.leg_mm)}"
            for number, end in enumerate(ends[letter()])
        }
        at.set_options({**choices, _TYPED: "at the length typed below"}, value=_TYPED)

    def show() -> None:
        typed.row.set_visibility(at.value == _TYPED)

    counted.on_value_change(list_ends)
    at.on_value_change(show)
    list_ends()

    async def keep(leg_mm: float | None) -> None:
        end = letter()
        done = await edit_typed(
            bench, form, lambda folder: mark_leg(folder, bar_id, leg_mm, end), bar_id=bar_id
        )
        if done is None:
            return
        said = "no leg is marked" if leg_mm is None else f"the leg ends {bench.length(leg_mm)} from end {end}"
        ui.notify(f"✓ {', '.join(done.bars)}: {said}")
        if then is not None:
            await then()

    async def mark() -> None:
        try:
            leg_mm = typed.value() if at.value == _TYPED else ends[letter()][int(at.value or 0)].leg_mm
        except UserError as error:
            bench.say(error.findings)
            return
        await keep(leg_mm)

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Mark the leg", on_click=mark).classes("hw-button")
        if member.leg_mm is not None:
            ui.button("Take the mark away", on_click=lambda: keep(None)).props("flat dense")


def _now(bench: Bench, member: Member, foot: EndLetter) -> str:
    if member.leg_mm is None:
        return f"Not marked: a rule on the bends of a leg is not checked. The foot of the leg is taken as end {foot}."
    marked = f"The leg is marked as {bench.length(member.leg_mm)} from end {member.leg_from}. Its mirror has the same."
    return marked if member.leg_from == foot else f"{marked} The bar's foot is end {foot}."

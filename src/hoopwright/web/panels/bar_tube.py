"""What a bar is, its tube and its die."""

from nicegui import ui

from hoopwright.cage import Member, Role
from hoopwright.findings import UserError
from hoopwright.jobs.bar_edits import set_bar_role, set_bar_tube
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry, text_entry, tube_entry
from hoopwright.web.forms import Form, edit_typed


def role_section(bench: Bench, member: Member) -> None:
    """What it is; a choice is kept at once."""
    bar_id = member.member_id
    role = ui.select([one.value for one in Role], value=member.role.value, label="what it is")
    role.props("dense outlined").classes("w-full")

    async def keep_role() -> None:
        await bench.edit(lambda folder: set_bar_role(folder, bar_id, Role(str(role.value))), bar_id=bar_id)

    role.on_value_change(keep_role)


def tube_section(bench: Bench, form: Form, member: Member) -> None:
    """Tube, die and radius.

    Args:
        bench: The page.
        form: What it stands in.
        member: The bar.
    """
    bar_id = member.member_id
    tube = tube_entry("Tube", value=f"{member.tube.od_mm:g} x {member.tube.wall_mm:g}")
    die = text_entry("Die", value=member.die)
    clr = length_entry(
        "Centreline radius drawn",
        value=bench.length(member.clr_mm),
        hint="sheets use the calibrated",
        stands_for_mm=member.clr_mm,
    )

    async def keep() -> None:
        try:
            size, name, radius_mm = tube.value(), die.text or member.die, clr.value()
        except UserError as error:
            bench.say(error.findings)
            return
        told = await edit_typed(
            bench,
            form,
            lambda folder: set_bar_tube(folder, bar_id, tube=size, die=name, clr_mm=radius_mm),
            bar_id=bar_id,
        )
        if told:
            bench.say(told)

    ui.button("Keep tube and die", on_click=keep).classes("hw-button")

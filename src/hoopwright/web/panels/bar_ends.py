"""What the ends of a bar land on, what is left on them until test fit, and how much of them is not judged."""

from nicegui import ui

from hoopwright.cage import EndLetter, Member
from hoopwright.findings import UserError
from hoopwright.jobs.bar_edits import set_bar_end
from hoopwright.jobs.cage_bars import end_on
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry
from hoopwright.web.forms import Form, edit_typed

NOTHING, SHELL = "nothing", "the shell"
_WORDS = {NOTHING: "free", SHELL: "shell"}


def ends_words(member: Member) -> None:
    """What else changes with the ends of this bar."""
    if member.mirror_of is not None:
        ui.label(f"Mirrors {member.mirror_of}: what is changed here is changed there too.").classes("hw-soft")


def end_section(bench: Bench, form: Form, member: Member, letter: EndLetter) -> None:
    """One end.

    Args:
        bench: The page.
        form: What it stands in.
        member: The bar.
        letter: The end.
    """
    bar_id, end = member.member_id, member.end_a if letter == "A" else member.end_b
    others = [one.member_id for one in bench.seen.project.cage.members if one.member_id != bar_id]
    now = {"free": NOTHING, "shell": SHELL}.get(end.kind, end.on or NOTHING)
    ui.label(f"End {letter}").classes("hw-head")
    on = (
        ui.select([NOTHING, SHELL, *others], value=now, label=f"End {letter} lands on")
        .props("dense outlined")
        .classes("w-full")
    )
    trim = length_entry(
        f"Trim at end {letter}",
        value=bench.length(end.trim_mm),
        hint="left on until test fit",
        stands_for_mm=end.trim_mm,
    )
    landing = length_entry(
        f"Landing at end {letter}",
        value=bench.length(end.landing_mm),
        hint="not judged for gaps; empty: as usual",
        stands_for_mm=end.landing_mm,
    )

    async def keep() -> None:
        try:
            wanted = end_on(_WORDS.get(str(on.value), str(on.value)), trim.maybe() or 0.0, landing.maybe())
        except UserError as error:
            bench.say(error.findings)
            return
        told = await edit_typed(
            bench, form, lambda folder: set_bar_end(folder, bar_id, letter, wanted), bar_id=bar_id
        )
        if told:
            bench.say(told)

    ui.button(f"Keep end {letter}", on_click=keep).classes("hw-button")

"""What the ends of a bar land on, what is left on them until test fit, and how much of them is not judged."""

from nicegui import ui

from hoopwright.cage import End, EndLetter, Member
from hoopwright.findings import UserError
from hoopwright.jobs.bar_edits import set_bar_end
from hoopwright.jobs.projects import end_on
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry

NOTHING, SHELL = "nothing", "the shell"
_WORDS = {NOTHING: "free", SHELL: "shell"}


def ends_section(bench: Bench, member: Member) -> None:
    """Both ends."""
    if member.mirror_of is not None:
        ui.label(f"Mirrors {member.mirror_of}: what is changed here is changed there too.").classes("hw-soft")
    letters: tuple[tuple[EndLetter, End], ...] = (("A", member.end_a), ("B", member.end_b))
    for letter, end in letters:
        _end(bench, member.member_id, letter, end)


def _end(bench: Bench, bar_id: str, letter: EndLetter, end: End) -> None:
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
        told = await bench.edit(lambda folder: set_bar_end(folder, bar_id, letter, wanted), bar_id=bar_id)
        if told:
            bench.say(told)

    ui.button(f"Keep end {letter}", on_click=keep).classes("hw-button")

"""What is done with the chosen bar as a whole: mirrored, freed, taken out, held against its own side."""

from collections.abc import Callable, Hashable

from nicegui import ui

from hoopwright.cage import Member
from hoopwright.fitting.side_pair import SideChoice, SideOffer
from hoopwright.jobs.cage_bars import free_bar, mirror_bar, remove_bar
from hoopwright.jobs.other_side import OtherSideReport, other_side
from hoopwright.shell.clearance import TubeGaps
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.forms import form_part
from hoopwright.web.made import fill_part
from hoopwright.web.parts import table
from hoopwright.web.picks import finding_list
from hoopwright.web.work import work

_CHOICES = {
    SideChoice.SHIFT: "Free it and shift it, same bends",
    SideChoice.REFIT: "Free it and fit it to its own side",
    SideChoice.KEEP: "Keep them mirrored, with the gap both hold",
}


def chosen_bar_section(bench: Bench) -> None:
    """Build the section."""

    def chosen(fill: Callable[[Bench, Member], None]) -> Callable[..., None]:
        def filled(*_: object) -> None:
            cage = bench.seen.project.cage
            if bench.chosen is not None and bench.chosen in cage:
                fill(bench, cage.member(bench.chosen))

        return filled

    def whole() -> Hashable:
        return bench.chosen, bench.seen.version, bench.units

    def names() -> Hashable:
        members = bench.seen.project.cage.members
        return bench.chosen, tuple((one.member_id, one.mirror_of) for one in members)

    def head() -> None:
        cage = bench.seen.project.cage
        if bench.chosen is None or bench.chosen not in cage:
            ui.label("Choose a bar in the list or in the picture.").classes("hw-soft")
            return
        member = cage.member(bench.chosen)
        ui.label(f"{member.member_id}: {member.role.value}, {member.tube}").classes("hw-head")

    fill_part(bench, whole, head)
    form_part(bench, names, chosen(_mirroring), about=lambda: bench.chosen)
    fill_part(bench, whole, chosen(_actions))


def _twin(bench: Bench, name: str) -> str | None:
    return next((m.member_id for m in bench.seen.project.cage.members if m.mirror_of == name), None)


def _mirroring(bench: Bench, member: Member) -> None:
    name = member.member_id
    twin = _twin(bench, name)
    if member.mirror_of is not None:
        ui.label(f"Mirrors {member.mirror_of}.")
        ui.button("Give it nodes of its own", on_click=lambda: _do(bench, name, free_bar)).props(
            "flat no-caps"
        )
    elif twin is not None:
        ui.label(f"{twin} mirrors it.")
    else:
        with ui.row().classes("hw-row"):
            free = _other_name(name)
            free = "" if free in bench.seen.project.cage else free
            other = ui.input("Name of its mirror", value=free).props("dense outlined")
            other.classes("grow")
            ui.button(
                "Mirror it",
                on_click=lambda: _do(
                    bench, name, lambda folder, one: mirror_bar(folder, one, str(other.value or "").strip())
                ),
            ).classes("hw-button")


def _actions(bench: Bench, member: Member) -> None:
    name = member.member_id
    if _twin(bench, name) is not None or member.mirror_of is not None:
        _own_side(bench, name)
    ui.button(f"Take {name} out of the cage", on_click=lambda: _confirm(bench, member)).props("flat no-caps")


async def _do(bench: Bench, name: str, what: Callable[[ProjectFolder, str], None]) -> None:
    await bench.edit(lambda folder: what(folder, name), bar_id=name)


def _confirm(bench: Bench, member: Member) -> None:
    name = member.member_id
    cage = bench.seen.project.cage
    hanging = [m.member_id for m in cage.members if name in (m.mirror_of, m.end_a.on, m.end_b.on)]
    with ui.dialog().props(f'aria-label="Take {name} out"') as dialog, ui.card().classes("hw-ask"):
        ui.label(f"Take {name} out of the cage?").classes("hw-head")
        words = "Its holes, landings and gussets go with it. Undo brings all back."
        if hanging:
            words = f"Not yet: {', '.join(hanging)} end on it or mirror it. Take those out first."
        ui.label(words)

        async def remove() -> None:
            dialog.close()
            await _do(bench, name, remove_bar)

        with ui.row():
            if not hanging:
                ui.button("Take it out", on_click=remove).classes("hw-button")
            ui.button("Leave it", on_click=dialog.close).props("flat no-caps")
    dialog.on("hide", dialog.delete)
    dialog.open()


def _own_side(bench: Bench, name: str) -> None:
    """Both bars of a pair, each against its own side of the car."""
    box = ui.column().classes("w-full gap-1")

    async def compare(take: SideChoice | None = None) -> None:
        report = await work(
            bench,
            f"Holding {name} and its mirror against their own sides",
            lambda folder, progress: other_side(folder, name, take, progress=progress),
            edits=take is not None,
        )
        if take is None:
            box.clear()
            with box:
                if report is None:
                    finding_list(bench, bench.findings)
                else:
                    _both(bench, report, compare)

    ui.button("Hold the pair against its own sides", on_click=compare).props("flat no-caps")


def _both(bench: Bench, report: OtherSideReport, compare: Callable[..., object]) -> None:
    source, other = report.pair.source.name, report.pair.other.name
    finding_list(bench, report.findings)
    rows = [["as it is", _least(bench, report.now.source), _least(bench, report.now.other), ""]]
    rows += [
        [
            offer.choice.value,
            _least(bench, offer.source_gaps),
            _least(bench, offer.other_gaps),
            "yes" if offer.holds else "no",
        ]
        for offer in report.offers
    ]
    table(["", f"{source} least", f"{other} least", "both hold"], rows)
    for offer in report.offers:
        if _can_be(offer):
            ui.button(_CHOICES[offer.choice], on_click=lambda _, one=offer.choice: compare(one)).props(
                "flat no-caps"
            )


def _can_be(offer: SideOffer) -> bool:
    return offer.refused is None and not offer.impossible


def _least(bench: Bench, gaps: TubeGaps) -> str:
    return "not known" if gaps.smallest is None else bench.length(gaps.smallest.gap_mm)


def _other_name(name: str) -> str:
    return f"{name[:-1]}R" if name.endswith("-L") else f"{name[:-1]}L" if name.endswith("-R") else f"{name}-R"

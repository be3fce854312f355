"""A list of lengths cut from the fewest sticks, without a cage: for a quick order, or a job that is not drawn."""

from dataclasses import dataclass

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.cuts import CutsFound
from hoopwright.jobs.made_pdf import findings_of
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.stock_words import bought_words, spare_words
from hoopwright.jobs.typed_lengths import lengths_words, plan_lengths, put_length_papers, typed_lengths
from hoopwright.stock import Piece
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, tube_entry
from hoopwright.web.findings_words import job_words
from hoopwright.web.made import fill_part, told_below
from hoopwright.web.panels.stick_plan import draw_group
from hoopwright.web.panels.sticks_asked import SticksAsked
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.picks import finding_list
from hoopwright.web.work import work


@dataclass
class _State:
    """What was last planned of the list."""

    found: CutsFound | None = None
    papers: tuple[str, ...] = ()


def lengths(bench: Bench, asked: SticksAsked) -> None:
    """The form and its plan.

    Args:
        bench: The page.
        asked: Sticks, saw and price, as typed above it.
    """
    state = _State()
    ui.label("From sticks to buy, as typed under Sticks and saw; the rack is not used.").classes("hw-soft")
    listed: Entry[tuple[Piece, ...]] = Entry(
        "Lengths",
        typed_lengths,
        lambda pieces: job_words(lengths_words(pieces), bench.units),
        hint="such as 3385; 2 x 1990; 1460",
    )
    listed.follow_units(bench, in_inches='such as 133 1/4"; 2 x 78 3/8"; 57 1/2"')
    tube = tube_entry("Tube of the list")

    async def plan() -> None:
        try:
            pieces, size, wishes = listed.value(), tube.value(), asked.wishes()
        except UserError as error:
            told(error.findings)
            return
        found = await work(
            bench,
            "Planning the cuts of the list",
            lambda folder, progress: plan_lengths(folder, pieces, size, wishes, progress=progress),
            edits=False,
        )
        told(bench.findings if found is None else ())
        state.found, state.papers = found, ()
        bench.tell()

    ui.button("Plan these lengths", on_click=plan).classes("hw-button")
    told = told_below(bench)
    fill_part(bench, lambda: (id(state.found), bench.units, state.papers), lambda: _plan(bench, state))


def _plan(bench: Bench, state: _State) -> None:
    found = state.found
    if found is None:
        return
    for group in found.groups:
        draw_group(bench, group)
        name = f"{group.spare.name}, {bench.length(group.spare.length_mm)}: the longest"
        ui.label(spare_words(group, name)).classes("hw-soft")
        ui.label(f"To buy: {job_words(bought_words(group), bench.units)}")
    finding_list(bench, found.findings)

    async def papers() -> None:
        unit = bench.units
        made = await work(
            bench,
            "Drawing the list and the labels",
            lambda folder, _: put_length_papers(folder, found, date=today(), unit=unit),
            edits=False,
        )
        if made is not None:
            state.papers = tuple(put.file.name for put in made)
            bench.say(findings_of(made))
            bench.tell()

    ui.button("List and labels of these lengths", on_click=papers).classes("hw-button")
    for name in state.papers:
        ui.link(name, paper_address(bench.view.base, name), new_tab=True).classes("hw-link")

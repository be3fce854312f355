"""Which stick is sawn into which bars, what is bought, and that it was sawn."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.made_pdf import findings_of
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.rate_fields import keep_planned_price, tube_price_words
from hoopwright.jobs.sawn_plans import SawnPlan, sawn_plans
from hoopwright.jobs.stock import ProjectStock, stock_of
from hoopwright.jobs.stock_papers import put_stock_papers
from hoopwright.jobs.stock_taking import Taken, take_stock
from hoopwright.jobs.tube_choices import ShopTube, tube_in_shop
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.made import Made, fill_part, make, told_below
from hoopwright.web.panels.batches import batches
from hoopwright.web.panels.delivery import delivery
from hoopwright.web.panels.rack import rack
from hoopwright.web.panels.sawn import back_words, draw_sawn, taken_words
from hoopwright.web.panels.stick_lengths import lengths
from hoopwright.web.panels.stick_plan import draw_plan
from hoopwright.web.panels.sticks_asked import SticksAsked
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.picks import finding_list, older, when_open
from hoopwright.web.reading import read
from hoopwright.web.work import work

Look = Callable[[], Awaitable[None]]
"""Reads the shop again."""


@dataclass(frozen=True, kw_only=True)
class _Shop:
    """What the shop knows: its tube, and what was recorded of this project."""

    tube: ShopTube
    sawn: tuple[SawnPlan, ...] = ()
    prices: str = ""


@dataclass
class _State(Made[ProjectStock]):
    """What this page last planned and read."""

    papers: tuple[str, ...] = ()
    told: str = ""
    paper: str = "A4"
    typed_since: bool = False
    shop: _Shop | None = None


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()

    def typed() -> None:
        differs = state.report is not None and asked.differs(state.report.wishes)
        if differs != state.typed_since:
            state.typed_since = differs
            bench.tell()

    async def look() -> None:
        known = await read(bench, _shop)
        if known is not None:
            state.shop = known
            asked.rates_say(known.prices)
            bench.tell()

    def tube() -> ShopTube | None:
        return None if state.shop is None else state.shop.tube

    with ui.expansion("Sticks and saw", value=False):
        asked = SticksAsked(bench, typed)
    with ui.expansion("Tube that came", value=False):
        delivery(bench, look)
    with ui.expansion("On the rack of the shop", value=False):
        rack(bench, tube, look)
    with ui.expansion("Batches", value=False):
        batches(bench, tube, look)

    with ui.expansion("A list of lengths, without a cage", value=False):
        lengths(bench, asked)

    async def plan() -> None:
        before = state.report
        state.told = ""
        try:
            wishes = asked.wishes()
        except UserError as error:
            told(error.findings)
            return
        state.papers = ()
        await make(
            bench,
            state,
            "Planning the cuts",
            lambda folder, progress: stock_of(folder, wishes, progress=progress),
        )
        told(bench.findings if state.report is before else ())
        typed()
        found = state.report
        if found is not None and found is not before and wishes.price is not None:
            kept = await read(bench, lambda folder: keep_planned_price(folder, found))
            if kept:
                ui.notify(f"Price kept with your rates: {', '.join(kept)}")
                await look()

    with ui.row().classes("hw-row"):
        ui.button("Plan the cuts", on_click=plan).classes("hw-button")
        ui.label("Nothing is recorded by it.").classes("hw-soft")
    told = told_below(bench)
    fill_part(
        bench,
        lambda: (id(state.shop), state.told, bench.seen.version),
        lambda: _recorded(bench, state, look),
        gap="gap-1",
    )
    fill_part(
        bench,
        lambda: (id(state.report), bench.seen.version, bench.units, state.papers, state.typed_since),
        lambda: _plan(bench, state, look),
    )
    when_open(bench, "Sticks", lambda: bench.seen.version, look)


def _shop(folder: ProjectFolder) -> _Shop:
    return _Shop(tube=tube_in_shop(), sawn=sawn_plans(folder), prices=_prices(folder))


def _prices(folder: ProjectFolder) -> str:
    """Rates that cannot be read are told where they are used."""
    try:
        return tube_price_words(folder)
    except UserError:
        return ""


def _recorded(bench: Bench, state: _State, look: Look) -> None:
    if state.told:
        ui.label(state.told).props('role="status"')

    async def taken_back(made: Taken) -> None:
        state.told, state.report, state.papers = back_words(made), None, ()
        await look()

    draw_sawn(bench, () if state.shop is None else state.shop.sawn, taken_back)


def _plan(bench: Bench, state: _State, look: Look) -> None:
    found = state.report
    if found is None:
        ui.label(_nothing_planned(bench)).classes("hw-soft")
        return
    older(bench, state.version, "Plan the cuts again.")
    if state.typed_since:
        ui.label("△ OLD: sticks or saw were typed otherwise since. Plan the cuts again.").classes(
            "hw-finding"
        ).props('role="status"')
    draw_plan(bench, found)
    _ways_on(bench, state, found, look)
    finding_list(bench, found.findings)


def _nothing_planned(bench: Bench) -> str:
    project = bench.seen.project
    bars = [member.member_id for member in project.cage.members]
    if not bars:
        return "No bars to cut yet. Lay a cage out first, under Cage; lengths alone can be planned above."
    tube_of = project.tube_of
    if all(bar in tube_of and tube_of[bar].stick for bar in bars):
        return "All bars are sawn. To saw one again, name it in 'Only these bars', under Sticks and saw."
    return "Not planned yet."


def _ways_on(bench: Bench, state: _State, found: ProjectStock, look: Look) -> None:
    paper = ui.toggle(["A4", "letter"], value=state.paper).props(
        'dense aria-label="Paper of the lists and the labels"'
    )
    paper.on_value_change(lambda: setattr(state, "paper", str(paper.value)))

    async def papers() -> None:
        unit, size = bench.units, state.paper
        made = await work(
            bench,
            "Drawing the lists and the labels",
            lambda folder, _: put_stock_papers(folder, found, date=today(), paper=size, unit=unit),
            edits=False,
        )
        if made is not None:
            state.papers = tuple(put.file.name for put in made)
            bench.say(findings_of(made))
            bench.tell()

    async def sawn() -> None:
        if not await _is_sawn(found):
            return
        made = await work(
            bench,
            "Recording the cuts",
            lambda folder, progress: take_stock(
                folder, found.wishes, date=today(), plan=found.identity, progress=progress
            ),
        )
        if made is not None:
            state.told, state.report, state.papers = taken_words(made), None, ()
            await look()

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Saw list, labels, order list", on_click=papers).classes("hw-button")
        if not found.order:
            ui.button("It was sawn", on_click=sawn).props("flat dense")
    for name in state.papers:
        ui.link(name, paper_address(bench.view.base, name), new_tab=True).classes("hw-link")
    if found.order:
        ui.label(
            "Before it is recorded as sawn: put the sticks that are to buy on the rack, under Tube that came, with "
            "batch and heat number; then plan again."
        ).classes("hw-soft")
    ui.label(f"Plan {found.identity}: the code that its list and labels bear").classes("hw-soft")


async def _is_sawn(found: ProjectStock) -> bool:
    with ui.dialog().props('aria-label="Record the cuts"') as asked, ui.card().classes("hw-dialog"):
        ui.label(
            f"Record plan {found.identity} as sawn? Its sticks count as used, what is left goes back on the rack "
            "with its batch and heat number, and each bar has its tube on record."
        )
        with ui.row():
            ui.button("Yes, it was sawn", on_click=lambda: asked.submit(True)).classes("hw-button")
            ui.button("Not yet", on_click=lambda: asked.submit(False)).props("flat dense")
    return bool(await asked)

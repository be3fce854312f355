"""Which stick is sawn into which bars, what is bought, and that it was sawn."""

from collections.abc import Callable
from dataclasses import dataclass, field
from html import escape
from typing import Any

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.cuts import GroupCuts
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.stick_words import bar_names, stick_offer, stick_price
from hoopwright.jobs.stock import ProjectStock, StockWishes, stock_of
from hoopwright.jobs.stock_papers import put_stock_papers
from hoopwright.jobs.stock_taking import Taken, put_back, take_stock
from hoopwright.stock import CutStick
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, length_entry, text_entry
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.number_entries import number_entry
from hoopwright.web.panels.rack import delivery, rack
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.parts import counted, table
from hoopwright.web.picks import finding_list, older
from hoopwright.web.work import work

_SOURCES = {"buy": "to buy", "rack": "on the rack", "offcut": "offcut"}
_MM_PER_M = 1000.0
_PERCENT = 100.0
_NAME_SHARE = 0.09
_USUAL_S = 10.0


@dataclass
class _State(Made[ProjectStock]):
    """What this page last planned."""

    papers: tuple[str, ...] = ()
    taken: Taken | None = None
    is_back: bool = False
    paper: str = "A4"
    wishes: StockWishes = field(default_factory=StockWishes)


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()
    with ui.expansion("Sticks and saw", value=False):
        asked = _Asked()
    with ui.expansion("Tube that came", value=False):
        delivery(bench)

    async def plan() -> None:
        try:
            wishes = asked.wishes()
        except UserError as error:
            bench.say(error.findings)
            return
        state.wishes, state.papers = wishes, ()
        await make(
            bench,
            state,
            "Planning the cuts",
            lambda folder, progress: stock_of(folder, wishes, progress=progress),
        )

    with ui.row().classes("hw-row"):
        ui.button("Plan the cuts", on_click=plan).classes("hw-button")
        ui.label("Nothing is recorded by it.").classes("hw-soft")
    fill_part(
        bench,
        lambda: (id(state.report), bench.seen.version, bench.units, state.papers),
        lambda: _plan(bench, state),
    )
    fill_part(bench, lambda: id(state.taken), lambda: _taken(bench, state), gap="gap-1")


class _Asked:
    """What is typed of sticks and saw."""

    def __init__(self) -> None:
        self._sticks: Entry[str] = text_entry(
            "Sticks that can be bought",
            hint="6 m without; or 6 m:10, 7500:2:31.50 as length:count:price, with ; between",
        )
        self._kerf = length_entry("The saw takes", value="3")
        self._trim = length_entry("Cut off each end of a whole stick", value="0")
        self._price: Entry[str] = text_entry("Price", hint="such as 4.20/m or 25/stick, in your money")
        self._together: Entry[str] = text_entry(
            "Bars that share a batch", hint="such as MH, FH; mirrored pairs do anyway"
        )
        self._fewest = ui.checkbox("the fewest sticks, whatever they cost").props("dense")
        self._spares = ui.checkbox("cut the spares that are proposed, too").props("dense")
        self._rack = ui.checkbox("use what is on the rack of the shop", value=True).props("dense")
        self._limit = number_entry("Look for a better plan for so many seconds, each size", value="10")

    def wishes(self) -> StockWishes:
        """As typed.

        Raises:
            UserError: What cannot be read.
        """
        together = self._together.text.split(";")
        seconds = self._limit.maybe()
        return StockWishes(
            offers=tuple(stick_offer(text.strip()) for text in self._sticks.text.split(";") if text.strip()),
            kerf_mm=self._kerf.value(),
            trim_mm=self._trim.value(),
            goal="fewest" if self._fewest.value else "least",
            price=stick_price(self._price.text) if self._price.text else None,
            together=tuple(bar_names(text) for text in together if text.strip()),
            spares=bool(self._spares.value),
            rack=bool(self._rack.value),
            time_limit_s=_USUAL_S if seconds is None else max(0.0, seconds),
        )


def _plan(bench: Bench, state: _State) -> None:
    found = state.report
    if found is None:
        bars = len(bench.seen.project.cage.members)
        words = "Not planned yet." if bars else "No bars to cut yet. Lay a cage out first, under Cage."
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, "Plan the cuts again.")
    for group, spare in zip(found.groups, found.spares, strict=True):
        _group(bench, group)
        name = f"{spare.bar_id}, {bench.length(spare.length_mm)}: {spare.why}"
        ui.label(_spare_words(group, name)).classes("hw-soft")
    ui.label("To buy").classes("hw-head")
    _order(bench, found)
    for bar, why in found.left_out:
        ui.label(f"{bar} is not in it: {why}").classes("hw-finding note")
    with ui.expansion("On the rack of the shop"):
        rack(bench, found)
    _ways_on(bench, state, found)
    finding_list(bench, found.findings)


def _group(bench: Bench, group: GroupCuts) -> None:
    plan = group.to_saw
    ui.label(group.title).classes("hw-head")
    offcuts = f" and {counted(plan.offcut_count, 'offcut')}" if plan.offcut_count else ""
    proof = (
        "✓ proven: no plan takes fewer"
        if plan.proven_optimal
        else f"△ not proven; no plan has under {plan.lower_bound}"
    )
    if plan.proven_optimal and not plan.stick_count:
        proof = "✓ proven best"
    ui.label(f"{counted(plan.stick_count, 'stick')}{offcuts}. {proof}.")
    ui.label(
        f"{plan.parts_mm / _MM_PER_M:.2f} m of parts, {_PERCENT * plan.waste_ratio:.1f} % waste"
    ).classes("hw-soft")
    longest = max(stick.offer.length_mm for stick in plan.sticks)
    for stick in plan.sticks:
        _stick(bench, stick, longest)


def _stick(bench: Bench, stick: CutStick, longest_mm: float) -> None:
    """One stick to scale, with its parts in words below, so that no colour is needed."""
    offer = stick.offer
    source = f"{_SOURCES[offer.source]}{f' {offer.label}' if offer.label else ''}"
    ui.label(f"{stick.number}: {source}, {bench.length(offer.length_mm)}; {bench.length(stick.rest_mm)} left")
    words = ", ".join(f"{part.name} {bench.length(part.length_mm)}" for part in stick.parts)
    drawn = "".join(
        f'<div class="hw-part" style="width: {_PERCENT * part.length_mm / offer.length_mm:.2f}%">'
        f"{escape(part.name) if part.length_mm > _NAME_SHARE * longest_mm else ''}</div>"
        for part in stick.parts
    )
    said = escape(f"Stick {stick.number}: {words}", quote=True)
    share = _PERCENT * offer.length_mm / longest_mm
    ui.html(
        f'<div class="hw-stick" role="img" aria-label="{said}" style="width: {share:.1f}%">'
        f'{drawn}<div class="hw-rest"></div></div>',
        sanitize=False,
    ).classes("w-full")
    ui.label(words).classes("hw-soft")


def _spare_words(group: GroupCuts, name: str) -> str:
    if group.spares_asked:
        return f"The spare is in it: {name}"
    if group.spared is None:
        return f"A spare is proposed, not counted: {name}. These sticks do not hold it."
    more = group.spared.stick_count - group.plan.stick_count
    with_it = f"takes {counted(more, 'stick')} more" if more > 0 else "fits into the same sticks"
    return f"A spare is proposed, not counted; it {with_it}: {name}"


def _order(bench: Bench, found: ProjectStock) -> None:
    if not found.order:
        ui.label("Nothing: the rack holds it all.")
        return
    rows = [
        [
            f"{line.tube} {line.steel}".strip(),
            f"{line.count} x {bench.length(line.length_mm)}",
            f"{line.mass_kg:.1f}",
            "not priced" if line.price is None else f"{line.price:.2f}",
        ]
        for line in found.order
    ]
    table(["tube, mm", "sticks", "kg", "price"], rows)
    for line in found.order:
        for bars in line.share_a_batch:
            ui.label(f"{line.tube}: {bars} of one batch").classes("hw-soft")


def _ways_on(bench: Bench, state: _State, found: ProjectStock) -> None:
    paper = ui.toggle(["A4", "letter"], value=state.paper).props(
        'dense aria-label="Paper of the list and the labels"'
    )
    paper.on_value_change(lambda: setattr(state, "paper", str(paper.value)))

    async def papers() -> None:
        unit, size = bench.units, state.paper
        made = await work(
            bench,
            "Drawing the list and the labels",
            lambda folder, _: put_stock_papers(folder, found, date=today(), paper=size, unit=unit),
            edits=False,
        )
        if made is not None:
            state.papers = tuple(file.name for file in made)
            bench.tell()

    async def sawn() -> None:
        with ui.dialog().props('aria-label="Record the cuts"') as asked, ui.card().classes("hw-dialog"):
            ui.label(
                f"Record plan {found.identity} as sawn? Its sticks count as used, what is left goes back on the rack "
                "with its batch and heat number, and each bar has its tube on record."
            )
            with ui.row():
                ui.button("Yes, it was sawn", on_click=lambda: asked.submit(True)).classes("hw-button")
                ui.button("Not yet", on_click=lambda: asked.submit(False)).props("flat dense")
        if not await asked:
            return
        await _record(
            bench,
            state,
            "Recording the cuts",
            lambda folder, progress: take_stock(
                folder, found.wishes, date=today(), plan=found.identity, progress=progress
            ),
        )

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("List to saw by, and labels", on_click=papers).classes("hw-button")
        ui.button("It was sawn", on_click=sawn).props("flat dense")
    for name in state.papers:
        ui.link(name, paper_address(bench.view.base, name), new_tab=True).classes("hw-link")
    ui.label(f"Plan {found.identity}").classes("hw-soft")


async def _record(
    bench: Bench, state: _State, title: str, what: Callable[[Any, Any], Taken], *, back: bool = False
) -> None:
    made = await work(bench, title, what)
    if made is not None:
        state.taken, state.is_back = made, back
        bench.tell()


def _taken(bench: Bench, state: _State) -> None:
    made = state.taken
    if made is None:
        return
    if state.is_back:
        sticks = counted(len(made.used), "stick")
        ui.label(
            f"Plan {made.identity} taken back: {sticks} on the rack again, no bar cut. Plan the cuts anew."
        )
        return
    ui.label(
        f"Plan {made.identity}: {counted(len(made.used), 'stick')} used, {counted(len(made.bars), 'bar')}."
    )
    for stick in made.offcuts:
        ui.label(f"On the rack: offcut {stick.label}, {bench.length(stick.length_mm)}")
    finding_list(bench, made.findings)

    async def back() -> None:
        await _record(
            bench,
            state,
            "Taking the cuts back",
            lambda folder, _: put_back(folder, made.identity, shop=None, date=today()),
            back=True,
        )

    ui.button("Take this recording back", on_click=back).props("flat dense")

"""What the cage weighs, takes and costs, and against another layout."""

from dataclasses import dataclass

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.layouts_compared import Compared, compare_layouts, layout_named
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.quote_papers import discount_words, put_quote, quantity_facts, tax_words
from hoopwright.jobs.quotes import Quote, quote_of
from hoopwright.jobs.typed_texts import TypedText, keep_rates_text, rates_faults, rates_text
from hoopwright.stock.money import PriceLine
from hoopwright.units import shown
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.panels.rate_entries import rate_entries
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.parts import counted, table
from hoopwright.web.picks import finding_list, older, show_place
from hoopwright.web.text_edit import TextKind, edit_text
from hoopwright.web.work import work

_ACROSS_MM = 2500.0
_KEYS = (
    "Type what you ask between the quotes; what is left empty is not priced, and is never counted as nothing. "
    "Another size of tube is another [[tube]] block with the same lines. "
    "The rates are your own: they are kept on this machine and hold for every project without rates of its own."
)


@dataclass
class _State(Made[Quote]):
    """What this page last reckoned."""

    learnt: bool = False
    paper: str = "A4"
    file: str = ""


def build(bench: Bench) -> None:
    """Fill the tab."""
    state, other = _State(), Made[Compared]()

    async def reckon() -> None:
        learnt, state.file = state.learnt, ""
        await make(
            bench,
            state,
            "Reckoning the cage",
            lambda folder, progress: quote_of(folder, date=today(), learnt=learnt, progress=progress),
        )

    async def text_kept() -> None:
        await again()
        await reckon()

    async def rates() -> None:
        folder = bench.desk.folder

        def keep(text: str, was: str) -> TypedText:
            return keep_rates_text(folder, text, was=was)

        await edit_text(
            bench,
            TextKind(
                title="Your rates",
                read=lambda: rates_text(folder),
                faults=lambda text: rates_faults(text, "rates.toml"),
                keep=keep,
                kept=text_kept,
                keys=_KEYS,
            ),
        )

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Weigh and price the cage", on_click=reckon).classes("hw-button")
        ui.button("Type your rates", on_click=rates).props("flat dense")
    again = rate_entries(bench, reckon)
    ui.checkbox(
        "minutes of a bend as past jobs took",
        on_change=lambda event: setattr(state, "learnt", bool(event.value)),
    ).props("dense")
    fill_part(
        bench,
        lambda: (id(state.report), bench.seen.version, bench.units, state.file),
        lambda: _quote(bench, state),
    )
    with ui.expansion("Against another layout"):
        _comparing(bench, other)


def _quote(bench: Bench, state: _State) -> None:
    quote = state.report
    if quote is None:
        bars = len(bench.seen.project.cage.members)
        words = "Not reckoned yet." if bars else "No bars to weigh yet. Lay a cage out first, under Cage."
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, "Weigh and price it again.")
    mass = quote.quantities.mass
    ui.label(f"{shown(mass.total.mass_kg, 1)} kg").classes("hw-name")
    ui.button(
        "Show the centre of mass",
        on_click=lambda: show_place(
            bench,
            mass.total.centre_mm,
            f"centre of mass, {shown(mass.total.mass_kg, 1)} kg",
            across_mm=_ACROSS_MM,
        ),
    ).props("flat dense")
    table(["what it takes", ""], [list(row) for row in quantity_facts(quote.quantities, quote.sticks)])
    with ui.expansion("By bar and plate"):
        rows = [[one.bar_id, bench.length(one.length_mm), shown(one.mass.mass_kg, 2)] for one in mass.members]
        rows += [[one.name, "", shown(one.mass.mass_kg, 2)] for one in mass.plates]
        table(["part", "length", "kg"], rows)
    _money(bench, quote)
    _paper(bench, state, quote)
    finding_list(bench, quote.findings)


def _money(bench: Bench, quote: Quote) -> None:
    found = quote.priced
    ui.label("Cost").classes("hw-head")
    if not found.is_priced:
        ui.label("Nothing is priced yet: type your rates, as many as you know.")
    unit = found.currency
    rows = [
        [
            line.what,
            _amount(line),
            "not priced" if line.amount is None else f"{line.amount:.{found.decimals}f}",
        ]
        for line in found.lines
    ]
    if found.is_priced:
        if found.discount is not None:
            rows.append([discount_words(quote.rates), "", f"-{found.discount:.{found.decimals}f}"])
        if found.tax is not None:
            rows.append([tax_words(quote.rates), "", f"{found.tax:.{found.decimals}f}"])
        rows.append(
            [
                "Total of what is priced",
                f"{shown(float(found.hours), 2)} h",
                f"{found.total:.{found.decimals}f} {unit}".strip(),
            ]
        )
    table(["line", "", unit or "amount"], rows)
    if found.missing and found.is_priced:
        ui.label(f"{counted(len(found.missing), 'line')} not priced: the total is without them.").classes(
            "hw-finding"
        )
    with ui.expansion("What the figures rest on"):
        for words in quote.assumptions:
            ui.label(words)


def _amount(line: PriceLine) -> str:
    """How much of it, at what price."""
    if line.quantity is None:
        return line.missing
    price = "" if line.price is None else f" at {line.price:f}"
    return f"{line.quantity:f} {line.unit}".strip() + price


def _paper(bench: Bench, state: _State, quote: Quote) -> None:
    paper = ui.toggle(["A4", "letter"], value=state.paper).props('dense aria-label="Paper of the quote"')
    paper.on_value_change(lambda: setattr(state, "paper", str(paper.value)))

    async def write() -> None:
        size, unit = state.paper, bench.units
        put = await work(
            bench,
            "Drawing the quote",
            lambda folder, progress: put_quote(folder, quote, paper=size, unit=unit, progress=progress),
            edits=False,
        )
        if put is not None:
            state.file = put.file.name
            bench.say(put.findings)
            bench.tell()

    ui.button("Quote as PDF", on_click=write).classes("hw-button")
    if state.file:
        ui.link(state.file, paper_address(bench.view.base, state.file), new_tab=True).classes("hw-link")


def _comparing(bench: Bench, made: Made[Compared]) -> None:
    step = text_entry("An earlier step of this project", hint="its number, as undo counts: such as 12")
    # only who sits at this machine may name its folders
    path = text_entry("or another project", hint="its folder on this machine") if bench.at_laptop else None

    async def compare() -> None:
        other = (
            path.text.strip("\"'")
            if path is not None and path.text
            else f"{bench.desk.folder.path}@{step.text}"
        )
        typed = [one for one in (step.text, path.text if path is not None else "") if one]
        if len(typed) != 1:
            ui.notify("Type a step, or another project: one of them.")
            return
        try:
            first = layout_named(other)
        except UserError as error:
            bench.say(error.findings)
            return
        await make(
            bench,
            made,
            "Comparing",
            lambda folder, progress: compare_layouts(first, folder, date=today(), progress=progress),
        )

    ui.button("Compare", on_click=compare).classes("hw-button")
    fill_part(bench, lambda: (id(made.report), bench.seen.version), lambda: _compared(bench, made))


def _compared(bench: Bench, made: Made[Compared]) -> None:
    found = made.report
    if found is None:
        return
    older(bench, made.version, "Compare again.")
    ui.label(f"First: {found.first.label}. Second: {found.second.label}.")
    for change in found.changes:
        ui.label(f"{change.bar_id} {change.kind}: {'; '.join(change.words)}")
    ui.label(f"{counted(found.same, 'bar')} as before").classes("hw-soft")
    rows = [
        [f"{row.what}{f', {row.unit}' if row.unit else ''}", *row.words, row.difference_words]
        for row in found.rows
    ]
    table(["", "first", "second", "differs"], rows)
    for words in found.notes:
        ui.label(words).classes("hw-soft")
    finding_list(bench, found.findings)

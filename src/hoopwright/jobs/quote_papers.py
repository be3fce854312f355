"""A quote as a PDF."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from hoopwright.cage import Role
from hoopwright.findings import UserError
from hoopwright.jobs.bought_tubes import BoughtTube
from hoopwright.jobs.drawings import car_lines
from hoopwright.jobs.made_pdf import PutPdf, pdf_of, put_made
from hoopwright.jobs.quantities import Quantities
from hoopwright.jobs.quotes import Quote
from hoopwright.jobs.shells import open_shell
from hoopwright.papers import A4, LETTER
from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.quote_pages import quote_pages
from hoopwright.papers.quote_paper import MadeRow, QuotePaper
from hoopwright.papers.words import count_words, tube_words
from hoopwright.progress import Progress, silent
from hoopwright.stock.rates import Rates
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder
from hoopwright.tubes import TubeSize
from hoopwright.units import MM_PER_UNIT, LengthUnit, nearest, shown

_FOR_THE_CUSTOMER = ("FILE-106", "MASS-001", "MASS-002", "MASS-003", "COST-025")
"""Findings that say what the figures are without; all others are for the shop."""


def write_quote(
    folder: ProjectFolder,
    quote: Quote,
    file: Path,
    *,
    paper: str = "A4",
    unit: LengthUnit = "mm",
    progress: Progress = silent,
) -> PutPdf:
    """Write a quote as a PDF; the same quote gives the same bytes.

    Args:
        folder: The project.
        quote: The quote.
        file: Where it goes. A file that was not made here, or was changed since, is not overwritten.
        paper: `A4` or `letter`.
        unit: Unit in which tube sizes are given; the other stands beside it.
        progress: Told how far it is.

    Raises:
        UserError: `FILE-103` where another file is in the way; `STORE-002` where it cannot be written.
    """
    progress("drawing the quote", 0.9)
    page = quote_paper(folder, quote, unit)
    title = f"{page.title}: {page.project}"
    made = pdf_of(quote_pages(page, LETTER if paper == "letter" else A4), title=title, date=quote.date)
    put = put_made(file, made, kind="quote", identity=quote.quantities.identity, date=quote.date)
    progress("quote written", 1.0)
    return put


def put_quote(
    folder: ProjectFolder,
    quote: Quote,
    *,
    paper: str = "A4",
    unit: LengthUnit = "mm",
    progress: Progress = silent,
) -> PutPdf:
    """Write a quote among the papers of the project, as `write_quote` does."""
    make_folder(folder.papers)
    return write_quote(folder, quote, folder.papers / "quote.pdf", paper=paper, unit=unit, progress=progress)


def quote_paper(folder: ProjectFolder, quote: Quote, unit: LengthUnit = "mm") -> QuotePaper:
    """What stands on the paper of a quote."""
    rates, found = quote.rates, quote.quantities
    number = f" {rates.paper.number}" if rates.paper.number else ""
    return QuotePaper(
        title=f"Quote{number}",
        project=found.project,
        date=quote.date,
        valid_until=quote.valid_until,
        sender=rates.paper.sender,
        to=rates.paper.to,
        car=_car(folder),
        made=tuple(_made(found, unit)),
        facts=tuple(quantity_facts(found, quote.sticks)),
        priced=quote.priced,
        discount_words=discount_words(rates),
        tax_words=tax_words(rates),
        assumptions=quote.assumptions,
        open_points=tuple(one.sentence for one in quote.findings if one.code in _FOR_THE_CUSTOMER),
        terms=rates.paper.terms,
        identity=found.identity,
    )


def discount_words(rates: Rates) -> str:
    """What the discount is called, with its share where it is one."""
    return "discount" if rates.discount_percent is None else f"discount {rates.discount_percent:f} %"


def tax_words(rates: Rates) -> str:
    """What the tax is called, with its share; empty where none is added."""
    return "" if rates.tax_percent is None else f"{rates.tax_name} {rates.tax_percent:f} %"


def _car(folder: ProjectFolder) -> CarLines:
    """The cage with lines of the shell, where there is one to open."""
    project = folder.open().project
    try:
        shell = None if project.scan is None else open_shell(folder, project)
    except UserError:
        shell = None
    return car_lines(project.cage, shell)


def _made(found: Quantities, unit: LengthUnit) -> Iterator[MadeRow]:
    """Bars of one role, tube and steel in a row, in the order of the cage."""
    groups: dict[tuple[Role, TubeSize, str], list[int]] = {}
    for number, one in enumerate(found.mass.members):
        groups.setdefault((one.role, one.tube, one.steel), []).append(number)
    for (role, tube, steel), numbers in groups.items():
        members = [found.mass.members[number] for number in numbers]
        yield MadeRow(
            what=role.value,
            tube=", ".join(filter(None, (tube_words(tube, unit), steel))),
            bars=len(members),
            bends=sum(one.bends for one in members),
            mass_kg=sum(one.mass.mass_kg for one in members),
        )


def quantity_facts(found: Quantities, sticks: Sequence[BoughtTube] = ()) -> Iterator[tuple[str, str]]:
    """The quantities of a cage in words, each with what it is of; sticks where they are known."""
    bought = {(one.tube, one.steel): one.needed for one in sticks}
    metre = MM_PER_UNIT["m"]
    yield "bars, bends, coped ends", f"{found.bars}, {found.bends}, {found.copes}"
    for one in found.tubes:
        steel = f", {one.steel}" if one.steel else ""
        needed = bought.get((one.tube, one.steel))
        yield (
            f"tube {one.tube}{steel}",
            f"{shown(one.cut_mm / metre, 3)} m as sawn, {shown(one.net_mm / metre, 3)} m in the cage"
            + (
                ""
                if needed is None
                else f"; {count_words(needed.count, 'stick')} of {needed.stick_mm / metre:g} m"
            ),
        )
    welds = ", ".join(f"{one.kind} {shown(one.length_mm / metre, 2)}" for one in found.welds)
    yield "weld", f"{shown(found.weld_mm / metre, 2)} m" + (f" ({welds})" if len(found.welds) > 1 else "")
    if found.landings or found.gussets:
        plates = f"{count_words(found.landings, 'landing')}, {count_words(found.gussets, 'gusset')}"
        yield "plates", f"{plates}, {shown(found.sheet_kg, 2)} kg, {count_words(found.bolts, 'bolt')}"
    forward, left, up = found.mass.total.centre_mm
    yield "mass", f"{shown(found.mass.total.mass_kg, 1)} kg"
    yield (
        "centre of mass",
        f"{nearest(forward)} forward, {nearest(left)} left, {nearest(up)} up (mm, axes of the car)",
    )

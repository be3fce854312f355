"""The list to saw by, the labels and the order list of a plan, put with the papers of the project."""

from hoopwright.jobs.cut_papers import CutPaperWishes, label_sheet, saw_list
from hoopwright.jobs.made_pdf import MadePdf, PutPdf, pdf_of, put_made
from hoopwright.jobs.stock import ProjectStock
from hoopwright.jobs.stock_keys import order_sums
from hoopwright.papers import A4, LETTER
from hoopwright.papers.order_pages import OrderRow, order_pages
from hoopwright.papers.words import measure, tube_words
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder
from hoopwright.units import LengthUnit

LABELS_FILE = "saw-labels.pdf"
"""Name of the labels among the papers of a project."""


def put_stock_papers(
    folder: ProjectFolder, found: ProjectStock, *, date: str, paper: str = "A4", unit: LengthUnit = "mm"
) -> tuple[PutPdf, ...]:
    """Make all three.

    Args:
        folder: The project.
        found: Its plan.
        date: Day, ISO 8601.
        paper: `A4` or `letter`.
        unit: Unit of the large figures.

    Raises:
        UserError: `FILE-103` where another file is in the way; `STORE-002` where it cannot be written.
    """
    wishes = CutPaperWishes(title=found.project, date=date, identity=found.identity, paper=paper, unit=unit)
    contents = {
        folder.papers / "saw-list.pdf": saw_list(found.groups, wishes),
        folder.papers / LABELS_FILE: label_sheet(found.groups, wishes),
        folder.papers / "order-list.pdf": _order_list(found, wishes),
    }
    make_folder(folder.papers)
    return tuple(
        put_made(file, made, kind=file.stem, identity=found.identity, date=date)
        for file, made in contents.items()
    )


def _order_list(found: ProjectStock, wishes: CutPaperWishes) -> MadePdf:
    rows = [
        OrderRow(
            tube=tube_words(line.tube, wishes.unit),
            steel=line.steel,
            count=line.count,
            length=measure(line.length_mm, wishes.unit),
            mass_kg=line.mass_kg,
            price=_amount(line.price),
            one_heat=line.share_a_batch,
        )
        for line in found.order
    ]
    pages = order_pages(
        rows,
        total=_amount(order_sums(found)["to_buy_price"]),
        project=wishes.title,
        date=wishes.date,
        identity=wishes.identity,
        paper=LETTER if wishes.paper == "letter" else A4,
    )
    return pdf_of(pages, title=f"{wishes.title} to buy", date=wishes.date)


def _amount(price: float | None) -> str:
    return "" if price is None else f"{price:.2f}"

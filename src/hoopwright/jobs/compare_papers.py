"""Two layouts side by side as a PDF."""

from pathlib import Path

from hoopwright.jobs.bar_changes import BarChange
from hoopwright.jobs.layouts_compared import Compared, FigureRow
from hoopwright.jobs.made_pdf import PutPdf, pdf_of, put_made
from hoopwright.papers import A4, LETTER
from hoopwright.papers.compare_pages import ComparePaper, compare_pages
from hoopwright.papers.words import count_words


def write_comparison(made: Compared, file: Path, *, paper: str = "A4", date: str) -> PutPdf:
    """Write a comparison as a PDF; the same comparison gives the same bytes.

    Args:
        made: The comparison.
        file: Where it goes. A file that was not made here, or was changed since, is not overwritten.
        paper: `A4` or `letter`.
        date: Day of the paper, ISO 8601.

    Raises:
        UserError: `FILE-103` where another file is in the way; `STORE-002` where it cannot be written.
    """
    shown = comparison_paper(made, date)
    pages = compare_pages(shown, LETTER if paper == "letter" else A4)
    paper_made = pdf_of(pages, title=f"{shown.first} and {shown.second}", date=date)
    return put_made(file, paper_made, kind="comparison", identity="-".join(shown.identities), date=date)


def comparison_paper(made: Compared, date: str) -> ComparePaper:
    """What stands on the paper of a comparison."""
    same = count_words(made.same, "bar")
    return ComparePaper(
        first=made.first.label,
        second=made.second.label,
        identities=(made.first.quantities.identity, made.second.quantities.identity),
        date=date,
        figures=tuple(_figure_row(row) for row in made.rows),
        changes=tuple(_change_row(one) for one in made.changes),
        same=f"{same[0].upper()}{same[1:]} {'is' if made.same == 1 else 'are'} as before.",
        open_points=tuple(one.sentence for one in made.findings),
        notes=made.notes,
    )


def _figure_row(row: FigureRow) -> tuple[str, str, str, str]:
    what = f"{row.what}, {row.unit}" if row.unit else row.what
    return (what, *row.words, row.difference_words)


def _change_row(one: BarChange) -> tuple[str, str, str, str, str]:
    first, second = ("" if kg is None else f"{kg:.2f}" for kg in (one.first_kg, one.second_kg))
    return one.bar_id, one.kind, "; ".join(one.words), first, second

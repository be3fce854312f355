"""The list to saw by and the labels of a plan, put with the papers of the project."""

from pathlib import Path

from hoopwright.jobs.cut_papers import CutPaperWishes, label_sheet, saw_list
from hoopwright.jobs.made_pdf import put_pdf
from hoopwright.jobs.stock import ProjectStock
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import make_folder
from hoopwright.units import LengthUnit

LABELS_FILE = "saw-labels.pdf"
"""Name of the labels among the papers of a project."""


def put_stock_papers(
    folder: ProjectFolder, found: ProjectStock, *, date: str, paper: str = "A4", unit: LengthUnit = "mm"
) -> tuple[Path, Path]:
    """Make both.

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
    files = (folder.papers / "saw-list.pdf", folder.papers / LABELS_FILE)
    make_folder(folder.papers)
    for file, content in zip(
        files, (saw_list(found.groups, wishes), label_sheet(found.groups, wishes)), strict=True
    ):
        put_pdf(file, content, kind=file.stem, identity=found.identity, date=date)
    return files

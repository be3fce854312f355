"""The papers of bar sheets: one for each bar, and those of the whole cage."""

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from hoopwright.bender import (
    BarSheet,
)
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.step_poses import step_poses
from hoopwright.jobs.made_pdf import MadePdfs, PdfWish, pdfs_of
from hoopwright.jobs.old_sheets import WHOLE_CAGE
from hoopwright.jobs.sheets import SheetWishes
from hoopwright.papers import (
    A4,
    LETTER,
    CarLines,
    OperatorEye,
    Page,
    PaperSize,
    bar_pages,
    bar_text,
    cut_list_pages,
    cut_pieces,
    overview_pages,
)
from hoopwright.store import Project, ProjectFolder

EYE_HEIGHT_MM = 1600.0
"""Eyes of a person who stands, above the floor; common practice, no source."""


def papers_of_sheets(
    folder: ProjectFolder, project: Project, sheets: Sequence[BarSheet], lines: CarLines, wishes: SheetWishes
) -> MadePdfs:
    """What belongs in each paper: one for each bar, as PDF and as text, and those of the whole cage.

    When only some bars are wanted, the papers of the whole cage are not made.
    """
    paper: PaperSize = LETTER if wishes.paper == "letter" else A4
    texts: dict[Path, bytes] = {}
    papers: dict[Path, PdfWish] = {}
    for sheet in sheets:
        pages = bar_pages(
            sheet,
            lines,
            project=project.name,
            shop_address=wishes.shop_address,
            unit=wishes.unit,
            paper=paper,
            poses=step_poses(sheet),
            eye=_operator_eye(wishes.room),
        )
        papers[folder.papers / f"{sheet.bar_id}.pdf"] = PdfWish(
            title=f"{project.name} {sheet.bar_id}", pages=pages, date=sheet.date
        )
        text = bar_text(sheet, project=project.name, shop_address=wishes.shop_address, unit=wishes.unit)
        texts[folder.papers / f"{sheet.bar_id}.txt"] = text.encode()
    if not wishes.only:
        every = [page for bar in papers.values() for page in bar.pages]
        whole = (every, *_of_the_cage(project, sheets, lines, wishes, paper))
        for name, shown in zip(WHOLE_CAGE, whole, strict=True):
            papers[folder.papers / f"{name}.pdf"] = PdfWish(
                title=f"{project.name} {name}", pages=shown, date=wishes.date
            )
    made = pdfs_of(papers)
    return replace(made, contents={**made.contents, **texts})


def _of_the_cage(
    project: Project, sheets: Sequence[BarSheet], lines: CarLines, wishes: SheetWishes, paper: PaperSize
) -> tuple[Sequence[Page], Sequence[Page]]:
    """Overview and cut list."""
    overview = overview_pages(
        lines, sheets, project=project.name, date=wishes.date, unit=wishes.unit, paper=paper
    )
    cuts = cut_list_pages(
        cut_pieces(sheets), project=project.name, date=wishes.date, unit=wishes.unit, paper=paper
    )
    return overview, cuts


def _operator_eye(room: StandingBender | None) -> OperatorEye:
    """From the room's operator's place to the die; from behind the tail where nobody has said where he stands."""
    place = next((one for one in room.solids if one.stands == "operator"), None) if room else None
    if room is None or place is None:
        return OperatorEye()
    ahead, left, _ = place.middle_mm
    down = room.axis_height_mm - EYE_HEIGHT_MM
    if math.hypot(ahead, left) < 1.0:
        return OperatorEye()
    return OperatorEye(looking=(-ahead, -left, down), words=f"seen from the {place.name}, eyes at 1.6 m")

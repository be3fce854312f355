"""Papers of cutting plans: the list to saw by, and labels."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from hoopwright.jobs.cuts import GroupCuts
from hoopwright.jobs.made_pdf import MadePdf, PutPdf, pdf_of, put_made
from hoopwright.papers import A4, LETTER
from hoopwright.papers.stick_labels import StickLabel, label_pages
from hoopwright.papers.stick_pages import StickGroup, stick_pages
from hoopwright.papers.words import measure
from hoopwright.store.made_files import content_sha256
from hoopwright.units import LengthUnit

LEAST_OFFCUT_MM = 300.0
"""Length from which an offcut is worth a place on the rack; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class CutPaperWishes:
    """How papers of cuts are wanted.

    Args:
        title: Name of the project or of the list.
        date: Day of making, ISO 8601.
        identity: Of the plan; empty for none.
        paper: `A4` or `letter`.
        unit: Unit of the large figures.
        least_offcut_mm: Length from which what is left goes back to the rack.
    """

    title: str
    date: str
    identity: str = ""
    paper: str = "A4"
    unit: LengthUnit = "mm"
    least_offcut_mm: float = LEAST_OFFCUT_MM


def saw_list(groups: Sequence[GroupCuts], wishes: CutPaperWishes) -> MadePdf:
    """The list to saw by, as PDF."""
    pages = stick_pages(
        [
            StickGroup(
                title=group.title,
                sticks=group.to_saw.sticks,
                kerf_mm=group.plan.task.rules.kerf_mm,
                trim_mm=group.plan.task.rules.trim_mm,
                least_offcut_mm=wishes.least_offcut_mm,
            )
            for group in groups
        ],
        project=wishes.title,
        date=wishes.date,
        identity=wishes.identity,
        unit=wishes.unit,
        paper=LETTER if wishes.paper == "letter" else A4,
    )
    return pdf_of(pages, title=f"{wishes.title} sticks to saw", date=wishes.date)


def label_sheet(groups: Sequence[GroupCuts], wishes: CutPaperWishes) -> MadePdf:
    """A label for each part, and for each offcut that is kept, as PDF."""
    labels = [label for group in groups for label in _labels(group, wishes)]
    pages = label_pages(
        labels,
        project=wishes.title,
        date=wishes.date,
        identity=wishes.identity,
        paper=LETTER if wishes.paper == "letter" else A4,
    )
    return pdf_of(pages, title=f"{wishes.title} labels", date=wishes.date)


def write_paper(file: Path, made: MadePdf, wishes: CutPaperWishes) -> PutPdf:
    """Put a paper in its place, whole or not at all.

    Raises:
        UserError: `FILE-103` where another file is in the way, `STORE-002`.
    """
    identity = wishes.identity or content_sha256(made.content)
    return put_made(file, made, kind="sticks", identity=identity, date=wishes.date)


def _labels(group: GroupCuts, wishes: CutPaperWishes) -> list[StickLabel]:
    labels = []
    for stick in group.to_saw.sticks:
        origin = f"from {stick.offer.label}" if stick.offer.label else f"from stick {stick.number}"
        about = (group.title, origin)
        labels += [
            StickLabel(
                name=part.name,
                lines=(f"{measure(part.length_mm, wishes.unit)}   {wishes.title}", *filter(None, about)),
                heat_number=stick.offer.heat_number,
            )
            for part in stick.parts
        ]
        if stick.rest_mm >= wishes.least_offcut_mm:
            labels.append(
                StickLabel(
                    name="offcut",
                    lines=(measure(stick.rest_mm, wishes.unit), *filter(None, about)),
                    heat_number=stick.offer.heat_number,
                )
            )
    return labels

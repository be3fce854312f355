"""Making the scrutineer's file."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.dossier.as_built import as_built_section
from hoopwright.jobs.dossier.forms import declaration_section, inspection_section
from hoopwright.jobs.dossier.front import KIND, cover_of, headed
from hoopwright.jobs.dossier.log import log_section
from hoopwright.jobs.dossier.measured import check_section, gap_section, rule_section
from hoopwright.jobs.dossier.members import drawn_members, member_section
from hoopwright.jobs.dossier.metal import joint_section, landing_section
from hoopwright.jobs.dossier.open_points import left_open, to_fill_in
from hoopwright.jobs.dossier.photos import photo_section
from hoopwright.jobs.dossier.plates import drawn_sheets
from hoopwright.jobs.dossier.source import DossierSource, gather
from hoopwright.jobs.made_pdf import pdf_of, put_pdf
from hoopwright.papers import A4, LETTER
from hoopwright.papers.dossier import (
    DossierFile,
    dossier_pages,
    page_room,
)
from hoopwright.papers.pdf_title import made_title
from hoopwright.papers.words import count_words
from hoopwright.progress import Progress, silent
from hoopwright.store import Project, ProjectFolder
from hoopwright.units import LengthUnit

FILE_NAME = "dossier.pdf"


@dataclass(frozen=True, kw_only=True)
class DossierWishes:
    """How the file is wanted.

    Args:
        date: Day of making, ISO 8601.
        paper: `A4` or `letter`.
        unit: Unit of the figures.
        out: File to write; `dossier.pdf` in the project's papers without.
    """

    date: str
    paper: str = "A4"
    unit: LengthUnit = "mm"
    out: Path | None = None


@dataclass(frozen=True, kw_only=True)
class DossierMade:
    """The file as it was made.

    Args:
        file: Where it is.
        pages: How many pages it has.
        members: How many members.
        joints: How many joints.
        photos: How many photos are in it.
        to_fill_in: Members whose steel, heat number or certificate is not known.
        state: SHA-256 of what it was made from.
        sha256: Of the file itself.
        findings: What a person should know.
    """

    file: Path
    pages: int
    members: int
    joints: int
    photos: int
    to_fill_in: tuple[str, ...]
    state: str
    sha256: str
    findings: tuple[Finding, ...]

    @property
    def in_words(self) -> str:
        """How much is in it."""
        counts = (
            (self.pages, "page"),
            (self.members, "member"),
            (self.joints, "joint"),
            (self.photos, "photo"),
        )
        return ", ".join(count_words(count, what) for count, what in counts)


def make_dossier(
    folder: ProjectFolder,
    wishes: DossierWishes,
    *,
    progress: Progress = silent,
) -> DossierMade:
    """Make the file and put it in its place; the same project and wishes give the same bytes.

    Args:
        folder: The project.
        wishes: How it is wanted.
        progress: Told how far it is.

    Raises:
        UserError: `FILE-105` for a cage without bars, `FILE-103` or `DOSS-003` where another file is in the way, or
            one that was changed since,
            `STORE-...`, `CAL-...` and `SHOP-...` for what cannot be read or written. Nothing is written then.
    """
    paper = LETTER if wishes.paper == "letter" else A4
    source = gather(
        folder,
        date=wishes.date,
        unit=wishes.unit,
        paper=paper,
        room_mm=page_room(paper).width_mm,
        progress=progress,
    )
    progress("drawing", 0.8)
    photos, gone = photo_section(source)
    project = source.project
    members, sheets = drawn_members(source), drawn_sheets(source)
    file = DossierFile(
        name=headed(project),
        kind=KIND,
        cover=cover_of(source, members, sheets, wishes.date),
        members=members,
        sheets=sheets,
        sections=(
            member_section(source),
            rule_section(source),
            gap_section(source),
            check_section(source),
            landing_section(source),
            joint_section(source),
            as_built_section(source),
            photos,
            declaration_section(source),
            inspection_section(source),
            log_section(source),
        ),
        date=wishes.date,
        paper=paper,
    )
    pages = dossier_pages(file)
    made = pdf_of(pages, title=_title(project), date=wishes.date)
    where = _put(folder, wishes, made.content, source)
    progress("file made", 1.0)
    missing = to_fill_in(source)
    return DossierMade(
        file=where,
        pages=len(pages),
        members=len(members),
        joints=len(source.cuts),
        photos=sum(len(page.photos) for page in pages),
        to_fill_in=missing,
        state=source.state,
        sha256=hashlib.sha256(made.content).hexdigest(),
        findings=tuple(
            dict.fromkeys((*left_open(project, missing), *gone, *made.findings, *source.findings))
        ),
    )


def _put(folder: ProjectFolder, wishes: DossierWishes, content: bytes, source: DossierSource) -> Path:
    """Write the file; one of somebody else, or of another project, is never overwritten."""
    if wishes.out is not None:
        _refuse_other(wishes.out, _title(source.project))
    file = wishes.out or folder.papers / FILE_NAME
    put_pdf(file, content, kind="dossier", identity=source.state, date=wishes.date)
    return file


def _title(project: Project) -> str:
    return f"{project.name}: {KIND}"


def _refuse_other(out: Path, title: str) -> None:
    """Stop where something is in the way that is not the file of this project.

    Raises:
        UserError: `DOSS-003`.
    """
    if not out.exists():
        return
    there = made_title(out)
    if there == title:
        return
    what = "was not made here" if there is None else f"is '{there}', not the file of this project"
    raise UserError(
        Finding(
            code="DOSS-003",
            severity=Severity.STOP,
            sentence=f"{out} is there already and {what}. Nothing was written.",
            todo="Name another file (--out).",
            objects=(str(out),),
        )
    )

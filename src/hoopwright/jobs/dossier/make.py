"""Making the scrutineer's file."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.dossier.as_built import as_built_section
from hoopwright.jobs.dossier.forms import declaration_section, inspection_section
from hoopwright.jobs.dossier.log import log_section
from hoopwright.jobs.dossier.measured import check_section, gap_section, rule_section
from hoopwright.jobs.dossier.members import drawn_members, member_section, tube_facts
from hoopwright.jobs.dossier.metal import joint_section, landing_section
from hoopwright.jobs.dossier.photos import photo_section
from hoopwright.jobs.dossier.plates import drawn_sheets
from hoopwright.jobs.dossier.source import DossierSource, gather
from hoopwright.jobs.dossier.state import MADE_OF
from hoopwright.jobs.made_pdf import pdf_of, put_pdf
from hoopwright.papers import A4, LETTER
from hoopwright.papers.dossier import (
    Cover,
    CoverField,
    DossierFile,
    dossier_pages,
    page_room,
)
from hoopwright.papers.pdf_title import made_title
from hoopwright.papers.words import count_words
from hoopwright.progress import Progress, silent
from hoopwright.rules.show import Show
from hoopwright.store import Project, ProjectFolder
from hoopwright.units import LengthUnit

FILE_NAME = "dossier.pdf"
KIND = "File for the scrutineer"
_CAUTIONS = (
    "Nothing here accepts the cage. That is for the scrutineer and the rule book in force, and for nobody else.",
    "'pass' says that a measured value meets the limit that was typed, and no more. What was not checked is named so.",
    "No strength is proven.",
    "Gaps are to scanned metal. Where nothing was scanned the room is unknown, not free.",
    "Welds, the make of the bends and the metal itself cannot be seen in a drawing: they are for the eye, the caliper "
    "and the certificate.",
    "Dotted fields are not known to the records. They are filled in by hand and never guessed.",
    "What is changed on the cage after this day is not in this file; whoever accepted it must be asked first.",
)


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
        name=_headed(project),
        kind=KIND,
        cover=Cover(
            title=project.name,
            second=KIND,
            fields=_fields(project, wishes.date, _weight_unit(source)),
            state=source.state,
            made_of=MADE_OF,
            cautions=_CAUTIONS,
            tubes=tuple(member.tube for member in members),
            sheets=tuple(one.sheet for one in sheets),
        ),
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
    missing = _to_fill_in(source)
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
            dict.fromkeys((*_left_open(project, missing), *gone, *made.findings, *source.findings))
        ),
    )


def _headed(project: Project) -> str:
    stamped = f"    cage {project.car.cage_number}" if project.car.cage_number else ""
    return f"{project.name}{stamped}"


def _weight_unit(source: DossierSource) -> str:
    """Unit of the book's weights; kilograms without a book."""
    return "kg" if source.report.held is None else source.report.held.book.weight_unit


def _fields(project: Project, date: str, weight_unit: str) -> tuple[CoverField, ...]:
    """Car, cage, builder and book; what is not known is a line to write on."""
    car, pin = project.car, project.book
    show = Show(weight_unit=weight_unit)
    weights = [
        CoverField(name=basis.value, value=show.typed(kg, "kg")) for basis, kg in car.weights_kg.items()
    ]
    return (
        CoverField(name="car", value=car.words),
        CoverField(name="chassis number", value=car.chassis_number),
        CoverField(name="number stamped on the cage", value=car.cage_number),
        CoverField(name="builder", value=car.builder),
        CoverField(name="rule book", value="" if pin is None else pin.book_id),
        CoverField(name="edition", value="" if pin is None else pin.edition),
        CoverField(name="homologated", value=car.homologated),
        CoverField(name="this file made on", value=date),
        *(weights or [CoverField(name=f"weight ({weight_unit}), and on which basis")]),
    )


def _to_fill_in(source: DossierSource) -> tuple[str, ...]:
    return tuple(member.member_id for member in source.papers.wanted if not all(tube_facts(source, member)))


def _left_open(project: Project, missing: tuple[str, ...]) -> tuple[Finding, ...]:
    """What a scrutineer will ask for and nobody has said yet."""
    findings = []
    car = project.car
    unsaid = [
        words
        for words, value in (
            ("car", car.words),
            ("number stamped on the cage", car.cage_number),
            ("builder", car.builder),
        )
        if not value
    ]
    if unsaid:
        findings.append(
            Finding(
                code="DOSS-001",
                sentence=f"The cover has lines to write on for: {', '.join(unsaid)}.",
                todo="Write them in, or say them with 'hoopwright car' and make the file again.",
                objects=tuple(unsaid),
            )
        )
    if missing:
        findings.append(
            Finding(
                code="DOSS-002",
                sentence=f"Steel, heat number or certificate of {len(missing)} members is not on record: "
                f"{', '.join(missing)}. The table has dotted fields for them.",
                todo="Say from which tube each bar was cut with 'hoopwright bar cut-from', or write them in from the "
                "certificates.",
                objects=missing,
                measured=float(len(missing)),
                limit=0.0,
            )
        )
    return tuple(findings)


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
            todo="Name another file with --out.",
            objects=(str(out),),
        )
    )

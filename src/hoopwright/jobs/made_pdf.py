"""Papers and pictures on their way out, the one way for all: what is on one, what was found of it, and its place."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding
from hoopwright.papers import Page, pdf_bytes, png_bytes
from hoopwright.papers.letters import unprinted, unprinted_words
from hoopwright.papers.side_by_side import side_by_side_png
from hoopwright.papers.storyboard import storyboard_pdf
from hoopwright.store.made_files import MadeFile, content_sha256, put_in_folder, read_made, refuse_foreign

_CHART_DOTS_PER_INCH = 130.0


@dataclass(frozen=True, kw_only=True)
class MadePdf:
    """A PDF that is not in its place yet.

    Args:
        content: Its bytes.
        findings: What a person should know of it.
    """

    content: bytes
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class PdfWish:
    """Pages that are to be one PDF.

    Args:
        title: Title of the document.
        pages: At least one.
        date: Day, ISO 8601.
    """

    title: str
    pages: Sequence[Page]
    date: str


@dataclass(frozen=True, kw_only=True)
class MadePdfs:
    """PDFs that are not in their places yet.

    Args:
        contents: The bytes of each, by its place.
        findings: What a person should know of them.
    """

    contents: dict[Path, bytes]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class MadePicture:
    """A picture that is not in its place yet.

    Args:
        content: Its bytes, PNG.
        findings: What a person should know of it.
    """

    content: bytes
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class DrawnFiles:
    """Files that were drawn.

    Args:
        files: Where they are, relative to the project where they are in its papers.
        findings: What a person should know of them.
    """

    files: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PutPdf:
    """A PDF in its place.

    Args:
        file: Where it is.
        findings: What a person should know of it.
    """

    file: Path
    findings: tuple[Finding, ...]


def pdf_of(pages: Sequence[Page], *, title: str, date: str) -> MadePdf:
    """Pages as a PDF, with letters that cannot be printed said.

    Args:
        pages: At least one.
        title: Title of the document.
        date: Day, ISO 8601.
    """
    return MadePdf(content=pdf_bytes(pages, title=title, date=date), findings=unprinted(pages))


def pdfs_of(papers: Mapping[Path, PdfWish]) -> MadePdfs:
    """Several PDFs of one job, by their places; letters that cannot be printed are said once for all."""
    return MadePdfs(
        contents={
            file: pdf_bytes(wish.pages, title=wish.title, date=wish.date) for file, wish in papers.items()
        },
        findings=unprinted([page for wish in papers.values() for page in wish.pages]),
    )


def chart_of(page: Page) -> MadePicture:
    """A page as a picture."""
    return MadePicture(
        content=png_bytes(page, dots_per_inch=_CHART_DOTS_PER_INCH), findings=unprinted([page])
    )


def picture_beside(pictures: Sequence[tuple[str, bytes]], heading: Sequence[str]) -> MadePicture:
    """Pictures beside each other as one.

    Args:
        pictures: Caption and PNG of each, from left to right.
        heading: Lines over all of them.
    """
    said = unprinted_words([*heading, *(caption for caption, _ in pictures)])
    return MadePicture(content=side_by_side_png(pictures, heading), findings=said)


def storyboard_of(
    pictures: Sequence[MadePicture], cautions: Sequence[str], *, title: str, date: str
) -> MadePdf:
    """Pictures as one PDF, with what was found of each.

    Args:
        pictures: At least one.
        cautions: Lines at the foot of every page.
        title: Title of the document.
        date: Day of issue, ISO 8601.
    """
    content = storyboard_pdf([one.content for one in pictures], cautions, title=title, date=date)
    said = unprinted_words([*cautions, title])
    return MadePdf(content=content, findings=tuple(dict.fromkeys((*findings_of(pictures), *said))))


def put_made(file: Path, made: MadePdf, *, kind: str, identity: str, date: str) -> PutPdf:
    """As `put_pdf`, with what was found of it."""
    put_pdf(file, made.content, kind=kind, identity=identity, date=date)
    return PutPdf(file=file, findings=made.findings)


def findings_of(papers: Iterable[MadePdf | MadePicture | PutPdf]) -> tuple[Finding, ...]:
    """What was found of several papers, each once."""
    return tuple(dict.fromkeys(finding for paper in papers for finding in paper.findings))


def put_pdf(file: Path, content: bytes, *, kind: str, identity: str, date: str) -> None:
    """Write one made file beside the list of what was made there.

    Raises:
        UserError: `FILE-103`, `STORE-002`.
    """
    where, contents = file.parent, {file.name: content}
    before = read_made(where)
    refuse_foreign(where, contents, before)
    made = MadeFile(name=file.name, kind=kind, sha256=content_sha256(content), identity=identity, date=date)
    put_in_folder(where, contents, {**before, file.name: made})

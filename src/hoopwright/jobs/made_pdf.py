"""PDFs: what is on one and what was found while it was made, and its place beside the list of what was made there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding
from hoopwright.papers import Page, pdf_bytes
from hoopwright.papers.letters import unprinted
from hoopwright.store.made_files import MadeFile, content_sha256, put_in_folder, read_made, refuse_foreign


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


def put_made(file: Path, made: MadePdf, *, kind: str, identity: str, date: str) -> PutPdf:
    """As `put_pdf`, with what was found of it."""
    put_pdf(file, made.content, kind=kind, identity=identity, date=date)
    return PutPdf(file=file, findings=made.findings)


def findings_of(papers: Iterable[MadePdf | PutPdf]) -> tuple[Finding, ...]:
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

"""What is printed or cut at full size: wraps of copes, plates, and flat bars on the floor."""

from collections.abc import Sequence

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.paper_source import MadePapers, PaperSource, file_word
from hoopwright.joints import FlatPart, Wrap
from hoopwright.papers import (
    Page,
    flat_part_dxf,
    flat_part_pages,
    floor_pages,
    pdf_bytes,
    wrap_dxf,
    wrap_pages,
)

NOT_FLAT = "PAPER-101"


def wrap_papers(source: PaperSource) -> MadePapers:
    """All wraps as one PDF, and each as DXF.

    Raises:
        UserError: `FILE-104` without any cope.
    """
    wanted = {member.member_id for member in source.wanted}
    wraps = [cut.wrap for cut in source.cuts if cut.bar_id in wanted]
    if not wraps:
        raise nothing_to_make(
            "wraps", "no end of a bar has a cope", "'hoopwright joints' says what each end meets."
        )
    pages = wrap_pages(wraps, source.paper, project=source.project.name, date=source.date, unit=source.unit)
    drawn = {f"wraps/{_wrap_word(wrap)}.dxf": wrap_dxf(wrap, source.date) for wrap in wraps}
    whole = f"wraps/{_whole(source, 'wraps')}.pdf"
    return MadePapers(files={whole: _pdf(source, pages, "wraps"), **drawn}, findings=source.cut_findings)


def plate_papers(source: PaperSource, parts: Sequence[FlatPart]) -> MadePapers:
    """All flat parts as one PDF, and each as DXF.

    Raises:
        UserError: `FILE-104` without any.
    """
    if not parts:
        raise nothing_to_make(
            "plates", "the cage has no landings and no gussets", "Add them with 'hoopwright landing'."
        )
    pages = flat_part_pages(
        parts, source.paper, project=source.project.name, date=source.date, unit=source.unit
    )
    drawn = {f"plates/{file_word(part.name)}.dxf": flat_part_dxf(part, source.date) for part in parts}
    return MadePapers(
        files={f"plates/{_whole(source, 'plates')}.pdf": _pdf(source, pages, "plates"), **drawn}
    )


def floor_papers(source: PaperSource) -> MadePapers:
    """Each bar that lies flat, at full size on tiles; a straight one needs no floor.

    Raises:
        UserError: `FILE-104` where no bar is bent in one plane.
    """
    files: dict[str, bytes] = {}
    for member in source.wanted:
        bar = source.bars[member.member_id]
        if not bar.bend_count:
            continue
        try:
            pages = floor_pages(
                bar, source.paper, project=source.project.name, date=source.date, unit=source.unit
            )
        except UserError as error:
            if {finding.code for finding in error.findings} == {NOT_FLAT}:
                continue
            raise
        files[f"floor/{file_word(bar.name)}.pdf"] = _pdf(source, pages, f"{bar.name} on the floor")
    if not files:
        raise nothing_to_make("floor drawings", "no bar is bent and lies flat", "")
    return MadePapers(files=files)


def nothing_to_make(what: str, why: str, todo: str) -> UserError:
    """Why a kind of paper cannot be made."""
    return UserError(
        Finding(
            code="FILE-104",
            severity=Severity.STOP,
            sentence=f"There are no {what} to make: {why}.",
            todo=todo,
            objects=(what,),
        )
    )


def _pdf(source: PaperSource, pages: Sequence[Page], what: str) -> bytes:
    return pdf_bytes(pages, title=f"{source.project.name} {what}", date=source.date)


def _whole(source: PaperSource, what: str) -> str:
    return "-".join((what, *source.only)) if source.only else f"all-{what}"


def _wrap_word(wrap: Wrap) -> str:
    return f"{file_word(wrap.bar_id)}-end-{wrap.end}"

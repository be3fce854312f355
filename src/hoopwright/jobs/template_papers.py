"""What is printed or cut at full size: wraps of copes, plates, and flat bars on the floor."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.floor_marks import floor_marks
from hoopwright.jobs.made_pdf import MadePdf, findings_of, pdf_of
from hoopwright.jobs.marked_tubes import marked_tubes
from hoopwright.jobs.paper_source import MadePapers, PaperSource, file_word
from hoopwright.joints import Wrap
from hoopwright.papers import (
    NOT_FLAT,
    Page,
    flat_part_dxf,
    flat_part_pages,
    floor_pages,
    wrap_dxf,
    wrap_pages,
)


def wrap_papers(source: PaperSource) -> MadePapers:
    """All wraps as one PDF, and each as DXF: of copes, and of legs that are sawn to stand on their landing.

    Raises:
        UserError: `FILE-104` without any cope.
    """
    wanted = {member.member_id for member in source.wanted}
    wraps = [cut.wrap for cut in source.cuts if cut.bar_id in wanted]
    wraps += [fitted.cut.wrap for fitted in source.metal.landings]
    if not wraps:
        raise nothing_to_make(
            "wraps",
            "no end of a bar has a cope or a landing",
            "'hoopwright joints' says what each end meets.",
        )
    pages = wrap_pages(wraps, source.paper, project=_headed(source), date=source.date, unit=source.unit)
    drawn = {f"wraps/{_wrap_word(wrap)}.dxf": wrap_dxf(wrap, source.date) for wrap in wraps}
    whole = f"wraps/{_whole(source, 'wraps')}.pdf"
    made = _pdf(source, pages, "wraps")
    return MadePapers(files={whole: made.content, **drawn}, findings=(*source.cut_findings, *made.findings))


def plate_papers(source: PaperSource) -> MadePapers:
    """All flat parts as one PDF, and each as DXF.

    Raises:
        UserError: `FILE-104` without any.
    """
    parts = source.metal.parts
    if not parts:
        raise _no_plates(source)
    pages = flat_part_pages(parts, source.paper, project=_headed(source), date=source.date, unit=source.unit)
    drawn = {f"plates/{file_word(part.name)}.dxf": flat_part_dxf(part, source.date) for part in parts}
    whole = f"plates/{_whole(source, 'plates')}.pdf"
    made = _pdf(source, pages, "plates")
    return MadePapers(files={whole: made.content, **drawn}, findings=(*source.metal.findings, *made.findings))


def _no_plates(source: PaperSource) -> UserError:
    if source.cage.landings or source.cage.gussets:
        none = nothing_to_make("plates", "no landing and no gusset of these bars can be made", "")
        return UserError(*none.findings, *source.metal.findings)
    return nothing_to_make(
        "plates",
        "the cage has no landings and no gussets",
        "Choose them with 'hoopwright landing set' and 'hoopwright gusset add'.",
    )


def floor_papers(source: PaperSource) -> MadePapers:
    """Each bar that lies flat, at full size on tiles; a straight one needs no floor, one bent in space has none.

    Raises:
        UserError: `FILE-104` where no bar is bent in one plane.
    """
    files: dict[str, MadePdf] = {}
    bent_in_space: list[Finding] = []
    tubes = marked_tubes(source.folder, source.project, source.wanted)
    for member in source.wanted:
        bar = source.bars[member.member_id]
        if not bar.bend_count:
            continue
        try:
            pages = floor_pages(
                bar,
                source.paper,
                project=_headed(source),
                date=source.date,
                unit=source.unit,
                marks=floor_marks(tubes[member.member_id], bar) if member.member_id in tubes else (),
            )
        except UserError as error:
            if {finding.code for finding in error.findings} != {NOT_FLAT}:
                raise
            bent_in_space += (replace(finding, severity=Severity.NOTE) for finding in error.findings)
            continue
        files[f"floor/{file_word(bar.name)}.pdf"] = _pdf(source, pages, f"{bar.name} on the floor")
    if not files:
        raise nothing_to_make("floor drawings", "no bar is bent and lies flat", "")
    return MadePapers(
        files={name: made.content for name, made in files.items()},
        findings=(*bent_in_space, *findings_of(files.values())),
    )


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


def _headed(source: PaperSource) -> str:
    """Project and identity, so that an old template is known by what it was made from."""
    return f"{source.project.name}    identity {source.identity}"


def _pdf(source: PaperSource, pages: Sequence[Page], what: str) -> MadePdf:
    return pdf_of(pages, title=f"{source.project.name} {what}", date=source.date)


def _whole(source: PaperSource, what: str) -> str:
    return "-".join((what, *source.only)) if source.only else f"all-{what}"


def _wrap_word(wrap: Wrap) -> str:
    return f"{file_word(wrap.bar_id)}-end-{wrap.end}"

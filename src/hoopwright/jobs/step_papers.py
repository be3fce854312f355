"""The cage and each bar as true solids in STEP files."""

from dataclasses import replace

from hoopwright.cage import EndLetter, Member
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Plane
from hoopwright.jobs.paper_source import MadePapers, PaperSource, file_word
from hoopwright.jobs.sheet_metal import PLATE_COLOUR, ShownPlate, shown_plates
from hoopwright.joints.cope import cope_profile
from hoopwright.joints.meet import EndCut, opened
from hoopwright.papers.cut_line import CutLine
from hoopwright.papers.folded_sheet import folded_solid
from hoopwright.papers.kernel import require_kernel
from hoopwright.papers.plate_solids import plate_solids
from hoopwright.papers.step_file import StepPart, step_bytes
from hoopwright.papers.tube_solids import SolidBar, tube_solid
from hoopwright.progress import Progress, silent

WHOLE = "the-whole-cage"


def step_papers(source: PaperSource, *, progress: Progress = silent) -> MadePapers:
    """One file for each bar, and the whole cage as an assembly unless only some bars are wanted.

    Raises:
        UserError: `FILE-101` without the CAD kernel, `FILE-108` where no bar becomes a solid.
    """
    require_kernel()
    members = source.wanted
    parts: list[StepPart] = []
    findings: list[Finding] = []
    for number, member in enumerate(members):
        progress(f"cutting solids: {member.member_id}", number / (len(members) + 1))
        try:
            solid = tube_solid(_wanted(source, member), source.bars)
        except ValueError as error:
            findings.append(_no_solid(member, error))
            continue
        parts.append(StepPart(name=solid.name, shape=solid.shape, colour=source.colour(member)))
        findings += solid.findings
    if not parts:
        raise UserError(*(replace(finding, severity=Severity.STOP) for finding in findings))
    progress("writing solids", len(members) / (len(members) + 1))
    files = {f"step/{file_word(part.name)}.step": _file(source, [part], part.name) for part in parts}
    plate_parts = [part for plate in shown_plates(source.metal) for part in _plate_parts(plate)]
    if not source.only:
        whole = _file(source, [*parts, *plate_parts], f"{source.project.name} cage")
        files[f"step/{WHOLE}.step"] = whole
    return MadePapers(files=files, findings=tuple(findings))


def _no_solid(member: Member, error: ValueError) -> Finding:
    return Finding(
        code="FILE-108",
        sentence=f"Bar {member.member_id} is in no STEP file: {error}.",
        todo="Look at its nodes and its radius with 'hoopwright check'.",
        objects=(member.member_id,),
    )


def _plate_parts(plate: ShownPlate) -> list[StepPart]:
    """One part where the faces hang together, else one for each face."""
    solids = plate_solids(plate.faces) if plate.folded is None else (folded_solid(plate.folded),)
    if len(solids) == 1:
        return [StepPart(name=plate.name, shape=solids[0], colour=PLATE_COLOUR)]
    return [
        StepPart(name=f"{plate.name}, face {number}", shape=solid, colour=PLATE_COLOUR)
        for number, solid in enumerate(solids, start=1)
    ]


def _wanted(source: PaperSource, member: Member) -> SolidBar:
    cuts = {end: source.cut(member.member_id, end) for end in ("A", "B")}
    gaps = {end: 0.0 if cut is None else cut.root_gap_mm for end, cut in cuts.items()}
    lines = {end: None if cut is None else line_of(cut) for end, cut in cuts.items()}
    return SolidBar(
        bar=source.bars[member.member_id],
        cut_a=source.headers(member, "A"),
        cut_b=source.headers(member, "B"),
        saw_a=_saw(source, member, "A"),
        saw_b=_saw(source, member, "B"),
        gap_a_mm=gaps["A"],
        gap_b_mm=gaps["B"],
        line_a=lines["A"],
        line_b=lines["B"],
    )


def line_of(cut: EndCut) -> CutLine | None:
    """The cut of an end as its lines; None where round headers, grown by the root gap, cut it exactly so."""
    headers = cut.header_tubes
    is_oval = any(oval is not None for header in headers for oval in header.oval_bends)
    kind = cut.profile.cut
    if kind == "outside" and not is_oval:
        return None
    outside = inside = cut.profile.bridged_mm
    if kind == "outside" and cut.branch.wall_mm is not None:
        grown = [opened(header, cut.root_gap_mm) for header in headers]
        inside = cope_profile(cut.branch, grown, points=len(outside), cut="radial").bridged_mm
    return CutLine(side=cut.branch.datum, sideways=cut.branch.sideways, outside_mm=outside, inside_mm=inside)


def _saw(source: PaperSource, member: Member, end: EndLetter) -> Plane | None:
    """Where a leg is sawn to stand on its landing."""
    fitted = source.landing(member.member_id, end)
    return None if fitted is None else fitted.cut.plane


def _file(source: PaperSource, parts: list[StepPart], name: str) -> bytes:
    return step_bytes(parts, name=name, date=source.date, made_from=source.made_from)

"""The cage and each bar as true solids in STEP files."""

from hoopwright.cage import Member
from hoopwright.jobs.paper_source import MadePapers, PaperSource, file_word
from hoopwright.papers.kernel import require_kernel
from hoopwright.papers.step_file import StepPart, step_bytes
from hoopwright.papers.tube_solids import SolidBar, TubeSolid, tube_solid
from hoopwright.progress import Progress, silent

WHOLE = "the-whole-cage"


def step_papers(source: PaperSource, *, progress: Progress = silent) -> MadePapers:
    """One file for each bar, and the whole cage as an assembly unless only some bars are wanted.

    Raises:
        UserError: `FILE-101` without the CAD kernel.
    """
    require_kernel()
    members = source.wanted
    solids: list[TubeSolid] = []
    for number, member in enumerate(members):
        progress(f"cutting solids: {member.member_id}", number / (len(members) + 1))
        solids.append(tube_solid(_wanted(source, member), source.bars))
    progress("writing solids", len(members) / (len(members) + 1))
    parts = [
        StepPart(name=solid.name, shape=solid.shape, colour=source.colour(member))
        for solid, member in zip(solids, members, strict=True)
    ]
    files = {f"step/{file_word(part.name)}.step": _file(source, [part], part.name) for part in parts}
    if not source.only:
        files[f"step/{WHOLE}.step"] = _file(source, parts, f"{source.project.name} cage")
    findings = tuple(finding for solid in solids for finding in solid.findings)
    return MadePapers(files=files, findings=findings)


def _wanted(source: PaperSource, member: Member) -> SolidBar:
    return SolidBar(
        bar=source.bars[member.member_id],
        cut_a=source.headers(member, "A"),
        cut_b=source.headers(member, "B"),
    )


def _file(source: PaperSource, parts: list[StepPart], name: str) -> bytes:
    return step_bytes(parts, name=name, date=source.date, made_from=source.made_from)

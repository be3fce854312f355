"""Papers for cutting and looking: made kind by kind, put in one folder all or none."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.glb_papers import glb_papers
from hoopwright.jobs.issuing_sheets import scan_proof
from hoopwright.jobs.paper_source import MadePapers, PaperSource, paper_source
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.jobs.step_papers import step_papers
from hoopwright.jobs.table_papers import table_papers
from hoopwright.jobs.template_papers import floor_papers, plate_papers, wrap_papers
from hoopwright.joints.meet import CutWishes
from hoopwright.papers import A4, LETTER
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.made_files import MadeFile, content_sha256, put_in_folder, read_made, refuse_foreign
from hoopwright.units import LengthUnit

PaperKind = Literal["wraps", "plates", "floor", "step", "glb", "tables"]
KINDS: tuple[PaperKind, ...] = ("wraps", "plates", "floor", "glb", "tables", "step")
CUT_BY: tuple[PaperKind, ...] = ("wraps", "plates", "floor")
"""Kinds that are laid on steel at full size."""
State = Literal["new", "changed", "as before"]


@dataclass(frozen=True, kw_only=True)
class PaperWishes:
    """Which papers are wanted, and how.

    Args:
        date: Day of making, ISO 8601.
        kinds: Which kinds.
        only: Bars; all without.
        paper: `A4` or `letter`.
        unit: Unit of the figures.
        cut: How copes are wanted, as for the card of the joints.
        out: Where they go; the project's own papers without.
        with_shell: Whether the shell goes into the GLB file.
    """

    date: str
    kinds: tuple[PaperKind, ...] = KINDS
    only: tuple[str, ...] = ()
    paper: str = "A4"
    unit: LengthUnit = "mm"
    cut: CutWishes = field(default_factory=CutWishes)
    out: Path | None = None
    with_shell: bool = False


@dataclass(frozen=True, kw_only=True)
class PaperFile:
    """A file that was made.

    Args:
        name: Relative to the folder.
        kind: Which kind of paper it is.
        size_bytes: How large it is.
        state: Whether it is new, other than the one before, or the same.
    """

    name: str
    kind: PaperKind
    size_bytes: int
    state: State


@dataclass(frozen=True, kw_only=True)
class PapersMade:
    """What was made.

    Args:
        folder: Where it is.
        identity: Of what it was made from.
        files: What was written.
        skipped: Kinds of which nothing was made, with the reason.
        old: Files of before that are made no more, now in `old`.
        findings: What a person should know.
    """

    folder: Path
    identity: str
    files: tuple[PaperFile, ...]
    skipped: tuple[tuple[PaperKind, str], ...]
    old: tuple[str, ...]
    findings: tuple[Finding, ...]


def make_papers(folder: ProjectFolder, wishes: PaperWishes, *, progress: Progress = silent) -> PapersMade:
    """Make papers and put them in their folder, all or none.

    What cannot be made of a kind is told, and the other kinds are made. Files that were not made here, or were changed
    since, are never overwritten.

    Raises:
        UserError: When nothing can be made, with each reason; `FILE-103` where a file of somebody else is in the way.
    """
    progress("opening the project", 0.0)
    source, findings = paper_source(
        folder,
        date=wishes.date,
        only=wishes.only,
        unit=wishes.unit,
        cut=wishes.cut,
        paper=LETTER if wishes.paper == "letter" else A4,
        with_shell=wishes.with_shell,
        progress=progress,
    )
    made: dict[PaperKind, MadePapers] = {}
    refused = _not_to_cut_by(source, wishes.kinds, progress)
    for number, kind in enumerate(kind for kind in wishes.kinds if kind not in refused):
        progress(f"making {kind}", number / len(wishes.kinds))
        try:
            made[kind] = _MAKERS[kind](source, progress)
        except UserError as error:
            refused[kind] = error
    if not made:
        raise UserError(*dict.fromkeys(found for error in refused.values() for found in error.findings))
    where = wishes.out or folder.papers
    files, old = _put(where, source, made, wishes)
    progress("papers made", 1.0)
    told = (finding for papers in made.values() for finding in papers.findings)
    return PapersMade(
        folder=where,
        identity=source.identity,
        files=files,
        skipped=tuple((kind, error.findings[0].sentence) for kind, error in refused.items()),
        old=old,
        findings=tuple(dict.fromkeys((*findings, *told, *map(_skipped, refused.values())))),
    )


def _not_to_cut_by(
    source: PaperSource, kinds: Sequence[PaperKind], progress: Progress
) -> dict[PaperKind, UserError]:
    """Kinds that steel is cut by, while the size of the scan is not proven; they are held to what sheets are."""
    cut_by = [kind for kind in kinds if kind in CUT_BY]
    if not cut_by or source.project.scan is None:
        return {}
    try:
        scan_proof(source.project, open_whole_shell(source.folder, source.project, progress=progress))
    except UserError as error:
        return dict.fromkeys(cut_by, error)
    return {}


_Maker = Callable[[PaperSource, Progress], MadePapers]
_MAKERS: Mapping[PaperKind, _Maker] = {
    "wraps": lambda source, _progress: wrap_papers(source),
    "plates": lambda source, _progress: plate_papers(source),
    "floor": lambda source, _progress: floor_papers(source),
    "step": lambda source, progress: step_papers(source, progress=progress),
    "glb": lambda source, progress: glb_papers(source, progress=progress),
    "tables": lambda source, _progress: table_papers(source),
}


def _skipped(error: UserError) -> Finding:
    """The first reason why a kind was left out, as a note."""
    return replace(error.findings[0], severity=Severity.NOTE)


def _put(
    where: Path, source: PaperSource, made: Mapping[PaperKind, MadePapers], wishes: PaperWishes
) -> tuple[tuple[PaperFile, ...], tuple[str, ...]]:
    before = read_made(where)
    contents = {name: content for papers in made.values() for name, content in papers.files.items()}
    refuse_foreign(where, contents, before)
    now = {
        name: MadeFile(
            name=name,
            kind=kind,
            sha256=content_sha256(content),
            identity=source.identity,
            date=source.date,
        )
        for kind, papers in made.items()
        for name, content in papers.files.items()
    }
    gone = () if wishes.only else tuple(_made_no_more(before, now, tuple(made)))
    kept = {name: file for name, file in before.items() if name not in gone}
    put_in_folder(where, contents, {**kept, **now}, gone)
    files = tuple(
        PaperFile(name=name, kind=kind, size_bytes=len(content), state=_state(before.get(name), now[name]))
        for kind, papers in made.items()
        for name, content in papers.files.items()
    )
    return files, gone


def _made_no_more(
    before: Mapping[str, MadeFile], now: Mapping[str, MadeFile], kinds: Sequence[PaperKind]
) -> Sequence[str]:
    return [name for name, file in before.items() if file.kind in kinds and name not in now]


def _state(before: MadeFile | None, now: MadeFile) -> State:
    if before is None:
        return "new"
    return "as before" if before.sha256 == now.sha256 else "changed"

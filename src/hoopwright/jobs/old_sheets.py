"""Papers that a new issue makes OLD: of bars that changed or are gone, and of the whole cage."""

from collections.abc import Sequence
from pathlib import Path

from hoopwright.bender import BarSheet
from hoopwright.papers.old import stamp_old
from hoopwright.store import Project, ProjectFolder

WHOLE_CAGE = ("bar-sheets", "overview", "cut-list")


def is_new(project: Project, sheet: BarSheet) -> bool:
    """Whether a sheet says something else than the last that was issued for its bar."""
    last = project.last_issued(sheet.bar_id)
    return last is None or last.identity != sheet.identity


def _stamped_old(folder: ProjectFolder, project: Project, bar_id: str, why: str) -> dict[Path, bytes]:
    """A bar's paper stamped OLD, under the name that it gets; nothing where there is no paper."""
    last = project.last_issued(bar_id)
    current = folder.papers / f"{bar_id}.pdf"
    if last is None or not current.is_file():
        return {}
    stamped = stamp_old(current.read_bytes(), why)
    return {folder.papers / "old" / f"{bar_id}-revision-{last.revision}.pdf": stamped}


def retired(
    folder: ProjectFolder, project: Project, sheets: Sequence[BarSheet], gone: Sequence[str], date: str
) -> dict[Path, bytes]:
    """Papers of bars whose sheet has changed or that are gone, stamped OLD."""
    old: dict[Path, bytes] = {}
    for name in gone:
        old |= _stamped_old(folder, project, name, f"taken out of the cage by {date}")
    for sheet in sheets:
        if sheet.revision > 1 and is_new(project, sheet):
            why = f"replaced by revision {sheet.revision} on {sheet.date}"
            old |= _stamped_old(folder, project, sheet.bar_id, why)
    return old


def gone_bars(folder: ProjectFolder, project: Project) -> tuple[str, ...]:
    """Bars that have a paper and are in the cage no more."""
    issued = dict.fromkeys(sheet.bar_id for sheet in project.issued)
    return tuple(
        name for name in issued if name not in project.cage and (folder.papers / f"{name}.pdf").is_file()
    )


def stale_papers(folder: ProjectFolder, project: Project, sheets: Sequence[BarSheet]) -> tuple[str, ...]:
    """Papers of the whole cage that say something else than the sheets now issued."""
    if not any(is_new(project, sheet) for sheet in sheets):
        return ()
    return tuple(name for name in WHOLE_CAGE if (folder.papers / f"{name}.pdf").is_file())


def stamped_whole(folder: ProjectFolder, names: Sequence[str], date: str) -> dict[Path, bytes]:
    """Papers of the whole cage stamped OLD; issuing all sheets makes new ones."""
    return {
        folder.papers / "old" / f"{name}-until-{date}.pdf": stamp_old(
            (folder.papers / f"{name}.pdf").read_bytes(), f"some sheets were issued anew on {date}"
        )
        for name in names
    }

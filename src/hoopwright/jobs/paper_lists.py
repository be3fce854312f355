"""What lies in a project's papers, and how each bar's sheet stands."""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Literal

from hoopwright.bender import Calibration
from hoopwright.cage import Member, bar_of, side_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shop_at_hand import ShopAtHand, shop_at_hand
from hoopwright.store import Project, ProjectFolder

Standing = Literal["in force", "OLD", "never issued", "cannot be made"]
_GROUPS = {
    "wraps": "Wraps of copes",
    "plates": "Plates",
    "floor": "On the floor, full size",
    "step": "Solids (STEP)",
    "glb": "Solids to look at (GLB)",
    "tables": "Tables",
    "old": "OLD: no more in force",
}
_WHOLE_CAGE = ("bar-sheets", "overview", "cut-list", "assembly", "dossier")
_MEDIA = {
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".txt": "text/plain; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".dxf": "image/vnd.dxf",
    ".step": "model/step",
    ".glb": "model/gltf-binary",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
_MOST_FILES = 2000


@dataclass(frozen=True, kw_only=True)
class SheetState:
    """How the sheet of one bar stands.

    Args:
        bar_id: The bar.
        title: What it is in the cage.
        side: `L`, `R` or empty.
        standing: Whether the last sheet says the same as the bar now.
        revision: Of the last sheet; None where none was issued.
        date: Its day.
        why: Why no sheet can be made.
    """

    bar_id: str
    title: str
    side: str
    standing: Standing
    revision: int | None
    date: str
    why: str


@dataclass(frozen=True, kw_only=True)
class ListedPaper:
    """A file in the papers of a project.

    Args:
        name: Relative to the papers, with forward slashes: the only name by which it is given out.
        group: What it belongs to, in words.
        media_type: How it is sent.
        size_bytes: How large it is.
    """

    name: str
    group: str
    media_type: str
    size_bytes: int


def sheet_states(folder: ProjectFolder) -> tuple[SheetState, ...]:
    """How the sheet of each bar stands against the bar as it is now.

    Raises:
        UserError: `CAL-...` and `SHOP-...` for what cannot be read.
    """
    project = folder.open().project
    calibrations = calibrations_at_hand(folder, project.cage.members)
    shop = shop_at_hand()
    return tuple(_state(project, member, calibrations, shop) for member in project.cage.members)


def _state(
    project: Project, member: Member, calibrations: tuple[Calibration, ...], shop: ShopAtHand
) -> SheetState:
    last = project.last_issued(member.member_id)
    wishes = SheetWishes(
        date="" if last is None else last.date,
        order=None if last is None else last.order,
        swings=None if last is None else last.swings,
    )
    why = ""
    standing: Standing = "never issued"
    try:
        sheet = sheet_of(project, member, calibrations, wishes, shop)
        if last is not None:
            standing = "in force" if sheet.identity == last.identity else "OLD"
    except UserError as error:
        standing, why = "cannot be made", error.findings[0].sentence
    return SheetState(
        bar_id=member.member_id,
        title=member.role.value,
        side=side_of(bar_of(project.cage, member.member_id)),
        standing=standing,
        revision=None if last is None else last.revision,
        date="" if last is None else last.date,
        why=why,
    )


def list_papers(folder: ProjectFolder) -> tuple[ListedPaper, ...]:
    """The files that were made in a project's papers; links and what is of no known kind are left out."""
    bars = {sheet.bar_id for sheet in folder.open().project.issued}
    return tuple(_listed(path, folder.papers, bars) for path in sorted(_files(folder.papers)))


def read_paper(folder: ProjectFolder, name: str) -> tuple[ListedPaper, bytes]:
    """One file of the papers, by the name under which it is listed; no other file can be had.

    Raises:
        UserError: `WEB-100` for a name that is not listed or a file that cannot be read.
    """
    paper = next((one for one in list_papers(folder) if one.name == name), None)
    if paper is not None:
        try:
            return paper, folder.papers.joinpath(*PurePosixPath(paper.name).parts).read_bytes()
        except OSError:
            pass
    raise UserError(
        Finding(
            code="WEB-100",
            severity=Severity.STOP,
            sentence="There is no such file in the papers of this project.",
            todo="Look at the list of papers again; make it if it is gone.",
        )
    )


def _files(papers: Path) -> Iterator[Path]:
    """Plain files of known kinds below the papers, no links followed."""
    found = 0
    for where, folders, names in os.walk(papers, followlinks=False):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            path = Path(where, name)
            known = path.suffix.lower() in _MEDIA and not name.startswith(".")
            if known and not path.is_symlink() and found < _MOST_FILES:
                found += 1
                yield path


def _listed(path: Path, papers: Path, bars: set[str]) -> ListedPaper:
    inside = path.relative_to(papers)
    if len(inside.parts) > 1:
        group = _GROUPS.get(inside.parts[0], "Other papers")
    elif path.suffix == ".png":
        group = "Pictures"
    elif path.stem in _WHOLE_CAGE:
        group = "The whole cage"
    else:
        group = "Sheets of the bars" if path.stem in bars else "Other papers"
    return ListedPaper(
        name=inside.as_posix(),
        group=group,
        media_type=_MEDIA[path.suffix.lower()],
        size_bytes=path.stat().st_size,
    )

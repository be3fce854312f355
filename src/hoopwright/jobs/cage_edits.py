"""How every edit of a cage goes: the bar can be bent, what lands on it goes along, and it is saved."""

from collections.abc import Callable
from dataclasses import replace

from hoopwright.bars import Bar, check_shape
from hoopwright.cage import (
    Cage,
    bar_of,
)
from hoopwright.findings import Finding, UserError, stopping
from hoopwright.jobs.going_along import holes_along, loosened, taken_along
from hoopwright.store import ProjectFolder


def edit_cage(
    folder: ProjectFolder,
    change: Callable[[Cage], Cage],
    bar_id: str | None = None,
    *,
    takes_along: bool = False,
) -> tuple[Finding, ...]:
    """Change the cage and save it; returns what a person should know.

    Args:
        folder: The project.
        change: Gives the cage as it is to be.
        bar_id: The bar that is changed, which must be one that can be bent then.
        takes_along: Whether ends that land on it go along.
    """
    opened = folder.open()
    cage = change(opened.project.cage)
    findings = check_can_be_bent(bar_of(cage, bar_id)) if bar_id is not None else ()
    if takes_along:
        cage, along = taken_along(opened.project.cage, cage)
        findings = (*findings, *along)
    cage, holes = holes_along(opened.project.cage, cage)
    findings = (*findings, *holes)
    folder.save(opened, replace(opened.project, cage=cage))
    return (*findings, *loosened(cage, bar_id))


def check_can_be_bent(bar: Bar) -> tuple[Finding, ...]:
    """Findings on the shape of a bar that can be; a bar that cannot be stops the edit."""
    findings = check_shape(bar)
    stops = stopping(findings)
    if stops:
        raise UserError(*stops)
    return findings

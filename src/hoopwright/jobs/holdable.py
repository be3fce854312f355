"""The gap that a person can hold with one bar of a project."""

from hoopwright.bars import check_shape
from hoopwright.cage import bar_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.fitting.holdable import HoldableGap, holdable_gap
from hoopwright.fitting.scattered import Scatter, check_scatter
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.shells import open_shell
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder


def hold_gap(
    folder: ProjectFolder,
    member_id: str,
    scatter: Scatter,
    *,
    trials: int = 400,
    seed: int = 1,
    progress: Progress = silent,
) -> tuple[HoldableGap, tuple[Finding, ...]]:
    """Bend a bar many times with a person's scatter and say how many would clear the shell.

    The bar has the finished radius of its calibration where one is kept, else the drawn one.
    Nothing in the project is changed.

    Raises:
        UserError: `FIT-020`, `FIT-021`, `CAGE-001`, `SCAN-014`, or what stops the bar from being bent.
    """
    stops = check_scatter(scatter)
    if stops:
        raise UserError(*stops)
    project = folder.open().project
    cage = as_bent(folder, project.cage)
    member, bar = cage.member(member_id), bar_of(cage, member_id)
    stops = stopping(check_shape(bar))
    if stops:
        raise UserError(*stops)
    shell = open_shell(folder, project, progress=progress)
    held = holdable_gap(
        shell,
        bar,
        scatter,
        landings_mm=(member.end_a.landing_mm, member.end_b.landing_mm),
        trials=trials,
        seed=seed,
        progress=progress,
    )
    return held, (*_no_answer(held), *_cloud(shell))


def _no_answer(held: HoldableGap) -> tuple[Finding, ...]:
    """Where bars meet metal with their axis, how far they are in it is not known."""
    if not held.axis_meets_metal:
        return ()
    return (
        Finding(
            code="FIT-022",
            sentence=f"{held.axis_meets_metal} of {held.trials} bars '{held.bar}' reach metal with their axis. How "
            "much more gap they need is not known; they are counted as not clearing at any gap.",
            todo="Draw the bar farther from the metal, or bend with less scatter, and ask again.",
            objects=(held.bar,),
            measured=float(held.axis_meets_metal),
            limit=0.0,
        ),
    )


def _cloud(shell: Shell) -> tuple[Finding, ...]:
    if not shell.prepared.is_cloud:
        return ()
    return (
        Finding(
            code="FIT-023",
            severity=Severity.NOTE,
            sentence="The scan is a cloud of points: gaps are to the nearest point, and the metal between points may "
            "be nearer. Fewer bars may clear than said.",
            todo="Make a mesh of the points first.",
            measured=shell.prepared.spacing_mm,
            unit="mm",
        ),
    )

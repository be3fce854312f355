"""What a bar at the bender can still become, in the project's shell."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.bender.bend_job import BendJob
from hoopwright.bender.rescue.goal import Gap, Goal
from hoopwright.bender.rescue.solve_again import Made, Rescue, solve_again
from hoopwright.bender.rescue.standing import Standing
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.shells import open_shell
from hoopwright.jobs.sticks import BendWishes
from hoopwright.progress import Progress
from hoopwright.store import Project, ProjectFolder


def rescue_of(
    folder: ProjectFolder, now: Standing, made: Sequence[Made], wishes: BendWishes, progress: Progress
) -> tuple[Rescue, tuple[Finding, ...]]:
    """The bends to come solved again for the gaps in the shell, where the project has one.

    A shell that cannot be opened is told of; the gaps are not checked then.
    """
    project = folder.open().project
    job, cage = now.started.job, project.cage
    landings = (0.0, 0.0)
    if now.started.bar_id in cage:
        member = cage.member(now.started.bar_id)
        landings = (member.end_a.landing_mm, member.end_b.landing_mm)
    gap, findings = _gap(folder, project, job, progress)
    rescue = solve_again(
        job,
        now.plan,
        made,
        goal=Goal(gap_mm=cage.limits.gap_mm, landings_mm=landings),
        gap=gap,
        end_limit_mm=wishes.end_limit_mm,
    )
    return rescue, findings


def _gap(
    folder: ProjectFolder, project: Project, job: BendJob, progress: Progress
) -> tuple[Gap | None, tuple[Finding, ...]]:
    if project.scan is None:
        return None, ()
    try:
        shell = open_shell(folder, project, progress=progress)
    except UserError as error:
        # what was read is written already, and stays so whatever becomes of the scan
        return None, tuple(replace(one, severity=Severity.WARNING) for one in error.findings)
    half = job.bar.tube.od_mm / 2.0
    return (lambda points: shell.nearest(points).distance_mm - half), ()

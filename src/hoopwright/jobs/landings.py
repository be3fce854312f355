"""Landings of feet: chosen, fitted to the scan, shown and taken out."""

from dataclasses import dataclass, replace
from typing import Any

from hoopwright.bars import centreline
from hoopwright.cage import (
    Cage,
    EndLetter,
    Foot,
    Landing,
    LandingKind,
    bar_of,
    feet_of,
    put_landing,
    remove_landing,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.jobs.bent_cage import cage_to_cut
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.joints.landing import FittedLanding
from hoopwright.joints.landing.best_sole import best_sole
from hoopwright.joints.landing.fit import fit_landing, usual_landing
from hoopwright.joints.landing.together import held_together
from hoopwright.joints.meet import drawn_tube
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder

_USUAL_BOX_MM = 80.0
"""Height of a box where none is typed: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class LandedFoot:
    """A foot and what it stands on.

    Args:
        foot: The end, and what was chosen for it.
        fitted: Its landing as fitted; None where nothing was chosen or it cannot be made.
        findings: What a person should know of it.
    """

    foot: Foot
    fitted: FittedLanding | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class LandingReport:
    """The feet of a cage.

    Args:
        feet: Each foot.
        findings: Of all, and of landings held against each other.
    """

    feet: tuple[LandedFoot, ...]
    findings: tuple[Finding, ...]

    @property
    def fitted(self) -> tuple[FittedLanding, ...]:
        """The landings that could be fitted."""
        return tuple(one.fitted for one in self.feet if one.fitted is not None)


def land_feet(
    folder: ProjectFolder,
    *,
    only: tuple[str, EndLetter] | None = None,
    progress: Progress = silent,
) -> LandingReport:
    """Fit the landing of every foot to the scan; bars that were bent and measured stand as they are.

    Args:
        folder: The project.
        only: One end of one bar alone.
        progress: Told how far it is.

    Raises:
        UserError: `CAGE-001`, `LAND-002` for an end that does not stand on the shell, `SCAN-014` without a scan.
    """
    project = folder.open().project
    cage = _as_it_is(folder, project)
    feet = feet_of(cage) if only is None else (_foot(cage, *only),)
    return land_on(_shell(folder, project, cage, progress), cage, feet, progress=progress)


def land_on(
    shell: Shell, cage: Cage, feet: tuple[Foot, ...], *, progress: Progress = silent
) -> LandingReport:
    """Fit the landings of some feet to a shell that is open already.

    Args:
        shell: With the holes that are cut for the bars.
        cage: With the bars as they exist.
        feet: Of that cage.
        progress: Told how far it is.
    """
    landed = []
    for number, foot in enumerate(feet):
        progress("fitting landings", (number + 1) / (len(feet) + 1))
        landed.append(_landed(shell, cage, foot))
    fitted = [one.fitted for one in landed if one.fitted is not None]
    return LandingReport(
        feet=tuple(landed),
        findings=(*(found for one in landed for found in one.findings), *held_together(cage, fitted)),
    )


def set_landing(
    folder: ProjectFolder,
    bar_id: str,
    end: EndLetter,
    typed: dict[str, Any],
    *,
    progress: Progress = silent,
) -> LandingReport:
    """Choose the landing of one foot; what is not typed stays as it was, or is the usual.

    Args:
        folder: The project.
        bar_id: The bar, no mirrored one.
        end: Its end.
        typed: Fields of `Landing` by name.
        progress: Told how far it is.

    Raises:
        UserError: `CAGE-001`, `CAGE-006`, `LAND-001`, `LAND-002`, and what `fit_landing` says of one that cannot be
            made; nothing is kept then.
    """
    opened = folder.open()
    cage = _as_it_is(folder, opened.project)
    put_landing(opened.project.cage, Landing(bar_id=bar_id, end=end))
    shell = _shell(folder, opened.project, cage, progress)
    landing = _lying_best(
        shell, cage, _wished(shell, cage, _foot(opened.project.cage, bar_id, end), typed), typed
    )
    whole = put_landing(opened.project.cage, landing)
    fitted = fit_landing(shell, bar_of(cage, bar_id), landing, landmarks=cage.landmarks)
    folder.save(opened, replace(opened.project, cage=whole))
    foot = Foot(bar_id=bar_id, end=end, landing=landing)
    return LandingReport(
        feet=(LandedFoot(foot=foot, fitted=fitted, findings=fitted.findings),), findings=fitted.findings
    )


def set_every_landing(
    folder: ProjectFolder, typed: dict[str, Any], *, progress: Progress = silent
) -> LandingReport:
    """Choose the landings of all feet at once; a foot that cannot have one keeps what it had, and is told of.

    Raises:
        UserError: `LAND-001` for numbers that cannot be, `LAND-004` when no foot can be landed.
    """
    opened = folder.open()
    project = opened.project
    cage = _as_it_is(folder, project)
    shell = _shell(folder, project, cage, progress)
    whole = project.cage
    refused: list[Finding] = []
    feet = [foot for foot in feet_of(whole) if whole.member(foot.bar_id).mirror_of is None]
    for number, foot in enumerate(feet):
        progress("fitting landings", (number + 1) / (len(feet) + 1))
        try:
            landing = _lying_best(shell, cage, _wished(shell, cage, foot, typed), typed)
        except UserError as error:
            refused.extend(error.findings)
            continue
        after = put_landing(whole, landing)
        try:
            fit_landing(shell, bar_of(cage, foot.bar_id), landing)
        except UserError as error:
            refused.extend(error.findings)
            continue
        whole = after
    if whole == project.cage and (refused or not feet):
        raise UserError(*refused) if refused else UserError(_no_feet())
    folder.save(opened, replace(project, cage=whole))
    report = land_feet(folder, progress=progress)
    told = tuple(replace(found, severity=Severity.WARNING) for found in refused)
    return replace(report, findings=(*report.findings, *told))


def take_landing_out(folder: ProjectFolder, bar_id: str, end: EndLetter) -> None:
    """Remove the landing of a foot.

    Raises:
        UserError: `CAGE-001`, `CAGE-006`, `LAND-003`.
    """
    opened = folder.open()
    cage = remove_landing(opened.project.cage, bar_id, end)
    folder.save(opened, replace(opened.project, cage=cage))


def _as_it_is(folder: ProjectFolder, project: Project) -> Cage:
    return cage_to_cut(folder, project).cage


def _shell(folder: ProjectFolder, project: Project, cage: Cage, progress: Progress) -> Shell:
    return cut_for_bars(open_whole_shell(folder, project, progress=progress), cage).shell


def _foot(cage: Cage, bar_id: str, end: EndLetter) -> Foot:
    member = cage.member(bar_id)
    for foot in feet_of(cage):
        if (foot.bar_id, foot.end) == (bar_id, end):
            return foot
    kind = (member.end_a if end == "A" else member.end_b).kind
    raise UserError(
        Finding(
            code="LAND-005",
            severity=Severity.STOP,
            sentence=f"End {end} of bar {bar_id} does not stand on the shell: it ends on {kind}.",
            todo="List the feet with 'hoopwright landing PROJECT'.",
            objects=(bar_id,),
        )
    )


def _landed(shell: Shell, cage: Cage, foot: Foot) -> LandedFoot:
    if foot.landing is None:
        return LandedFoot(foot=foot, fitted=None, findings=())
    bar, member = bar_of(cage, foot.bar_id), cage.member(foot.bar_id)
    tube = drawn_tube(centreline(bar), trim_a_mm=member.end_a.trim_mm, trim_b_mm=member.end_b.trim_mm)
    try:
        fitted = fit_landing(shell, bar, foot.landing, landmarks=cage.landmarks, tube=tube)
    except UserError as error:
        told = tuple(replace(found, severity=Severity.WARNING) for found in error.findings)
        return LandedFoot(foot=foot, fitted=None, findings=told)
    return LandedFoot(foot=foot, fitted=fitted, findings=fitted.findings)


def _wished(shell: Shell, cage: Cage, foot: Foot, typed: dict[str, Any]) -> Landing:
    """What was typed, on what the foot had or on the usual."""
    bar = bar_of(cage, foot.bar_id)
    had = foot.landing
    if had is None:
        if typed.get("kind") is None:
            had = usual_landing(shell, bar, foot.end)
        else:
            had = Landing(bar_id=foot.bar_id, end=foot.end)
    landing = replace(had, **{name: value for name, value in typed.items() if value is not None})
    if landing.kind is not LandingKind.BOX:
        height = 0.0 if typed.get("height_mm") is None else landing.height_mm
        landing = replace(landing, height_mm=height, is_square=False)
    if landing.kind is not LandingKind.FOLDED:
        landing = replace(landing, wall_mm=None)
    if landing.kind is LandingKind.BOX and landing.height_mm == 0.0 and typed.get("height_mm") is None:
        landing = replace(landing, height_mm=_USUAL_BOX_MM)
    if landing.kind is LandingKind.FOLDED and typed.get("turn_deg") is None:
        landing = replace(landing, turn_deg=0.0)
    if landing.kind is LandingKind.BOX and typed.get("bolts") is None:
        landing = replace(landing, bolts=0)
    return landing


def _lying_best(shell: Shell, cage: Cage, landing: Landing, typed: dict[str, Any]) -> Landing:
    """A flat plate turned and sized to lie best, on both sides of the car, unless a turn was typed or chosen before."""
    if typed.get("turn_deg") is not None or landing.turn_deg != 0.0:
        return landing
    own = cage.member(landing.bar_id)
    mirrored = [member for member in cage.members if member.mirror_of == own.member_id]
    feet = [(bar_of(cage, own.member_id), 1.0), *((bar_of(cage, one.member_id), -1.0) for one in mirrored)]
    return best_sole(shell, feet, landing)


def _no_feet() -> Finding:
    return Finding(
        code="LAND-004",
        severity=Severity.STOP,
        sentence="No bar of the cage stands on the shell.",
        todo="Lay a cage out first, or add bars whose ends land on the shell.",
    )

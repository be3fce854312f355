"""Fitting one bar of a project to its shell."""

from dataclasses import dataclass, replace

from hoopwright.cage import (
    Cage,
    FitNote,
    Member,
    add_member,
    drawn_bar,
    replace_member,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.holes import shell_to_fit
from hoopwright.fitting.offers import Offer, TradeOff
from hoopwright.fitting.pillar_plane import find_pillar_plane, told_plane
from hoopwright.fitting.reasons import Reason, why_off
from hoopwright.fitting.tradeoff import fit_bar
from hoopwright.fitting.warm import refit_bar
from hoopwright.jobs.fit_findings import TwinGap, fit_findings, shown_offer, twin_gap
from hoopwright.jobs.fit_pictures import draw_fit
from hoopwright.jobs.fit_tasks import FitWishes, at_pillar, member_to_fit, task_to_fit
from hoopwright.jobs.going_along import holes_along, taken_along
from hoopwright.jobs.made_pdf import DrawnFiles
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder
from hoopwright.store.folder import Opened


@dataclass(frozen=True, eq=False, kw_only=True)
class FitReport:
    """What a fit found.

    Args:
        member: The bar as it is in the project now, or would be.
        found: The trade-off.
        reasons: For each offer, why gaps remain.
        taken: The offer that is in the project now, or None.
        findings: What a person should know.
        twin: The least gap of its mirror on the other side, of the offer taken or else the best; None without one.
        pictures: Files drawn, relative to the project.
    """

    member: Member
    found: TradeOff
    reasons: tuple[tuple[Reason, ...], ...]
    taken: Offer | None
    findings: tuple[Finding, ...]
    twin: TwinGap | None = None
    pictures: tuple[str, ...] = ()


def fit_member(
    folder: ProjectFolder,
    bar_id: str,
    wishes: FitWishes,
    *,
    bends: tuple[int, ...] = (0, 1, 2, 3, 4),
    take: int | None = None,
    warm: bool = False,
    draw: bool = False,
    whole: Shell | None = None,
    progress: Progress = silent,
) -> FitReport:
    """Find the trade-off of one bar; with `take`, put the bar with so many bends into the project.

    Args:
        folder: The project.
        bar_id: A bar of the project, or the name of a new one.
        wishes: What is asked.
        bends: Numbers of bends to try.
        take: Which of them to keep.
        warm: Start from the bar as it is and only improve it.
        draw: Draw the trade-off, and the gap along the bar that was taken or is nearest, into the papers.
        whole: The project's shell without holes, where it is open already.
        progress: Told how far it is; what it raises stops the fit with nothing changed.

    Raises:
        UserError: `FIT-030` to `FIT-039`, `FIT-049`, `FIT-061`, `SCAN-014`, `CAGE-...`.
    """
    opened = folder.open()
    cage = opened.project.cage
    member = member_to_fit(cage, bar_id, wishes)
    if whole is None:
        whole = open_whole_shell(folder, opened.project, progress=progress)
    shell = shell_to_fit(whole, cage, bar_id)
    pillar = find_pillar_plane(shell) if wishes.at_pillar else None
    if pillar is not None:
        member, wishes = at_pillar(pillar, member, wishes)
    task = task_to_fit(shell, cage, member, wishes)
    if warm:
        found = refit_bar(shell, task, task.bar(drawn_bar(member).nodes), seed=wishes.seed)
        take = found.offers[0].bends if found.offers else None
    else:
        found = fit_bar(shell, task, bends, seed=wishes.seed, progress=progress)
    reasons = tuple(why_off(shell, task, offer) for offer in found.offers)
    chosen = next((offer for offer in found.offers if offer.bends == take), None)
    if take is not None and chosen is None:
        raise _not_found(bar_id, take)
    shown = shown_offer(found, chosen)
    twin = None if shown is None else twin_gap(shell, cage, found, shown)
    findings = list(fit_findings(shell, found, shown, twin))
    findings[:0] = [] if pillar is None else [told_plane(pillar, bar_id)]
    if chosen is not None:
        member, told = _keep(folder, opened, member, found, chosen)
        findings.extend((*chosen.findings, *told))
    drawn = draw_fit(folder, shell, found, chosen) if draw else DrawnFiles()
    return FitReport(
        member=member,
        found=found,
        reasons=reasons,
        taken=chosen,
        findings=(*findings, *drawn.findings),
        twin=twin,
        pictures=drawn.files,
    )


def keep_offer(folder: ProjectFolder, report: FitReport, bends: int) -> tuple[Finding, ...]:
    """Put a bar that a fit offered into the project; returns what a person should know.

    Args:
        folder: The project.
        report: What `fit_member` found.
        bends: Which of its offers.

    Raises:
        UserError: `FIT-037` without such an offer, `CAGE-...`.
    """
    member = report.member
    chosen = next((offer for offer in report.found.offers if offer.bends == bends), None)
    if chosen is None:
        raise _not_found(member.member_id, bends)
    _, told = _keep(folder, folder.open(), member, report.found, chosen)
    return (*chosen.findings, *told)


def _keep(
    folder: ProjectFolder, opened: Opened, member: Member, found: TradeOff, chosen: Offer
) -> tuple[Member, tuple[Finding, ...]]:
    """Save the project with the bar of an offer: the bar, and what a person should know of what went along."""
    cage = opened.project.cage
    changed, member = with_offer(cage, member, found, chosen)
    changed, along = taken_along(cage, changed)
    changed, holes = holes_along(cage, changed)
    folder.save(opened, replace(opened.project, cage=changed))
    return member, (*along, *holes)


def with_offer(cage: Cage, member: Member, found: TradeOff, chosen: Offer) -> tuple[Cage, Member]:
    """The cage with the bar of an offer, other ends as they are, and that bar."""
    note = FitNote(seed=found.seed, gap_mm=found.task.gap_mm, bends=chosen.bends)
    member = replace(member, nodes_mm=chosen.bar.nodes_mm, fit=note)
    is_there = member.member_id in cage
    return (replace_member(cage, member) if is_there else add_member(cage, member)), member


def _not_found(bar_id: str, take: int) -> UserError:
    return UserError(
        Finding(
            code="FIT-037",
            severity=Severity.STOP,
            sentence=f"Bar {bar_id}: no bar with {take} bends was found, so nothing was changed.",
            todo="Try another number of bends; a symmetric bar has an even one.",
            objects=(bar_id,),
        )
    )

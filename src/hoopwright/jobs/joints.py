"""The joints of a project's cage: what is cut to what, and how each end is cut."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bent_cage import cage_to_cut
from hoopwright.jobs.marked_tubes import marked_tubes
from hoopwright.joints.meet import BarCut, CageCuts, CutWishes, ends_of
from hoopwright.joints.meet.hand_cut import COMMON_SAWS_MM, HandCut, hand_cut
from hoopwright.progress import Progress, silent
from hoopwright.store import Project, ProjectFolder

SMALLEST_SAW_MM, LARGEST_SAW_MM = 10.0, 210.0


@dataclass(frozen=True, eq=False, kw_only=True)
class JointsReport:
    """The joints of a cage.

    Args:
        cuts: What is cut, bar by bar in the order of assembly.
        by_hand: How each end is cut by hand, by name of the joint.
        bent: Bars that count as they were bent.
        findings: What a person should know.
    """

    cuts: CageCuts
    by_hand: dict[str, HandCut]
    bent: tuple[str, ...]
    findings: tuple[Finding, ...]

    def bar(self, name: str) -> BarCut:
        """A bar with a coped end.

        Raises:
            UserError: `JOINT-011` where none of its ends is coped.
        """
        found = self.cuts.bar(name)
        if found is not None and found.ends:
            return found
        raise UserError(
            Finding(
                code="JOINT-011",
                severity=Severity.STOP,
                sentence=f"No end of bar {name} is coped: none lands on a bar that it meets.",
                todo="Say on which bar an end lands with 'hoopwright bar', or look at the findings of all joints.",
                objects=(name,),
            ),
            *(
                finding
                for finding in self.findings
                if not self.cuts.uncut_of(name).isdisjoint(finding.objects)
            ),
        )


def joints_of(
    folder: ProjectFolder,
    wishes: CutWishes | None = None,
    *,
    only: Sequence[str] = (),
    saws_mm: Sequence[float] = COMMON_SAWS_MM,
    progress: Progress = silent,
) -> JointsReport:
    """The joints of a project, on the bars that exist where they were measured.

    Args:
        folder: The project.
        wishes: How copes are wanted.
        only: Only these bars' ends; all without.
        saws_mm: Hole saws at hand.
        progress: Told how far it is.

    Raises:
        UserError: `STORE-...`; `CAGE-001`; `JOINT-012`, `JOINT-014`, `JOINT-015` for what was typed; `CAL-...` for
            calibrations that cannot be read.
    """
    _refuse_saws(saws_mm)
    project = folder.open().project
    cuts, findings, bent = cuts_of(folder, project, wishes, only=only, progress=progress)
    progress("setting up saws", 0.6)
    by_hand = {cut.name: hand_cut(cut, saws_mm=saws_mm) for cut in cuts.ends}
    progress("joints found", 1.0)
    return JointsReport(cuts=cuts, by_hand=by_hand, bent=bent, findings=(*cuts.all_findings, *findings))


def cuts_of(
    folder: ProjectFolder,
    project: Project,
    wishes: CutWishes | None = None,
    *,
    only: Sequence[str] = (),
    progress: Progress = silent,
) -> tuple[CageCuts, tuple[Finding, ...], tuple[str, ...]]:
    """The cuts of an opened project's cage as it exists: what papers, solids and weld plans are made from.

    Returns:
        The cuts, findings on bars that were bent, and the names of those.

    Raises:
        UserError: As `joints_of`.
    """
    for name in only:
        project.cage.member(name)
    existing = cage_to_cut(folder, project)
    progress("marking out the tubes", 0.1)
    members = [member for member in project.cage.members if not only or member.member_id in only]
    tubes = marked_tubes(folder, project, members)
    progress("cutting the ends", 0.3)
    return ends_of(existing.cage, wishes, tubes, only=only), existing.findings, existing.bent


def _refuse_saws(saws_mm: Sequence[float]) -> None:
    for saw in saws_mm:
        if not SMALLEST_SAW_MM <= saw <= LARGEST_SAW_MM:
            raise UserError(
                Finding(
                    code="JOINT-015",
                    severity=Severity.STOP,
                    sentence=f"A hole saw of {saw:g} mm cannot be.",
                    todo=f"Type diameters from {SMALLEST_SAW_MM:g} to {LARGEST_SAW_MM:g} mm; check the unit.",
                    measured=saw,
                    limit=LARGEST_SAW_MM,
                    unit="mm",
                )
            )
    if not saws_mm:
        raise UserError(
            Finding(
                code="JOINT-015",
                severity=Severity.STOP,
                sentence="No hole saw was named.",
                todo="Type one diameter or more, such as 38, 44, 46.",
            )
        )

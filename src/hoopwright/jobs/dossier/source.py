"""All that the file is made from, gathered once."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from hoopwright.bars import Bar
from hoopwright.bender import TubeBatch
from hoopwright.cage import Cage
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.checks import CheckReport, check_project
from hoopwright.jobs.dossier.rule_lines import rule_lines
from hoopwright.jobs.dossier.state import files_of, state_of
from hoopwright.jobs.gussets import ListedGusset
from hoopwright.jobs.paper_source import PaperSource, paper_source
from hoopwright.jobs.rule_facts.certificates import batches_used
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.joints.landing import FittedLanding
from hoopwright.joints.meet import EndCut
from hoopwright.papers.dossier import RuleLine
from hoopwright.papers.drawing import PaperSize
from hoopwright.progress import Progress, silent
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.bending import Stick, every_stick
from hoopwright.store.folder import Opened
from hoopwright.units import LengthUnit


@dataclass(frozen=True, kw_only=True, eq=False)
class DossierSource:
    """What the file is made from.

    Args:
        opened: The project as it was read, once.
        papers: The cage as it exists, its cuts and its plates.
        drawn: The cage as drawn, with finished radii.
        report: What was checked.
        gussets: Gussets and ties, with why some cannot be made.
        sticks: Records of bending by bar, each stick in its order.
        batches: Tube batches of the shop by name.
        rules: Lines of the pinned book.
        state: SHA-256 of all of this.
        room_mm: Width of the page that tables have.
        findings: What a person should know.
    """

    opened: Opened
    papers: PaperSource
    drawn: Cage
    report: CheckReport
    gussets: tuple[ListedGusset, ...]
    sticks: Mapping[str, tuple[Stick, ...]]
    batches: Mapping[str, TubeBatch]
    rules: tuple[RuleLine, ...]
    state: str
    room_mm: float
    findings: tuple[Finding, ...]

    @property
    def folder(self) -> ProjectFolder:
        """The project's folder."""
        return self.papers.folder

    @property
    def project(self) -> Project:
        """The project."""
        return self.papers.project

    @property
    def unit(self) -> LengthUnit:
        """Unit of the figures."""
        return self.papers.unit

    @property
    def bars(self) -> Mapping[str, Bar]:
        """Bars that can be, as they exist, by name."""
        return self.papers.bars

    @property
    def cuts(self) -> tuple[EndCut, ...]:
        """The cut of each end that lands on other bars."""
        return self.papers.cuts

    @property
    def landings(self) -> tuple[FittedLanding, ...]:
        """Landings as fitted."""
        return self.papers.metal.landings


def gather(
    folder: ProjectFolder,
    *,
    date: str,
    unit: LengthUnit,
    paper: PaperSize,
    room_mm: float,
    progress: Progress = silent,
) -> DossierSource:
    """Open a project and work out what its file says.

    Args:
        folder: The project.
        date: Day of making, ISO 8601.
        unit: Unit of the figures.
        paper: A4 or letter.
        room_mm: Width of the page that tables have.
        progress: Told how far it is.

    Raises:
        UserError: As `paper_source` and `check_project`; `SHOP-...` for a shop that cannot be read; `DOSS-011` where
            sample bends, bending records or photos changed while they were read.
    """
    opened = folder.open()
    project, files = opened.project, files_of(folder, opened)
    whole = None if project.scan is None else open_whole_shell(folder, project, progress=progress)
    papers, findings = paper_source(
        folder, date=date, unit=unit, paper=paper, project=project, whole=whole, progress=progress
    )
    progress("checking", 0.4)
    report = check_project(folder, project=project, whole=whole, landed=papers.metal.feet, progress=progress)
    sticks, torn = _sticks(folder, papers.bars)
    batches = batches_used(project)
    rules = rule_lines(report.held)
    drawn = as_bent(folder, project.cage)
    _refuse_changed(files, files_of(folder, opened))
    return DossierSource(
        opened=opened,
        papers=papers,
        drawn=drawn,
        report=report,
        gussets=papers.metal.listed,
        sticks=sticks,
        batches=MappingProxyType(dict(batches)),
        rules=rules,
        state=state_of(files, batches, rules),
        room_mm=room_mm,
        findings=(*findings, *papers.cut_findings, *papers.metal.findings, *report.findings, *torn),
    )


def _refuse_changed(before: Mapping[str, Any], after: Mapping[str, Any]) -> None:
    """Stop where a file that was read in between is not the one that the state says.

    Raises:
        UserError: `DOSS-011`.
    """
    changed = [what for what, hashes in before.items() if after[what] != hashes]
    if changed:
        raise UserError(
            Finding(
                code="DOSS-011",
                severity=Severity.STOP,
                sentence=f"{' and '.join(changed).capitalize()} changed while the file was made, so it would not be of "
                "one state. Nothing was written.",
                todo="Make it again when nobody writes into the project.",
                objects=tuple(changed),
            )
        )


def _sticks(
    folder: ProjectFolder, bars: Mapping[str, Bar]
) -> tuple[Mapping[str, tuple[Stick, ...]], tuple[Finding, ...]]:
    """Records of bending that can be read, and why the others cannot."""
    found: dict[str, tuple[Stick, ...]] = {}
    torn: list[Finding] = []
    for name in bars:
        try:
            found[name] = every_stick(folder, name)
        except UserError as error:
            torn += [
                Finding(
                    code="DOSS-005",
                    severity=Severity.WARNING,
                    sentence=f"The bending records of bar {name} are left out of the file: "
                    f"{error.findings[0].sentence}",
                    todo=error.findings[0].todo,
                    objects=(name,),
                )
            ]
    return MappingProxyType(found), tuple(torn)

"""One layout in figures: what it takes, how near it runs to the shell, how its checks end, what it costs."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from hoopwright.cage import Cage
from hoopwright.findings import Finding, Severity, UserError, Verdict
from hoopwright.jobs.bent_cage import cage_to_cut
from hoopwright.jobs.bought_tubes import bought_in
from hoopwright.jobs.checks import CheckReport, check_project
from hoopwright.jobs.quantities import Quantities, quantities_of
from hoopwright.jobs.quotes import quote_for
from hoopwright.jobs.stick_rates import USUAL_STICK_MM, kerf_for
from hoopwright.progress import Progress, silent
from hoopwright.stock.money import Priced
from hoopwright.stock.rates import Rates
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize


@dataclass(frozen=True, kw_only=True)
class Sawing:
    """In which sticks tube is counted.

    Args:
        stick_mm: Length of one; None takes that of the rates, or 6 m.
        kerf_mm: What the saw takes; None takes that of the rates, or 3 mm.
    """

    stick_mm: float | None = None
    kerf_mm: float | None = None

    def kerf_by(self, rates: Rates) -> float:
        """The kerf that counts."""
        return kerf_for(self.kerf_mm, rates)

    def stick_by(self, rates: Rates, tube: TubeSize, steel: str) -> float:
        """The stick that counts for a tube."""
        return self.stick_mm or rates.stick_mm(tube, steel) or USUAL_STICK_MM


@dataclass(frozen=True, kw_only=True, eq=False)
class LayoutFigures:
    """One layout in figures; what could not be known is None.

    Args:
        label: What it is called: project and step of its history.
        cage: The cage that exists.
        scan_sha256: Of its scan; empty without one.
        quantities: What it takes.
        smallest_gap_mm: To the shell, of all bars.
        mean_gap_mm: Over every judged place of all bars; the places lie evenly along each.
        verdicts: How many checks ended in each; None where they could not be made.
        sticks: Whole sticks of all tubes, each bought for it alone; None where a piece fits into none.
        priced: Its cost and hours; None without rates.
        findings: What a person should know.
    """

    label: str
    cage: Cage
    scan_sha256: str
    quantities: Quantities
    smallest_gap_mm: float | None
    mean_gap_mm: float | None
    verdicts: Mapping[Verdict, int] | None
    sticks: int | None
    priced: Priced | None
    findings: tuple[Finding, ...]


def layout_figures(
    folder: ProjectFolder,
    rates: Rates,
    file: Path | None,
    sawing: Sawing,
    *,
    date: str,
    progress: Progress = silent,
) -> LayoutFigures:
    """Reckon one layout.

    Args:
        folder: The project.
        rates: As typed.
        file: Where they are from; None without rates.
        sawing: In which sticks tube is counted.
        date: Day, ISO 8601.
        progress: Told how far it is.

    Raises:
        UserError: What stops the project from being opened or its cage from being reckoned.
    """
    opened = folder.open()
    project = opened.project
    found = quantities_of(folder, progress=progress)
    lengths = {(one.tube, one.steel): sawing.stick_by(rates, one.tube, one.steel) for one in found.tubes}
    bought, stick_findings = bought_in(found, lengths, sawing.kerf_by(rates))
    report, check_findings = _checked(folder, progress)
    gaps = [one for one in (report.gaps.values() if report is not None else ()) if one.judged.any()]
    smallest = [one.smallest.gap_mm for one in gaps if one.smallest is not None]
    judged = np.concatenate([one.gap_mm[one.judged] for one in gaps]) if gaps else np.zeros(0)
    known = judged[np.isfinite(judged)]
    return LayoutFigures(
        label=f"{project.name}, step {opened.step}",
        cage=cage_to_cut(folder, project).cage,
        scan_sha256="" if project.scan is None else project.scan.sha256,
        quantities=found,
        smallest_gap_mm=min(smallest, default=None),
        mean_gap_mm=float(known.mean()) if len(known) else None,
        verdicts=None if report is None else Counter(row.verdict for row in report.rows),
        sticks=None if stick_findings else sum(one.needed.count for one in bought),
        priced=None if file is None else quote_for(found, rates, file, None, date=date).priced,
        findings=(*found.findings, *stick_findings, *check_findings),
    )


def _checked(folder: ProjectFolder, progress: Progress) -> tuple[CheckReport | None, tuple[Finding, ...]]:
    """The checks of a layout; that they cannot be made does not stop what is reckoned without a scan."""
    try:
        return check_project(folder, progress=progress), ()
    except UserError as error:
        first = error.findings[0]
        return None, (
            Finding(
                code="CMP-002",
                severity=Severity.WARNING,
                sentence=f"The checks of {folder.path} could not be made, so its gaps and verdicts are left out: "
                f"{first.sentence}",
                todo=first.todo,
                objects=(str(folder.path),),
            ),
        )

"""A bar as bent beside the drawn one, and what a tape takes on both."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.bars import Bar, BendTable
from hoopwright.bender.as_bent import (
    BendReading,
    KindResult,
    NextDistance,
    TapeEntry,
    bar_distances,
)
from hoopwright.bender.as_bent.scanned import ScannedBar
from hoopwright.cage import bar_of
from hoopwright.findings import Finding
from hoopwright.jobs.calibrations import as_bent
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.project import BentSource


@dataclass(frozen=True, kw_only=True)
class DistanceRow:
    """One distance that a tape takes.

    Args:
        key: Its short name.
        words: Where the tape goes.
        drawn_mm: On the bar as drawn.
        bent_mm: On the bar as bent.
        tape_mm: As typed; None where it was not taken.
    """

    key: str
    words: str
    drawn_mm: float
    bent_mm: float
    tape_mm: float | None


@dataclass(frozen=True, eq=False, kw_only=True)
class BentBar:
    """A bar as bent, beside the drawn one.

    Args:
        bar_id: The bar.
        source: How it was measured.
        drawn: As drawn, with its finished radius.
        bar: As bent, where the drawn one lies.
        drawn_table: Bend table as drawn.
        table: Bend table as bent.
        angle_sds_deg: Standard deviation of each angle.
        kinds: What a tape told of bends that are made alike; empty for other sources.
        can_tell: Whether every bend is known well enough.
        next_distance: What to measure next with the tape, if anything.
        distances: What a tape takes on this bar.
        node_sds_mm: Of each node, for readings; empty for other sources.
        scanned: The bar in the scan, for a scan.
        tape: As typed.
        readings: As typed.
        file: Name of the scan.
        taped_on: The stick on which the tape distances were taken at the bender, in words; empty where they were typed.
        is_best_laid: Whether it is laid as it goes best in the car, not with its ends where the drawn ones are.
        findings: What a person should know.
    """

    bar_id: str
    source: BentSource
    drawn: Bar
    bar: Bar
    drawn_table: BendTable
    table: BendTable
    angle_sds_deg: tuple[float, ...]
    kinds: tuple[KindResult, ...] = ()
    can_tell: bool = True
    next_distance: NextDistance | None = None
    distances: tuple[DistanceRow, ...] = ()
    node_sds_mm: tuple[float, ...] = ()
    scanned: ScannedBar | None = None
    tape: tuple[TapeEntry, ...] = ()
    readings: tuple[BendReading, ...] = ()
    file: str = ""
    taped_on: str = ""
    is_best_laid: bool = False
    findings: tuple[Finding, ...] = ()


def drawn_bar_of(folder: ProjectFolder, project: Project, bar_id: str) -> Bar:
    """A bar as drawn, with the finished radius of its calibration where one is kept.

    Raises:
        UserError: `CAGE-001`, `CAL-...`.
    """
    project.cage.member(bar_id)
    return bar_of(as_bent(folder, project.cage), bar_id)


def distance_rows(drawn: Bar, bent: Bar, entries: Sequence[TapeEntry]) -> tuple[DistanceRow, ...]:
    """What a tape takes on a bar: as drawn, as bent, and as it was typed."""
    typed = {" ".join(entry.key.lower().split()): entry.tape_mm for entry in entries}
    return tuple(
        DistanceRow(
            key=distance.key,
            words=distance.words,
            drawn_mm=distance.measure(drawn),
            bent_mm=distance.measure(bent),
            tape_mm=typed.get(distance.key.lower()),
        )
        for distance in (bar_distances(drawn) if drawn.bend_count else ())
    )

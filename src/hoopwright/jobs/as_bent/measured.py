"""The bar that tape distances, or readings of its released bends, make."""

from collections.abc import Collection, Sequence

from hoopwright.bars import Bar, bend_table
from hoopwright.bender import default_order
from hoopwright.bender.as_bent import (
    BendReading,
    TakenFrom,
    TapeEntry,
    bar_from_readings,
    fit_tape,
    what_it_tells,
)
from hoopwright.bender.checks import has_sign
from hoopwright.jobs.as_bent.bent_bar import BentBar, distance_rows, drawn_bar_of
from hoopwright.store import Project, ProjectFolder


def bar_from_tape(
    folder: ProjectFolder, bar_id: str, entries: Sequence[TapeEntry], *, also: Collection[str] = ()
) -> BentBar:
    """Estimate how the bends of a bar came out from tape distances.

    Args:
        folder: The project.
        bar_id: The bar.
        entries: What the tape read.
        also: `rotations` and `straights` where these may be off too. Rotations of a bar that is not flat always may.

    Raises:
        UserError: `ASBENT-001` to `ASBENT-005`; `CAGE-001`, `BAR-...`, `CAL-...`.
    """
    project = folder.open().project
    drawn = drawn_bar_of(folder, project, bar_id)
    table = bend_table(drawn)
    fit = fit_tape(
        drawn,
        entries,
        rotations="rotations" in also or any(has_sign(turn) for turn in table.rotations_deg),
        straights="straights" in also,
        taken_from=_taken_from(project, bar_id, drawn),
    )
    told = what_it_tells(fit)
    return BentBar(
        bar_id=bar_id,
        source="tape",
        drawn=drawn,
        bar=fit.bar,
        drawn_table=table,
        table=bend_table(fit.bar),
        angle_sds_deg=fit.angle_sds_deg,
        kinds=told.kinds,
        can_tell=told.can_tell,
        next_distance=told.next_distance,
        distances=distance_rows(drawn, fit.bar, entries),
        tape=tuple(entries),
        findings=told.findings,
    )


def bar_from_bend_readings(folder: ProjectFolder, bar_id: str, readings: Sequence[BendReading]) -> BentBar:
    """The bar that readings of its released bends make.

    Raises:
        UserError: `ASBENT-002`, `ASBENT-006`; `CAGE-001`, `BAR-...`, `CAL-...`.
    """
    project = folder.open().project
    drawn = drawn_bar_of(folder, project, bar_id)
    read = bar_from_readings(drawn, readings, taken_from=_taken_from(project, bar_id, drawn))
    return BentBar(
        bar_id=bar_id,
        source="readings",
        drawn=drawn,
        bar=read.bar,
        drawn_table=bend_table(drawn),
        table=bend_table(read.bar),
        angle_sds_deg=read.angle_sds_deg,
        can_tell=not read.findings,
        distances=distance_rows(drawn, read.bar, ()),
        node_sds_mm=read.node_sds_mm,
        readings=tuple(readings),
        findings=read.findings,
    )


def _taken_from(project: Project, bar_id: str, bar: Bar) -> tuple[TakenFrom, ...]:
    """Which straight gives the tube of each bend, where a sheet of the usual order was issued; unknown without."""
    last = project.last_issued(bar_id)
    if last is None or last.order != "auto":
        return ()
    led = {feed.bend: feed.fed_from for feed in default_order(bar)}
    return tuple("after" if led[bend] == "A" else "before" for bend in range(1, bar.bend_count + 1))

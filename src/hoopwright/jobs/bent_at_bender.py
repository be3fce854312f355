"""The bar that was bent step by step, as it exists now."""

from dataclasses import replace

from hoopwright.bars import bend_table
from hoopwright.bender.as_bent import BendReading
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.as_bent import BentBar, bar_from_bend_readings, distance_rows
from hoopwright.jobs.bend_answers import look
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder


def bar_from_bender(folder: ProjectFolder, bar_id: str, at: str) -> BentBar:
    """The bar of the last stick that was bent step by step, with its angles, turns and marks as they were read.

    How sure the angles are is what a gauge is good for; marks and turns that were not read are taken as asked.

    Args:
        folder: The project.
        bar_id: The bar.
        at: Now, ISO 8601.

    Raises:
        UserError: `ASBENT-046` where the stick is not finished; `BEND-010` to `BEND-012`, `CAGE-001`.
    """
    bending = look(folder, bar_id, BendWishes(at=at))
    now = bending.standing
    nodes = None if bending.rescue is None or now.phase != "done" else bending.rescue.carried_on.nodes_mm
    if nodes is None:
        raise UserError(
            Finding(
                code="ASBENT-046",
                severity=Severity.STOP,
                sentence=f"Bar {bar_id} is not bent yet: {len(now.finished)} of {len(now.started.job.feeds)} bends are "
                "made.",
                todo="Go on with 'hoopwright bend', or give what was measured on the bar.",
                objects=(bar_id,),
                measured=float(len(now.finished)),
                limit=float(len(now.started.job.feeds)),
            )
        )
    feeds = now.started.job.feeds
    readings = [
        BendReading(bend=feeds[one.reading.step - 1].bend, angle_deg=one.reading.released_deg)
        for one in now.finished
    ]
    read = bar_from_bend_readings(folder, bar_id, sorted(readings, key=lambda one: one.bend))
    bar = replace(read.bar, nodes_mm=nodes)
    return replace(
        read,
        bar=bar,
        table=bend_table(bar),
        is_best_laid=True,
        distances=distance_rows(read.drawn, bar, ()),
        findings=(*bending.findings, *read.findings),
    )

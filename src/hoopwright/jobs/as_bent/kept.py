"""A bar as bent that counts in the place of the drawn one, and the drawn one that counts again."""

from dataclasses import replace

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.as_bent.bent_bar import BentBar
from hoopwright.jobs.bent_cage import what_hangs_on
from hoopwright.store import AsBentRecord, ProjectFolder


def keep_bent(folder: ProjectFolder, made: BentBar, date: str) -> tuple[Finding, ...]:
    """Record a bar as bent: from now on it counts in the place of the drawn one.

    Returns:
        What is to be made anew.

    Raises:
        UserError: `ASBENT-044` where a tape could not tell how the bends came out; `STORE-...`.
    """
    if made.source == "tape" and not made.can_tell:
        raise UserError(_not_told(made), *made.findings)
    opened = folder.open()
    record = AsBentRecord(
        bar_id=made.bar_id,
        source=made.source,
        date=date,
        table=made.table,
        angle_sds_deg=made.angle_sds_deg,
        drawn_nodes_mm=made.drawn.nodes_mm,
        tape=made.tape,
        readings=made.readings,
        file=made.file,
    )
    project = replace(opened.project, as_bent=(*opened.project.as_bent, record))
    folder.record(opened, project)
    return what_hangs_on(project, made.bar_id)


def drop_bent(folder: ProjectFolder, bar_id: str, date: str) -> None:
    """Let the drawn bar count again; what was measured stays on record.

    Raises:
        UserError: `CAGE-001`; `ASBENT-045` where the drawn one counts already; `STORE-...`.
    """
    opened = folder.open()
    opened.project.cage.member(bar_id)
    if bar_id not in {record.bar_id for record in opened.project.as_bent_in_force}:
        raise UserError(
            Finding(
                code="ASBENT-045",
                severity=Severity.STOP,
                sentence=f"Bar {bar_id} counts as drawn already.",
                objects=(bar_id,),
            )
        )
    record = AsBentRecord(bar_id=bar_id, source="drawn", date=date, table=None)
    folder.record(opened, replace(opened.project, as_bent=(*opened.project.as_bent, record)))


def _not_told(made: BentBar) -> Finding:
    return Finding(
        code="ASBENT-044",
        severity=Severity.STOP,
        sentence=f"Bar {made.bar_id} was not kept as bent: the distances cannot tell how its bends came out.",
        todo=""
        if made.next_distance is None
        else f"Measure '{made.next_distance.key}' too, and keep it then.",
        objects=(made.bar_id,),
    )

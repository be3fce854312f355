"""What a bar's sheet says of bars that exist already: itself, and those that it ends on."""

import math
from collections.abc import Iterator

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.cage import bar_of
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Vector
from hoopwright.jobs.bent_cage import cage_that_exists
from hoopwright.store import AsBentRecord, Project

_STEP_MM = 0.2


def bent_notes(project: Project, bar_id: str) -> tuple[Finding, ...]:
    """Notes for the sheet of a bar; as part of what it is made from they give it another identity.

    Args:
        project: Holds the records of bars as bent.
        bar_id: The bar whose sheet it is.
    """
    records = {record.bar_id: record for record in project.as_bent_in_force}
    if not records:
        return ()
    own = records.get(bar_id)
    itself = () if own is None else (_itself(own),)
    return (*itself, *_ends(project, bar_id, records))


def _itself(record: AsBentRecord) -> Finding:
    return Finding(
        code="SHEET-017",
        severity=Severity.NOTE,
        sentence=f"Bar {record.bar_id} was bent and measured on {record.date} and counts as bent; this sheet is of the "
        "drawn bar.",
        todo="Bend from it only where a second one is wanted; 'hoopwright asbent --drop' lets the drawn one count.",
        objects=(record.bar_id,),
    )


def _ends(project: Project, bar_id: str, records: dict[str, AsBentRecord]) -> Iterator[Finding]:
    """Each end that lands on a bar which came out other than drawn."""
    cage = project.cage
    member, bar = cage.member(bar_id), bar_of(cage, bar_id)
    existing = cage_that_exists(project, cage)
    for letter, end, place in (("A", member.end_a, 0), ("B", member.end_b, -1)):
        if end.on is None or end.on not in records or end.on not in existing.bent:
            continue
        drawn, bent = (_nearest(bar_of(one, end.on), bar.nodes[place]) for one in (cage, existing.cage))
        moved_mm = float(np.linalg.norm(bent - drawn))
        yield Finding(
            code="SHEET-018",
            severity=Severity.NOTE,
            sentence=f"End {letter} lands on {end.on}, which was bent and measured on {records[end.on].date}: there "
            f"its axis lies {moved_mm:.0f} mm from where it is drawn.",
            todo=f"Fit end {letter} to the bar that exists before cutting to length.",
            objects=(bar_id, end.on),
            measured=moved_mm,
            unit="mm",
        )


def _nearest(bar: Bar, place_mm: Vector) -> Vector:
    """The place on the bar's axis that is nearest."""
    path = centreline(bar)
    length = float(path.starts_mm[-1])
    axis = path.at(np.linspace(0.0, length, math.ceil(length / _STEP_MM) + 1))
    nearest: Vector = axis[int(np.argmin(np.linalg.norm(axis - place_mm, axis=1)))]
    return nearest

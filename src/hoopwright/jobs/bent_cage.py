"""The cage with the bars that exist, and what hangs on them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, check_shape
from hoopwright.bender.as_bent import laid_on
from hoopwright.cage import Cage, aimed_at_existing, bar_of, bars_of, touched_by, with_existing
from hoopwright.findings import Finding, Severity, stopping
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.rows import CheckRow
from hoopwright.store import AsBentRecord, Project, ProjectFolder

MOVED_MM = 0.5


@dataclass(frozen=True, eq=False, kw_only=True)
class ExistingCage:
    """A cage as it exists.

    Args:
        cage: With bars as bent in the place of the drawn ones.
        bent: Names of those, in the cage's order.
        findings: Records that do not go with the drawn bar any more, and what hangs on bent bars.
    """

    cage: Cage
    bent: tuple[str, ...]
    findings: tuple[Finding, ...]


def cage_that_exists(project: Project, cage: Cage) -> ExistingCage:
    """Put the measured bars of a project in the place of the drawn ones.

    Args:
        project: Holds the records.
        cage: As drawn, with finished radii.
    """
    bars: dict[str, Bar] = {}
    findings: list[Finding] = []
    for record in project.as_bent_in_force:
        if record.bar_id not in cage or record.table is None:
            continue
        drawn = bar_of(cage, record.bar_id)
        if len(record.table.angles_deg) != drawn.bend_count:
            findings.append(_other_bends(record, drawn))
            continue
        findings += _moved_since(record, drawn)
        bars[record.bar_id] = laid_on(replace(drawn, clr_mm=record.table.clr_mm), record.table)
    bent = tuple(member.member_id for member in cage.members if member.member_id in bars)
    findings += [found for name in bent for found in what_hangs_on(project, name)]
    return ExistingCage(cage=with_existing(cage, bars), bent=bent, findings=tuple(findings))


def cage_to_cut(folder: ProjectFolder, project: Project) -> ExistingCage:
    """The cage that bars are cut to: those that exist in place, at finished radii, and straight bars aimed at them.

    Raises:
        UserError: `CAL-...` for calibrations that cannot be read.
    """
    drawn = as_bent(folder, project.cage)
    existing = cage_that_exists(project, drawn)
    cannot_be = any(stopping(check_shape(bar)) for bar in bars_of(drawn).values())
    if not existing.bent or cannot_be:
        return existing
    cage, aimed = aimed_at_existing(drawn, existing.cage)
    return replace(existing, cage=cage, findings=(*existing.findings, *_aimed(aimed)))


def _aimed(names: Sequence[str]) -> tuple[Finding, ...]:
    if not names:
        return ()
    return (
        Finding(
            code="JOINT-016",
            severity=Severity.NOTE,
            sentence=f"{', '.join(names)}: straight, so the ends were taken to the bars that exist. Lengths and copes "
            "are those.",
            todo="Mark them from the card of 'hoopwright joints' and not from a sheet of the drawn bar.",
            objects=tuple(names),
        ),
    )


def what_hangs_on(project: Project, bar_id: str) -> tuple[Finding, ...]:
    """What is to be made anew because a bar came out other than drawn."""
    touched = touched_by(project.cage, bar_id)
    cage = project.cage
    mirror = {name for name in touched if cage.member(name).mirror_of == bar_id}
    mirror |= {name for name in touched if cage.member(bar_id).mirror_of == name}
    on = [name for name in touched if name not in mirror]
    sheets = [name for name in (bar_id, *on) if project.last_issued(name) is not None]
    parts = [
        f"{', '.join(on)} end on it: their lengths and copes are to be made anew" if on else "",
        f"{', '.join(sorted(mirror))} is its mirror and stays as drawn" if mirror else "",
        f"sheets issued for {', '.join(sheets)} are of the drawn bar" if sheets else "",
    ]
    said = "; ".join(part for part in parts if part)
    if not said:
        return ()
    return (
        Finding(
            code="ASBENT-043",
            severity=Severity.NOTE,
            sentence=f"{bar_id} counts as bent. {said[0].upper()}{said[1:]}.",
            todo="Look at their gaps and ends with 'hoopwright check', and fit or cut them to the bar that exists.",
            objects=(bar_id, *touched),
        ),
    )


def beside_drawn(
    rows: Sequence[CheckRow], drawn_rows: Sequence[CheckRow], changed: Sequence[str]
) -> tuple[CheckRow, ...]:
    """Rows of the cage that exists, with the drawn value beside each that it changed.

    Args:
        rows: Of the cage that exists.
        drawn_rows: Of the drawn cage.
        changed: Bars that came out other than drawn.
    """
    drawn = {(row.about, row.check): row for row in drawn_rows}
    return tuple(_with_drawn(row, drawn.get((row.about, row.check)), row.about in changed) for row in rows)


def _with_drawn(row: CheckRow, drawn: CheckRow | None, is_bent: bool) -> CheckRow:
    if drawn is None or row.measured is None or drawn.measured is None:
        return row
    if not is_bent and abs(row.measured - drawn.measured) < 0.05:
        return row
    said = f"as drawn {drawn.measured:.1f}, as bent {row.measured:.1f}"
    return replace(row, where=f"{said}; {row.where}" if row.where else said)


def _moved_since(record: AsBentRecord, drawn: Bar) -> tuple[Finding, ...]:
    was = np.array(record.drawn_nodes_mm).reshape(-1, 3)
    if was.shape == drawn.nodes.shape and np.abs(was - drawn.nodes).max() <= MOVED_MM:
        return ()
    return (
        Finding(
            code="ASBENT-041",
            sentence=f"Bar {drawn.name} was drawn otherwise when it was measured on {record.date}; the bar as bent "
            "is laid where it is drawn now.",
            todo="If another bar is to be bent from the new drawing, go back to it with 'hoopwright asbent --drop'.",
            objects=(drawn.name,),
        ),
    )


def _other_bends(record: AsBentRecord, drawn: Bar) -> Finding:
    have = 0 if record.table is None else len(record.table.angles_deg)
    return Finding(
        code="ASBENT-042",
        sentence=f"Bar {drawn.name} was measured with {have} bends on {record.date} and is now drawn with "
        f"{drawn.bend_count}: it counts as drawn.",
        todo="Draw it as it was bent, or go back to the drawn one with 'hoopwright asbent --drop'.",
        objects=(drawn.name,),
        measured=float(have),
        limit=float(drawn.bend_count),
    )

"""Gaps of bars to the shell as check rows: too close, through metal, out of the outline, and what was not scanned."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hoopwright.cage import Cage, Member, bar_of, side_of
from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.fitting.measuring import as_tube
from hoopwright.fitting.placing import HELD_WITHIN_MM, too_close
from hoopwright.jobs.rows import CheckRow, check_row
from hoopwright.shell.clearance import TubeGaps, measure_gaps
from hoopwright.shell.shell import Shell
from hoopwright.units import shown


def measure_members(shell: Shell, cage: Cage, members: Sequence[Member]) -> dict[str, TubeGaps]:
    """Exact gaps of members that can be bars at all, by name."""
    tubes = [
        as_tube(
            bar_of(cage, member.member_id),
            landing_a_mm=member.end_a.landing_mm,
            landing_b_mm=member.end_b.landing_mm,
        )
        for member in members
    ]
    return {gaps.tube.name: gaps for gaps in measure_gaps(shell, tubes)}


def judge_gaps(
    gaps: TubeGaps, cage: Cage, shell: Shell, rows: list[CheckRow], findings: list[Finding]
) -> None:
    """Hold the gaps of one bar against the limit and the shell; what comes of it is added to rows and findings."""
    name, limit = gaps.tube.name, cage.limits.gap_mm
    smallest = gaps.smallest
    if smallest is None:
        rows.append(
            check_row(name, "gap to the shell", Verdict.NOT_CHECKED, where="no scanned metal within 150 mm")
        )
    else:
        holds = smallest.gap_mm >= limit - HELD_WITHIN_MM
        where = f"{smallest.region}, {shown(smallest.along_mm, 0)} mm from end A"
        verdict = Verdict.PASS if holds else Verdict.FAIL
        rows.append(check_row(name, "gap to the shell", verdict, smallest.gap_mm, limit, "mm", where))
        if not holds:
            findings.append(_closer_on_its_side(name, cage, too_close(name, smallest, limit)))
    rows.append(_crossing_row(name, gaps, shell))
    findings += [_crossing(name, gaps)] if gaps.crossings else []
    margin, _ = shell.envelope.margin_mm(gaps.points_mm[gaps.judged])
    seen = Verdict.NOT_CHECKED if np.isnan(margin).any() else Verdict.PASS
    rows.append(check_row(name, "inside the outline", Verdict.FAIL if gaps.outside else seen))
    findings += [_outside(name, gaps)] if gaps.outside else []
    if gaps.unseen:
        length = sum(stretch.to_mm - stretch.from_mm for stretch in gaps.unseen)
        rows.append(
            check_row(
                name,
                "room outward",
                Verdict.NOT_CHECKED,
                where=f"{shown(length, 0)} mm of it face nothing scanned",
            )
        )
        findings.append(_unseen(name, gaps, length))


def _closer_on_its_side(name: str, cage: Cage, finding: Finding) -> Finding:
    member = cage.member(name)
    if member.mirror_of is None:
        return finding
    side = "left" if side_of(bar_of(cage, name)) == "L" else "right"
    return replace(
        finding, sentence=f"{finding.sentence} It mirrors {member.mirror_of}: look at the {side} side there."
    )


def _crossing_row(name: str, gaps: TubeGaps, shell: Shell) -> CheckRow:
    what = "goes through no metal"
    if shell.prepared.is_cloud:
        return check_row(
            name, what, Verdict.NOT_CHECKED, where="the scan is points without metal between them"
        )
    return check_row(name, what, Verdict.FAIL if gaps.crossings else Verdict.PASS)


def cloud_findings(shell: Shell) -> tuple[Finding, ...]:
    """What gaps to a cloud of points leave open."""
    if not shell.prepared.is_cloud:
        return ()
    spacing = shell.prepared.spacing_mm
    return (
        Finding(
            code="CHECK-006",
            sentence=f"The scan is a cloud of points about {shown(spacing, 1)} mm apart. Gaps are to the nearest "
            "point, so the metal between points may be nearer, and whether a bar goes through metal is not checked.",
            todo="Keep more gap, or make a mesh of the points first.",
            measured=spacing,
            unit="mm",
        ),
    )


def _crossing(name: str, gaps: TubeGaps) -> Finding:
    first = gaps.crossings[0]
    return Finding(
        code="CHECK-002",
        sentence=f"Bar {name} goes through metal at {len(gaps.crossings)} place(s), the first in '{first.region}', "
        f"{shown(first.along_mm, 0)} mm from end A.",
        todo="Move its nodes back inside, or give the end there a landing.",
        objects=(name, first.region),
        point_mm=first.axis_mm,
    )


def _outside(name: str, gaps: TubeGaps) -> Finding:
    worst = max(gaps.outside, key=lambda stretch: stretch.worst_mm)
    way = "through metal" if gaps.crossings else "through an opening or a hole in the scan"
    return Finding(
        code="CHECK-003",
        sentence=f"Bar {name} leaves the shell's outline by {shown(worst.worst_mm, 0)} mm, {shown(worst.from_mm, 0)} "
        f"to {shown(worst.to_mm, 0)} mm from end A, {way}.",
        todo="Move its nodes inside, unless it is meant to bow out through the opening.",
        objects=(name,),
        point_mm=worst.place_mm,
        measured=worst.worst_mm,
        limit=0.0,
        unit="mm",
    )


def _unseen(name: str, gaps: TubeGaps, length_mm: float) -> Finding:
    first = gaps.unseen[0]
    return Finding(
        code="CHECK-004",
        severity=Severity.NOTE,
        sentence=f"Bar {name}: {shown(length_mm, 0)} mm of it, from {shown(first.from_mm, 0)} mm on from end A, face "
        "no scanned metal outward: an opening, or not scanned. The room there is unknown, not free.",
        todo="Look at the car there, or scan it.",
        objects=(name,),
        point_mm=first.place_mm,
        measured=length_mm,
        unit="mm",
    )

"""Whether feet reach the metal that they land on."""

from collections.abc import Sequence

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage import Cage, End, EndLetter, Member, bar_of
from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.fitting.foot_ground import FootGround, foot_ground
from hoopwright.jobs.rows import CheckRow
from hoopwright.joints.reach.legs import box_under_mm
from hoopwright.shell.shell import Shell

_REACH_MM = 1000.0
_NEAR_FOLD_MM = 60.0
"""A plate of about a hand reaches a fold so near: common practice, no source."""


def foot_checks(shell: Shell, cage: Cage, members: Sequence[Member]) -> tuple[list[CheckRow], list[Finding]]:
    """Every end that lands on the shell: its distance to metal against what trim, half a tube and its box reach."""
    rows: list[CheckRow] = []
    findings: list[Finding] = []
    for member in members:
        bar = bar_of(cage, member.member_id)
        ends: tuple[tuple[EndLetter, End, Node], ...] = (
            ("A", member.end_a, bar.nodes_mm[0]),
            ("B", member.end_b, bar.nodes_mm[-1]),
        )
        for letter, end, place in ends:
            if end.kind != "shell":
                continue
            distance = float(shell.nearest(np.array([place]), reach_mm=_REACH_MM).distance_mm[0])
            box_mm = box_under_mm(cage, member.member_id, letter)
            reach = end.trim_mm + bar.tube.od_mm / 2.0 + box_mm
            stands = distance <= reach
            known = bool(np.isfinite(distance))
            rows.append(
                CheckRow(
                    about=bar.name,
                    check=f"foot {letter} reaches metal",
                    verdict=Verdict.PASS if stands else Verdict.FAIL,
                    measured=distance if known else None,
                    limit=reach,
                    unit="mm",
                )
            )
            inner = bar.nodes_mm[1] if letter == "A" else bar.nodes_mm[-2]
            ground_row, note = _ground(bar.name, letter, place, foot_ground(shell, place, inner))
            rows.append(ground_row)
            findings.extend(note)
            if not stands:
                findings.append(_hangs(bar.name, letter, place, distance if known else _REACH_MM, reach))
    return rows, findings


def _ground(
    name: str, letter: str, place_mm: Node, ground: FootGround | None
) -> tuple[CheckRow, tuple[Finding, ...]]:
    """What a foot lands on: no verdict, since no number of a scan says whether metal is strong."""
    where = "the scan cannot tell" if ground is None else _in_words(ground)
    row = CheckRow(
        about=name, check=f"metal under foot {letter}", verdict=Verdict.NOT_CHECKED, where=f"seen: {where}"
    )
    if (
        ground is None
        or ground.behind_mm is not None
        or (ground.fold_mm is not None and ground.fold_mm <= _NEAR_FOLD_MM)
    ):
        return row, ()
    return row, (
        Finding(
            code="CHECK-010",
            severity=Severity.NOTE,
            sentence=f"Bar {name}: foot {letter} lands on '{ground.region}': {where}.",
            todo="Let its plate reach a fold or a box such as the sill, or move the foot to one. What carries it is "
            "for your rule book and a competent person.",
            objects=(name, ground.region),
            point_mm=place_mm,
            measured=ground.fold_mm,
            limit=_NEAR_FOLD_MM,
            unit="mm",
        ),
    )


def _in_words(ground: FootGround) -> str:
    fold = (
        "no fold within 400 mm"
        if ground.fold_mm is None
        else f"{ground.fold_mm:.0f} mm from the nearest fold"
    )
    if ground.behind_mm is not None:
        return f"a second skin {ground.behind_mm:.0f} mm behind the first, {fold}"
    return f"single skin, {fold}"


def _hangs(name: str, letter: str, place_mm: Node, distance_mm: float, reach_mm: float) -> Finding:
    return Finding(
        code="CHECK-009",
        sentence=f"Bar {name}: end {letter} should land on the shell, but the nearest scanned metal is "
        f"{distance_mm:.0f} mm away; trim and half a tube reach {reach_mm:.0f} mm.",
        todo="Move the end to the metal, leave more trim, or scan what it stands on.",
        objects=(name,),
        point_mm=place_mm,
        measured=distance_mm,
        limit=reach_mm,
        unit="mm",
    )

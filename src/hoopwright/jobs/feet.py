"""Whether feet reach the metal that they land on."""

from collections.abc import Sequence

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage import Cage, Member, bar_of
from hoopwright.findings import Finding, Verdict
from hoopwright.jobs.rows import CheckRow
from hoopwright.shell.shell import Shell

_REACH_MM = 1000.0


def foot_checks(shell: Shell, cage: Cage, members: Sequence[Member]) -> tuple[list[CheckRow], list[Finding]]:
    """Every end that lands on the shell: its distance to metal against what the trim and half a tube reach."""
    rows: list[CheckRow] = []
    findings: list[Finding] = []
    for member in members:
        bar = bar_of(cage, member.member_id)
        for letter, end, place in (
            ("A", member.end_a, bar.nodes_mm[0]),
            ("B", member.end_b, bar.nodes_mm[-1]),
        ):
            if end.kind != "shell":
                continue
            distance = float(shell.nearest(np.array([place]), reach_mm=_REACH_MM).distance_mm[0])
            reach = end.trim_mm + bar.tube.od_mm / 2.0
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
            if not stands:
                findings.append(_hangs(bar.name, letter, place, distance if known else _REACH_MM, reach))
    return rows, findings


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

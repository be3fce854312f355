"""Whether feet reach the metal that they land on."""

from collections.abc import Sequence

from hoopwright.bars import Node
from hoopwright.cage import Cage, End, EndLetter, Member, bar_of
from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.fitting.foot_ground import FootGround, foot_ground
from hoopwright.jobs.rows import CheckRow
from hoopwright.joints.reach import UnderFoot, metal_under
from hoopwright.joints.reach.legs import box_under_mm
from hoopwright.shell.shell import Shell

_REACH_MM = 1000.0
_NEAR_FOLD_MM = 60.0
"""A plate of about a hand reaches a fold so near: common practice, no source."""


def foot_checks(shell: Shell, cage: Cage, members: Sequence[Member]) -> tuple[list[CheckRow], list[Finding]]:
    """Every end that lands on the shell: its distance to metal against what trim and half a tube reach.

    A box reaches down alone: of a foot on one, metal beside it does not count.
    """
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
            own_mm = end.trim_mm + bar.tube.od_mm / 2.0
            box_mm = box_under_mm(cage, member.member_id, letter)
            reach = own_mm + box_mm
            metal = metal_under(shell, bar, letter, reach_mm=reach, back_mm=own_mm)
            # without a box a foot may stand against metal on any side
            distance = metal.under_mm if box_mm > 0.0 else metal.beside_mm
            stands = distance is not None and distance <= reach
            rows.append(
                CheckRow(
                    about=bar.name,
                    check=f"foot {letter} reaches metal",
                    verdict=Verdict.PASS if stands else Verdict.FAIL,
                    measured=distance,
                    limit=reach,
                    unit="mm",
                    where=_where(metal, box_mm),
                    alike="feet reach metal",
                )
            )
            inner = bar.nodes_mm[1] if letter == "A" else bar.nodes_mm[-2]
            # what lies beside a foot whose box has no metal under it is not what it lands on
            hangs = box_mm > 0.0 and metal.under_mm is None
            ground = None if hangs else foot_ground(shell, place, inner)
            ground_row, note = _ground(bar.name, letter, place, ground)
            rows.append(ground_row)
            findings.extend(note)
            if not stands:
                findings.append(
                    _no_metal_under(bar.name, letter, metal, reach, box_mm)
                    if box_mm > 0.0
                    else _hangs(bar.name, letter, place, distance or _REACH_MM, reach)
                )
    return rows, findings


def _where(metal: UnderFoot, box_mm: float) -> str:
    if box_mm <= 0.0:
        return ""
    under = f"below its box of {box_mm:.0f} mm"
    if metal.under_mm is not None or metal.beside_mm is None:
        return under
    return f"none {under}; nearest {metal.beside_mm:.1f} mm beside it"


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


def _no_metal_under(name: str, letter: str, metal: UnderFoot, reach_mm: float, box_mm: float) -> Finding:
    near = (
        "none was scanned within 1 m of it"
        if metal.beside_mm is None
        else f"the nearest lies {metal.beside_mm:.1f} mm from it, not under it"
    )
    return Finding(
        code="CHECK-009",
        sentence=f"Bar {name}: end {letter} stands on a box of {box_mm:.0f} mm, but no scanned metal lies under it "
        f"within {reach_mm:.1f} mm (box, trim and half a tube); {near}.",
        todo="Scan the floor there, move the end over metal, or take the box out with 'hoopwright landing remove'.",
        objects=(name,),
        point_mm=metal.foot_mm,
        measured=metal.beside_mm,
        limit=reach_mm,
        unit="mm",
    )


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

"""What a check says of the holes that are cut for bars."""

from collections.abc import Mapping, Sequence

from hoopwright.cage import HOLE_EDGE_MM, BarHole, Cage, holes_of
from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.fitting.holes import edge_name
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.jobs.rows import CheckRow
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.cut import CutShell, CutSkin
from hoopwright.units import format_length, shown


def hole_checks(
    cut: CutShell, cage: Cage, gaps: Mapping[str, TubeGaps], only: Sequence[str]
) -> tuple[list[CheckRow], list[Finding]]:
    """Every hole of some bars: what it cuts, and the bar's room to its edge.

    Args:
        cut: The shell with the cage's holes cut by `cut_for_bars`.
        cage: The cage.
        gaps: Gaps measured in it, by bar.
        only: The bars that are asked for.
    """
    rows: list[CheckRow] = []
    findings: list[Finding] = []
    for one, skins in zip(holes_of(cage), cut.skins, strict=True):
        name = one.hole.bar_id
        if name not in only:
            continue
        edge_mm = _edge_mm(gaps.get(name), one)
        rows.append(_row(one, skins, edge_mm, is_measured=name in gaps))
        findings.append(what_it_cuts(one, skins))
        if edge_mm is not None and edge_mm < HOLE_EDGE_MM - HELD_WITHIN_MM:
            findings.append(_too_near(one, edge_mm))
    return rows, findings


def what_it_cuts(one: BarHole, skins: Sequence[CutSkin]) -> Finding:
    """The skins that a hole cuts, or that it cuts none."""
    return _cuts(one, skins) if skins else _cuts_nothing(one)


def hole_notes(cage: Cage, bar_id: str) -> tuple[Finding, ...]:
    """What the sheet of a bar says of the holes that are cut for it."""
    return tuple(
        Finding(
            code="HOLE-008",
            severity=Severity.NOTE,
            sentence=f"Cut a hole of {where_it_is(one)}: bar {bar_id} passes there.",
            todo="Cut it round the bar's axis, only where your rule book and a competent person allow it.",
            objects=(bar_id,),
            point_mm=one.hole.place_mm,
            measured=one.hole.diameter_mm,
            unit="mm",
        )
        for one in holes_of(cage)
        if one.hole.bar_id == bar_id
    )


def where_it_is(hole: BarHole) -> str:
    """A hole in words: its diameter and its place."""
    forward, left, up = hole.hole.place_mm
    place = f"forward {shown(forward, 0)}, left {shown(left, 0)}, up {shown(up, 0)} mm"
    return f"{format_length(hole.hole.diameter_mm)} at {place}"


def _edge_mm(gaps: TubeGaps | None, one: BarHole) -> float | None:
    """The bar's room to the edge of one of its holes; None where it has none within reach."""
    if gaps is None:
        return None
    region = edge_name(one)
    return min((place.gap_mm for place in gaps.edges if place.region == region), default=None)


def _row(one: BarHole, skins: Sequence[CutSkin], edge_mm: float | None, *, is_measured: bool) -> CheckRow:
    if edge_mm is None:
        why = "it cuts no scanned metal" if not skins else "all landing" if is_measured else "not measured"
        verdict, where = Verdict.NOT_CHECKED, f"{where_it_is(one)}: {why}"
    else:
        holds = edge_mm >= HOLE_EDGE_MM - HELD_WITHIN_MM
        verdict, where = Verdict.PASS if holds else Verdict.FAIL, where_it_is(one)
    return CheckRow(
        about=one.hole.bar_id,
        check=f"edge of hole {one.number}",
        verdict=verdict,
        measured=edge_mm,
        limit=HOLE_EDGE_MM,
        unit="mm",
        where=where,
    )


def _cuts(one: BarHole, skins: Sequence[CutSkin]) -> Finding:
    listed = "; ".join(
        f"'{skin.regions[0]}'" + (f" ({shown(skin.area_mm2 / 100.0, 1)} cm²)" if skin.area_mm2 else "")
        for skin in skins
    )
    count = "one skin" if len(skins) == 1 else f"{len(skins)} skins"
    return Finding(
        code="HOLE-004",
        severity=Severity.NOTE,
        sentence=f"Bar {one.hole.bar_id} passes through a hole of {where_it_is(one)}, which cuts {count}: {listed}.",
        todo="Whether this metal may be cut, and how its edge is closed, is for your rule book and a competent person.",
        objects=(one.hole.bar_id, *dict.fromkeys(skin.regions[0] for skin in skins)),
        point_mm=one.hole.place_mm,
        measured=one.hole.diameter_mm,
        unit="mm",
    )


def _cuts_nothing(one: BarHole) -> Finding:
    return Finding(
        code="HOLE-005",
        sentence=f"Hole {one.number} for bar {one.hole.bar_id}, {where_it_is(one)}, cuts no scanned metal.",
        todo="Put it where the bar passes through metal, or remove it with 'hoopwright bar remove-hole'.",
        objects=(one.hole.bar_id,),
        point_mm=one.hole.place_mm,
    )


def _too_near(one: BarHole, edge_mm: float) -> Finding:
    return Finding(
        code="HOLE-006",
        sentence=f"Bar {one.hole.bar_id} comes within {shown(edge_mm, 1)} mm of the edge of its hole {one.number}, "
        f"under {HOLE_EDGE_MM:g} mm (common practice, no source).",
        todo="Cut the hole wider, or put it where the bar is straight.",
        objects=(one.hole.bar_id,),
        point_mm=one.hole.place_mm,
        measured=edge_mm,
        limit=HOLE_EDGE_MM,
        unit="mm",
    )

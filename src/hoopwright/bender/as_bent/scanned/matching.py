"""A scanned bar laid on the drawn one, end to end, and what differs."""

from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, BendTable, bend_table
from hoopwright.bender.as_bent.bent_bar import BendErrors, laid_on
from hoopwright.bender.as_bent.scanned.scanned_bar import ScannedBar
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import wrap_deg

LIKE_DEG, LIKE_ROTATION_DEG, LIKE_MM = 0.5, 1.0, 3.0
END_WITHIN_MM = 8.0
OD_WITHIN_MM = 1.0
MISTAKEN_DEG = 10.0
_CLEARLY_RATIO = 4.0


@dataclass(frozen=True, eq=False, kw_only=True)
class MatchedBar:
    """A scanned bar beside the drawn one.

    Args:
        bar: The scanned bar from trim mark to trim mark, where the drawn one lies.
        table: Its bend table from the drawn end A on.
        errors: Scanned less drawn.
        angle_sds_deg: Of each angle, from end A on.
        rotation_sds_deg: Of each rotation, from end A on.
        straight_sds_mm: Of each straight, from end A on.
        findings: Ends that cannot be told or were not found, another tube, the bar of the other side.
    """

    bar: Bar
    table: BendTable
    errors: BendErrors
    angle_sds_deg: tuple[float, ...]
    rotation_sds_deg: tuple[float, ...]
    straight_sds_mm: tuple[float, ...]
    findings: tuple[Finding, ...]


def match_scanned(
    bar: Bar, scanned: ScannedBar, *, trim_a_mm: float = 0.0, trim_b_mm: float = 0.0
) -> MatchedBar:
    """Find which end of a scanned bar is A, and hold it against the drawn bar.

    Args:
        bar: As drawn, with its finished radius.
        scanned: The bar in the scan.
        trim_a_mm: Tube left beyond end A; it is told from its length whether it is still there.
        trim_b_mm: The same at end B.

    Raises:
        UserError: `ASBENT-027` for another number of bends or a bend that is far off; `BAR-...`.
    """
    drawn = bend_table(bar)
    _refuse_other_bar(bar, drawn, scanned)
    forward, backward = _costs(drawn, scanned.table), _costs(drawn, _reversed(scanned.table))
    round_ = min(backward) < min(forward)
    cost, mirrored = (backward if round_ else forward), min(forward + backward)
    table = _reversed(scanned.table) if round_ else scanned.table
    _refuse_far(bar, drawn, table)
    ends, findings = _ends(bar, drawn, table, (trim_a_mm, trim_b_mm))
    table = replace(table, straights_mm=ends)
    found = [
        *(
            [_cannot_tell_ends(bar)]
            if min(forward) < _CLEARLY_RATIO * min(backward) + 1.0
            and min(backward) < _CLEARLY_RATIO * min(forward) + 1.0
            and bar.bend_count
            else []
        ),
        *([_other_side(bar)] if cost[1] == mirrored and cost[0] > _CLEARLY_RATIO * cost[1] + 1.0 else []),
        *_other_tube(bar, scanned),
        *findings,
    ]
    sds = [scanned.angle_sds_deg, scanned.straight_sds_mm]
    turns = scanned.rotation_sds_deg
    if round_:
        sds = [one[::-1] for one in sds]
        turns = (*turns[:1], *turns[1:][::-1])
    return MatchedBar(
        bar=laid_on(bar, table),
        table=table,
        errors=_errors(drawn, table),
        angle_sds_deg=sds[0],
        rotation_sds_deg=turns,
        straight_sds_mm=sds[1],
        findings=tuple(found),
    )


def _reversed(table: BendTable) -> BendTable:
    return BendTable(
        straights_mm=table.straights_mm[::-1],
        rotations_deg=(*table.rotations_deg[:1], *table.rotations_deg[1:][::-1]),
        angles_deg=table.angles_deg[::-1],
        clr_mm=table.clr_mm,
    )


def _costs(drawn: BendTable, table: BendTable) -> tuple[float, float]:
    """How far a table is from the drawn one, and how far its mirror image is; end straights count little."""
    angles = np.subtract(table.angles_deg, drawn.angles_deg) / LIKE_DEG
    straights = np.subtract(table.straights_mm, drawn.straights_mm)[1:-1] / LIKE_MM
    base = float(angles @ angles + straights @ straights)
    return base + _turn_cost(drawn, table, 1.0), base + _turn_cost(drawn, table, -1.0)


def _turn_cost(drawn: BendTable, table: BendTable, sign: float) -> float:
    off = [
        wrap_deg(sign * a - b) / LIKE_ROTATION_DEG
        for a, b in zip(table.rotations_deg[1:], drawn.rotations_deg[1:], strict=True)
    ]
    return float(np.square(off).sum())


def _errors(drawn: BendTable, table: BendTable) -> BendErrors:
    return BendErrors(
        angles_deg=tuple(map(float, np.subtract(table.angles_deg, drawn.angles_deg))),
        rotations_deg=tuple(
            wrap_deg(a - b) for a, b in zip(table.rotations_deg, drawn.rotations_deg, strict=True)
        ),
        straights_mm=tuple(map(float, np.subtract(table.straights_mm, drawn.straights_mm))),
    )


def _ends(
    bar: Bar, drawn: BendTable, table: BendTable, trims_mm: tuple[float, float]
) -> tuple[tuple[float, ...], list[Finding]]:
    """Straights from trim mark to trim mark, and ends that lie where neither the mark nor the trim is."""
    straights, findings = list(table.straights_mm), []
    for letter, index, trim in (("A", 0, trims_mm[0]), ("B", -1, trims_mm[1])):
        over = table.straights_mm[index] - drawn.straights_mm[index]
        if abs(over) <= END_WITHIN_MM and abs(over) <= abs(over - trim):
            continue
        if abs(over - trim) <= END_WITHIN_MM:
            straights[index] -= trim
            continue
        straights[index] = drawn.straights_mm[index]
        findings.append(_end_elsewhere(bar, letter, over, trim))
    return tuple(straights), findings


def _refuse_other_bar(bar: Bar, drawn: BendTable, scanned: ScannedBar) -> None:
    have, want = len(scanned.table.angles_deg), len(drawn.angles_deg)
    if have == want:
        return
    angles = ", ".join(f"{angle:.1f}°" for angle in scanned.table.angles_deg) or "none"
    raise UserError(
        Finding(
            code="ASBENT-027",
            severity=Severity.STOP,
            sentence=f"The scan shows a bar of {have} bends ({angles}); {bar.name} is drawn with {want}.",
            todo="Name the bar that was scanned, or scan all of it.",
            objects=(bar.name,),
            measured=float(have),
            limit=float(want),
        )
    )


def _refuse_far(bar: Bar, drawn: BendTable, table: BendTable) -> None:
    off = [abs(a - b) for a, b in zip(table.angles_deg, drawn.angles_deg, strict=True)]
    if not off or max(off) <= MISTAKEN_DEG:
        return
    bend = int(np.argmax(off))
    raise UserError(
        Finding(
            code="ASBENT-027",
            severity=Severity.STOP,
            sentence=f"The scan is not of {bar.name}: whichever end is A, bend {bend + 1} is "
            f"{table.angles_deg[bend]:.1f}° and drawn {drawn.angles_deg[bend]:.1f}°.",
            todo="Name the bar that was scanned.",
            objects=(bar.name,),
            measured=off[bend],
            limit=MISTAKEN_DEG,
            unit="deg",
        )
    )


def _cannot_tell_ends(bar: Bar) -> Finding:
    return Finding(
        code="ASBENT-028",
        severity=Severity.NOTE,
        sentence=f"Bar {bar.name} is nearly the same from both ends: which end of the scanned one is A is a guess.",
        todo="Mark end A on the bar; if its larger errors lie on the other side, turn the bar round in the car.",
        objects=(bar.name,),
    )


def _other_side(bar: Bar) -> Finding:
    return Finding(
        code="ASBENT-029",
        sentence=f"The scanned bar is the mirror image of {bar.name}: its rotations have the other sign.",
        todo="It is the bar of the other side, or it was bent with the rotations the wrong way.",
        objects=(bar.name,),
    )


def _other_tube(bar: Bar, scanned: ScannedBar) -> tuple[Finding, ...]:
    off = scanned.od_mm - bar.tube.od_mm
    if abs(off) <= OD_WITHIN_MM:
        return ()
    return (
        Finding(
            code="ASBENT-030",
            sentence=f"The scanned tube is {scanned.od_mm:.1f} mm thick, {bar.name} is drawn with "
            f"{bar.tube.od_mm:g} mm.",
            todo="Check the unit of the scan and which bar was scanned.",
            objects=(bar.name,),
            measured=scanned.od_mm,
            limit=bar.tube.od_mm,
            unit="mm",
        ),
    )


def _end_elsewhere(bar: Bar, letter: str, over_mm: float, trim_mm: float) -> Finding:
    where = f"{abs(over_mm):.0f} mm {'beyond' if over_mm > 0.0 else 'short of'} the trim mark"
    return Finding(
        code="ASBENT-031",
        severity=Severity.NOTE,
        sentence=f"Bar {bar.name}: the scan ends {where} at end {letter} (trim {trim_mm:g} mm): the mark is taken "
        "where it is drawn.",
        todo="Cut to the mark on the tube.",
        objects=(bar.name,),
        measured=over_mm,
        limit=trim_mm,
        unit="mm",
    )

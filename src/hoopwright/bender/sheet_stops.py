"""What stops a bar sheet, and what a person must know before bending from it."""

import math
from collections.abc import Iterator, Sequence

from hoopwright.bars import Bar, check_bendable
from hoopwright.bender.blank import BlankLayout
from hoopwright.bender.calibration import Calibration, same_tube
from hoopwright.bender.machine import Machine
from hoopwright.bender.order import Feed, Order
from hoopwright.bender.poses import bends_in_tail
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.units import shown

LONGEST_TRIM_MM = 2000.0


def refuse_inputs(bar: Bar, calibration: Calibration, trim_a_mm: float, trim_b_mm: float) -> None:
    """Stop on what a sheet cannot be made from.

    Raises:
        UserError: `SHEET-001` for a calibration of another tube, `SHEET-004` for a trim out of range.
    """
    if not same_tube(bar.tube, calibration.tube):
        raise UserError(
            Finding(
                code="SHEET-001",
                severity=Severity.STOP,
                sentence=f"Bar {bar.name} is tube {bar.tube}, but calibration '{calibration.name}' is for "
                f"tube {calibration.tube}.",
                todo="Use a calibration for this tube; bend samples if there is none.",
                objects=(bar.name, calibration.name),
            )
        )
    for end, trim in (("A", trim_a_mm), ("B", trim_b_mm)):
        if not 0.0 <= trim <= LONGEST_TRIM_MM:
            raise UserError(
                Finding(
                    code="SHEET-004",
                    severity=Severity.STOP,
                    sentence=f"Bar {bar.name}: the trim of {trim:g} mm at end {end} is not between 0 and "
                    f"{LONGEST_TRIM_MM:g} mm.",
                    todo="Leave 20 to 40 mm on a foot and 10 to 20 mm on a coped end (common practice).",
                    objects=(bar.name,),
                    measured=trim if math.isfinite(trim) else None,
                    limit=LONGEST_TRIM_MM,
                    unit="mm",
                )
            )


def bendable(
    bar: Bar, machine: Machine, clamp_mm: float, trim_a_mm: float, trim_b_mm: float
) -> tuple[Finding, ...]:
    """What is to be known of the bar's shape.

    Raises:
        UserError: `BAR-...` where it cannot be bent: a straight shorter than the clamp, a bend past the die's reach.
    """
    findings = check_bendable(
        bar,
        clamp_mm=clamp_mm,
        trim_a_mm=trim_a_mm,
        trim_b_mm=trim_b_mm,
        largest_bend_deg=machine.die_reach_deg,
    )
    if stopping(findings):
        raise UserError(*stopping(findings))
    return findings


def refuse_marks_off_the_tube(bar: Bar, layout: BlankLayout, feeds: Order) -> None:
    """Stop where a mark would not lie on the tube.

    Raises:
        UserError: `SHEET-002` for each such mark.
    """
    off = []
    for feed in feeds:
        marks = layout.marks_from_a_mm if feed.fed_from == "A" else layout.marks_from_b_mm
        mark = marks[feed.bend - 1]
        if not 0.0 <= mark <= layout.blank_mm:
            off.append(_off_the_tube(bar, feed, mark, layout.blank_mm))
    if off:
        raise UserError(*off)


def _off_the_tube(bar: Bar, feed: Feed, mark_mm: float, blank_mm: float) -> Finding:
    other = "B" if feed.fed_from == "A" else "A"
    return Finding(
        code="SHEET-002",
        severity=Severity.STOP,
        sentence=f"Bar {bar.name}: the mark of bend {feed.bend}, fed from {feed.fed_from}, would lie at "
        f"{shown(mark_mm, 1)} mm on a tube of {shown(blank_mm, 1)} mm.",
        todo=f"Leave more trim at end {feed.fed_from}, or feed this bend from {other}.",
        objects=(bar.name,),
        measured=mark_mm,
        limit=0.0 if mark_mm < 0.0 else blank_mm,
        unit="mm",
    )


def not_calibrated(calibration: Calibration) -> Iterator[Finding]:
    """The stamp of a sheet made from a placeholder."""
    if not calibration.calibrated:
        yield Finding(
            code="SHEET-005",
            sentence="Not calibrated: radius, tube used and start offset are the die's plain numbers, so "
            "marks and blank are not for bending.",
            todo="Bend samples with this die and tube, and issue the sheet again.",
            objects=(calibration.name,),
        )


def bent_tails(bar: Bar, feeds: Sequence[Feed]) -> Iterator[Finding]:
    """Bends for which the tube behind the die is bent already."""
    for place, feed in enumerate(feeds):
        behind = bends_in_tail(feed, [earlier.bend for earlier in feeds[:place]])
        if behind:
            names = ", ".join(map(str, behind))
            yield Finding(
                code="SHEET-006",
                sentence=f"Bar {bar.name}: when bend {feed.bend} is made, bend {names} is already in the "
                "tail behind the die.",
                todo="See that the bent tail clears the machine and can swing free, or choose another order.",
                objects=(bar.name,),
            )

"""From a bar and a calibration to the sheet: blank, marks, commands, turns of the tube."""

import hashlib
import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal

from hoopwright.bars import Bar, BendTable, bend_table, check_bendable
from hoopwright.bender.calibration import BendNumbers, Calibration, bend_numbers, same_tube
from hoopwright.bender.checks import tape_checks, wrong_turn_miss_mm
from hoopwright.bender.machine import Machine
from hoopwright.bender.order import Feed, Order, check_order, default_order
from hoopwright.bender.poses import bends_in_tail, leg_clock, reference_bend, turn_tube_deg
from hoopwright.bender.sheet import BarSheet, BendStep
from hoopwright.bender.springback import command_angle, no_line
from hoopwright.findings import Finding, Severity, UserError, stopping

_IDENTITY_DIGITS = 10
_HASHED_DECIMALS = 6
LONGEST_TRIM_MM = 2000.0


@dataclass(frozen=True, kw_only=True)
class BlankLayout:
    """Where each bend lies on the straight blank, from the end of the tube at A.

    Args:
        blank_mm: Length to cut.
        starts_mm: Start of each bend, its tangent point nearer to end A.
        used_mm: Tube that each bend uses.
        marks_from_a_mm: Mark of each bend when end A leads.
        marks_from_b_mm: Mark of each bend when end B leads; measured from A too.
    """

    blank_mm: float
    starts_mm: tuple[float, ...]
    used_mm: tuple[float, ...]
    marks_from_a_mm: tuple[float, ...]
    marks_from_b_mm: tuple[float, ...]


def lay_out_blank(
    table: BendTable, numbers: BendNumbers, *, trim_a_mm: float = 0.0, trim_b_mm: float = 0.0
) -> BlankLayout:
    """Blank length, starts and both marks of each bend.

    Fed from A: mark = start - offset. Fed from B: mark = start + tube used + offset.

    Args:
        table: Bend table at the calibrated radius.
        numbers: Radius, tube used per degree, start offset.
        trim_a_mm: Tube left beyond end A.
        trim_b_mm: Tube left beyond end B.
    """
    used = tuple(numbers.used_per_deg_mm * angle for angle in table.angles_deg)
    pieces = [s + u for s, u in zip(table.straights_mm, (0.0, *used), strict=False)]
    starts = tuple(accumulate(pieces[:-1], initial=trim_a_mm))[1:]
    blank = math.fsum((trim_a_mm, *table.straights_mm, *used, trim_b_mm))
    offset = numbers.start_offset_mm
    return BlankLayout(
        blank_mm=blank,
        starts_mm=starts,
        used_mm=used,
        marks_from_a_mm=tuple(start - offset for start in starts),
        marks_from_b_mm=tuple(start + u + offset for start, u in zip(starts, used, strict=True)),
    )


def make_bar_sheet(
    bar: Bar,
    calibration: Calibration,
    *,
    bar_id: str,
    title: str,
    machine: Machine,
    side: Literal["L", "R", ""] = "",
    order: Order | None = None,
    trim_a_mm: float = 0.0,
    trim_b_mm: float = 0.0,
    clamp_mm: float | None = None,
    revision: int = 1,
    date: str = "",
) -> BarSheet:
    """The sheet of one bar: its nodes at the radius that the calibration found.

    Args:
        bar: The bar; its own radius gives way to the calibrated one.
        calibration: Of the die that shall bend it, with this tube.
        bar_id: Short name.
        title: What it is, in words.
        machine: The bender.
        side: `L`, `R` or empty.
        order: Order of bending; the default for this bar without.
        trim_a_mm: Tube left beyond end A until test fit.
        trim_b_mm: The same at end B.
        clamp_mm: Straight that the clamp needs; the machine's without.
        revision: Running number of this bar's sheets.
        date: Day of issue, ISO 8601.

    Raises:
        UserError: `SHEET-001` calibration for another tube, `SHEET-002` mark off the tube, `SHEET-003` for
            the order, `SHEET-004` trim out of range, `CAL-010` numbers missing, `CAL-011` command out of
            the die's reach, `BAR-...` for a bar that cannot be bent.
    """
    _refuse_inputs(bar, calibration, trim_a_mm, trim_b_mm)
    numbers = bend_numbers(calibration)
    bar = replace(bar, clr_mm=numbers.clr_mm)
    clamp = machine.clamp_mm if clamp_mm is None else clamp_mm
    shape = check_bendable(
        bar,
        clamp_mm=clamp,
        trim_a_mm=trim_a_mm,
        trim_b_mm=trim_b_mm,
        largest_bend_deg=machine.die_reach_deg,
    )
    if stopping(shape):
        raise UserError(*stopping(shape))
    feeds = default_order(bar) if order is None else order
    check_order(feeds, bar.bend_count)
    table = bend_table(bar)
    layout = lay_out_blank(table, numbers, trim_a_mm=trim_a_mm, trim_b_mm=trim_b_mm)
    _refuse_marks_off_the_tube(bar, layout, feeds)
    steps, warnings = _steps(table, layout, feeds, calibration, machine)
    return BarSheet(
        bar=bar,
        bar_id=bar_id,
        title=title,
        side=side,
        table=table,
        blank_mm=layout.blank_mm,
        tube_used_mm=layout.used_mm,
        trim_a_mm=trim_a_mm,
        trim_b_mm=trim_b_mm,
        steps=steps,
        checks=tape_checks(bar, table),
        wrong_turn_miss_mm=wrong_turn_miss_mm(bar, table),
        calibration_name=calibration.name,
        calibrated=calibration.calibrated,
        die=calibration.die,
        batch=calibration.batch,
        identity=_identity(
            bar, calibration, numbers, feeds, machine, (bar_id, title, side), (trim_a_mm, trim_b_mm)
        ),
        revision=revision,
        date=date,
        machine=machine.name,
        swings=machine.swings,
        findings=(
            *_not_calibrated(calibration),
            *shape,
            *calibration.findings,
            *warnings,
            *_bent_tails(bar, feeds),
        ),
    )


def _steps(
    table: BendTable, layout: BlankLayout, feeds: Order, calibration: Calibration, machine: Machine
) -> tuple[tuple[BendStep, ...], tuple[Finding, ...]]:
    totals, steps, findings = table.rotations_total_deg, [], []
    if calibration.springback is None and feeds:
        findings.append(replace(no_line(calibration), severity=Severity.WARNING))
    for place, feed in enumerate(feeds, start=1):
        index, made = feed.bend - 1, [earlier.bend for earlier in feeds[: place - 1]]
        reference, leads = reference_bend(feed, made)
        turn = None if reference is None else turn_tube_deg(feed, reference, totals)
        marks = layout.marks_from_a_mm if feed.fed_from == "A" else layout.marks_from_b_mm
        command = sd = None
        if calibration.springback is not None:
            found = command_angle(calibration, table.angles_deg[index], die_reach_deg=machine.die_reach_deg)
            command, sd = found.command_deg, found.sd_deg
            findings += [_of_bend(feed.bend, finding) for finding in found.findings]
        steps.append(
            BendStep(
                step=place,
                bend=feed.bend,
                fed_from=feed.fed_from,
                turn_end_for_end=place > 1 and feeds[place - 2].fed_from != feed.fed_from,
                start_mm=layout.starts_mm[index],
                mark_mm=marks[index],
                mark_from_b_mm=layout.blank_mm - marks[index],
                target_deg=table.angles_deg[index],
                command_deg=command,
                command_sd_deg=sd,
                rotation_step_deg=table.rotations_deg[index],
                rotation_total_deg=totals[index],
                turn_tube_deg=turn,
                leg_clock=None if turn is None or not leads else leg_clock(turn, machine.swings),
                straight_after_mm=table.straights_mm[feed.bend],
                turn_from_bend=reference,
            )
        )
    return tuple(steps), tuple(findings)


def _of_bend(bend: int, finding: Finding) -> Finding:
    return replace(finding, sentence=f"Bend {bend}: {finding.sentence}", objects=(f"bend {bend}",))


def _refuse_inputs(bar: Bar, calibration: Calibration, trim_a_mm: float, trim_b_mm: float) -> None:
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
                    todo="Leave 20 to 40 mm on a foot and 10 to 20 on a coped end (common practice).",
                    objects=(bar.name,),
                    measured=trim if math.isfinite(trim) else None,
                    limit=LONGEST_TRIM_MM,
                    unit="mm",
                )
            )


def _refuse_marks_off_the_tube(bar: Bar, layout: BlankLayout, feeds: Order) -> None:
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
        f"{mark_mm:.1f} mm on a tube of {blank_mm:.1f} mm.",
        todo=f"Leave more trim at end {feed.fed_from}, or feed this bend from {other}.",
        objects=(bar.name,),
        measured=mark_mm,
        limit=0.0 if mark_mm < 0.0 else blank_mm,
        unit="mm",
    )


def _not_calibrated(calibration: Calibration) -> Iterator[Finding]:
    if not calibration.calibrated:
        yield Finding(
            code="SHEET-005",
            sentence="Not calibrated: radius, tube used and start offset are the die's plain numbers, so "
            "marks and blank are not for bending.",
            todo="Bend samples with this die and tube, and issue the sheet again.",
            objects=(calibration.name,),
        )


def _bent_tails(bar: Bar, feeds: Sequence[Feed]) -> Iterator[Finding]:
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


def _identity(
    bar: Bar,
    calibration: Calibration,
    numbers: BendNumbers,
    feeds: Order,
    machine: Machine,
    names: tuple[str, str, str],
    trims_mm: tuple[float, float],
) -> str:
    line = calibration.springback
    made_of = {
        "names": [bar.name, *names],
        "nodes_mm": [_rounded(node) for node in bar.nodes_mm],
        "tube_mm": _rounded((bar.tube.od_mm, bar.tube.wall_mm)),
        "calibration": [calibration.name, calibration.die, calibration.batch, calibration.calibrated],
        "numbers": _rounded((numbers.clr_mm, numbers.used_per_deg_mm, numbers.start_offset_mm)),
        "springback": None if line is None else _rounded((line.constant_deg, line.per_command_deg)),
        "trims_mm": _rounded(trims_mm),
        "order": [[feed.bend, feed.fed_from] for feed in feeds],
        "swings": machine.swings,
    }
    text = json.dumps(made_of, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()[:_IDENTITY_DIGITS]


def _rounded(values: Sequence[float]) -> list[float]:
    """Rounding far under anything that can be made, so that another computer's last digit is no revision."""
    return [round(value, _HASHED_DECIMALS) + 0.0 for value in values]

"""From a bar and a calibration to the sheet: blank, marks, commands, turns of the tube."""

from dataclasses import replace
from typing import Literal

from hoopwright.bars import Bar, BendTable, bend_table
from hoopwright.bender.blank import BlankLayout, lay_out_blank
from hoopwright.bender.calibration import Calibration, bend_numbers
from hoopwright.bender.checks import tape_checks, wrong_turn_miss_mm
from hoopwright.bender.identity import sheet_identity
from hoopwright.bender.machine import Machine
from hoopwright.bender.order import Order, check_order, default_order
from hoopwright.bender.poses import leg_clock, reference_bend, turn_tube_deg
from hoopwright.bender.sheet import BarSheet, BendStep
from hoopwright.bender.sheet_stops import (
    bendable,
    bent_tails,
    not_calibrated,
    refuse_inputs,
    refuse_marks_off_the_tube,
)
from hoopwright.bender.springback import command_angle, no_line
from hoopwright.bender.step_checks import leg_readings, slip_check, with_trims
from hoopwright.findings import Finding, Severity


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
    notes: tuple[Finding, ...] = (),
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
        notes: What else a person must know of this bar; part of what the sheet is made from.

    Raises:
        UserError: `SHEET-001` calibration for another tube, `SHEET-002` mark off the tube, `SHEET-003` for
            the order, `SHEET-004` trim out of range, `CAL-010` numbers missing, `CAL-011` command out of
            the die's reach, `BAR-...` for a bar that cannot be bent.
    """
    refuse_inputs(bar, calibration, trim_a_mm, trim_b_mm)
    numbers = bend_numbers(calibration)
    bar = replace(bar, clr_mm=numbers.clr_mm)
    clamp = machine.clamp_mm if clamp_mm is None else clamp_mm
    shape = bendable(bar, machine, clamp, trim_a_mm, trim_b_mm)
    feeds = default_order(bar) if order is None else order
    check_order(feeds, bar.bend_count)
    table = bend_table(bar)
    layout = lay_out_blank(table, numbers, trim_a_mm=trim_a_mm, trim_b_mm=trim_b_mm)
    refuse_marks_off_the_tube(bar, layout, feeds)
    on_tube = with_trims(table, trim_a_mm, trim_b_mm)
    steps, warnings = _steps(table, on_tube, layout, feeds, calibration, machine)
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
        identity=sheet_identity(
            bar,
            calibration,
            numbers,
            feeds,
            machine,
            (bar_id, title, side),
            (trim_a_mm, trim_b_mm),
            tuple(note.sentence for note in notes),
        ),
        revision=revision,
        date=date,
        machine=machine.name,
        swings=machine.swings,
        findings=(
            *not_calibrated(calibration),
            *shape,
            *calibration.findings,
            *warnings,
            *bent_tails(bar, feeds),
            *notes,
        ),
    )


def _steps(
    table: BendTable,
    on_tube: BendTable,
    layout: BlankLayout,
    feeds: Order,
    calibration: Calibration,
    machine: Machine,
) -> tuple[tuple[BendStep, ...], tuple[Finding, ...]]:
    totals, steps, findings = table.rotations_total_deg, [], []
    numbers = bend_numbers(calibration)
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
                readings=leg_readings(on_tube, feed, made, machine.swings),
                slip=slip_check(table.angles_deg[index], numbers, calibration, sd),
            )
        )
    return tuple(steps), tuple(findings)


def _of_bend(bend: int, finding: Finding) -> Finding:
    return replace(finding, sentence=f"Bend {bend}: {finding.sentence}", objects=(f"bend {bend}",))

"""The sheet of one bar as plain text for a terminal."""

from hoopwright.bender.sheet import BarSheet, BendStep
from hoopwright.findings import as_text
from hoopwright.papers.step_words import leg_words, slip_words
from hoopwright.papers.words import (
    CAUTIONS,
    NOT_CALIBRATED,
    angle,
    both,
    calibration_words,
    clock_words,
    code_text,
    command_words,
    count_words,
    machine_words,
    replaces_words,
    signed_angle,
    tube_words,
    turn_end_words,
    turn_word,
    turns,
    wrong_turn_words,
)
from hoopwright.units import LengthUnit


def bar_text(sheet: BarSheet, *, project: str, shop_address: str = "", unit: LengthUnit = "mm") -> str:
    """All that the printed sheet says, in lines for a terminal; arguments as `bar_pages`."""
    name = " ".join(filter(None, (sheet.bar_id, sheet.side, f"({sheet.title})")))
    lines = [
        f"{name}, tube {tube_words(sheet.bar.tube, unit)}, {count_words(len(sheet.steps), 'bend')}",
        f"revision {sheet.revision}, {sheet.date}",
    ]
    lines += [words for words in (replaces_words(sheet), "" if sheet.calibrated else NOT_CALIBRATED) if words]
    lines += [as_text(finding) for finding in sheet.findings]
    lines += ["", f"* cut {both(sheet.blank_mm, unit)}"]
    lines += _marks(sheet, unit)
    for step in sheet.steps:
        lines += ["", *_step(step, unit)]
    miss = wrong_turn_words(sheet, unit)
    lines += ["", miss] if miss and sheet.steps else []
    lines += ["", *_checks(sheet, unit), "", *_made_from(sheet, project, shop_address), *CAUTIONS]
    return "\n".join(lines) + "\n"


def _marks(sheet: BarSheet, unit: LengthUnit) -> list[str]:
    """The tape line, in the order along the tube."""
    return [
        f"  mark of bend {step.bend}: {both(step.mark_mm, unit)} from A, "
        f"{both(step.mark_from_b_mm, unit)} from B"
        for step in sorted(sheet.steps, key=lambda step: step.mark_mm)
    ]


def _step(step: BendStep, unit: LengthUnit) -> list[str]:
    lines = [f"== {turn_end_words(step)} =="] if step.turn_end_for_end else []
    lines += [
        f"{step.step}. bend {step.bend}, fed from end {step.fed_from}",
        f"   * mark at die face {both(step.mark_mm, unit)} from A; bend starts {both(step.start_mm, unit)}",
        f"   * turn the tube: {_turn(step)}",
        f"   * bend to {command_words(step)} under load{_spread(step)}, {angle(step.target_deg, 2)} released",
    ]
    lines += [f"     {reading}" for reading in leg_words(step)]
    if step.leg_clock is not None:
        lines.append(f"     last leg points to {clock_words(step.leg_clock)} seen from the tail")
    if step.bend > 1:
        total = signed_angle(step.rotation_total_deg)
        lines.append(
            f"     rotation {signed_angle(step.rotation_step_deg)} from the bend before, {total} from 1"
        )
    lines.append(f"     straight after {both(step.straight_after_mm, unit)}")
    number, *how = slip_words(step, unit) or ("",)
    lines += [f"   {number}", *(f"     {words}" for words in how)] if number else []
    return lines


def _turn(step: BendStep) -> str:
    if step.turn_tube_deg is None:
        return "first bend, set the gauge to zero"
    counted = "" if step.turn_from_bend is None else f", from where bend {step.turn_from_bend} was made"
    if not turns(step.turn_tube_deg):
        return f"no turn{counted}"
    return f"{angle(abs(step.turn_tube_deg))} {turn_word(step.turn_tube_deg)} seen from the tail{counted}"


def _spread(step: BendStep) -> str:
    return "" if step.command_sd_deg is None else f" (± {angle(step.command_sd_deg, 1)})"


def _checks(sheet: BarSheet, unit: LengthUnit) -> list[str]:
    lines = ["check off the car:"] if sheet.checks else []
    lines += [
        f"  {'*' if check.critical else ' '} {check.name}: {both(check.value_mm, unit)}   came out ________"
        for check in sheet.checks
    ]
    trims = f"A {both(sheet.trim_a_mm, unit)}, B {both(sheet.trim_b_mm, unit)}"
    return [*lines, f"    cut off after test fit: {trims}"]


def _made_from(sheet: BarSheet, project: str, shop_address: str) -> list[str]:
    return [
        ", ".join(
            filter(
                None,
                (
                    calibration_words(sheet, ", "),
                    machine_words(sheet),
                ),
            )
        ),
        code_text(sheet, project, shop_address),
        "* must be right; the rest is free, by eye",
    ]

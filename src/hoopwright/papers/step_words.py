"""What a card and the text of a sheet say of one bend beyond the table's figures."""

from dataclasses import dataclass

from hoopwright.bender.sheet import BendStep, LegReading
from hoopwright.bender.step_poses import StepPose
from hoopwright.papers.words import (
    angle,
    clock_words,
    command_words,
    figure,
    measure,
    other_unit,
    turn_word,
    turns,
)
from hoopwright.units import LengthUnit, shown

BAND_95 = 1.96
"""Standard deviations to either side that hold 95 of 100; source: normal distribution."""


@dataclass(frozen=True, kw_only=True)
class StepLine:
    """One line of a card, `big` for what is set or read."""

    words: str
    big: bool = False


def step_lines(pose: StepPose, unit: LengthUnit) -> tuple[StepLine, ...]:
    """The card of one bend, in the order in which it is worked."""
    step = pose.step
    mark = f"* mark {figure(step.mark_mm, unit)} from A ({measure(step.mark_mm, other_unit(unit))}) at the die face"
    lines = [StepLine(words=mark), StepLine(words=turn_line(step), big=True)]
    lines += [StepLine(words=words) for words in reading_words(step)]
    lines += [
        StepLine(words=command_line(step), big=True),
        *(StepLine(words=words) for words in band_words(step)),
        StepLine(
            words=f"{angle(step.target_deg, 2)} released; end {step.fed_from} swings {pose.swings} from above"
        ),
    ]
    if step.slip is not None:
        number, *how = slip_words(step, unit)
        lines += [StepLine(words=number, big=True), *(StepLine(words=words) for words in how)]
    return tuple(lines)


def turn_line(step: BendStep) -> str:
    """How far to turn the tube, and from where."""
    if step.turn_tube_deg is None:
        return "* first bend: protractor to zero"
    if not turns(step.turn_tube_deg):
        return f"* no turn from bend {step.turn_from_bend}"
    way = turn_word(step.turn_tube_deg)
    return f"* turn {angle(abs(step.turn_tube_deg))} {way} from bend {step.turn_from_bend}"


def reading_words(step: BendStep) -> list[str]:
    """Both protractors, on bend 1 (or the first bend made) and on the last bend made, and the leg's clock."""
    lines = leg_words(step)
    if step.leg_clock is not None:
        lines.append(f"the last leg points to {clock_words(step.leg_clock)} seen from the tail")
    return lines


def leg_words(step: BendStep) -> list[str]:
    """What each protractor shows and which bend it counts from."""
    return [_reading(step, reading) for reading in step.readings]


def _reading(step: BendStep, reading: LegReading) -> str:
    way = turn_word(reading.rotation_deg)
    turned = f"turn {angle(abs(reading.rotation_deg))} {way}" if turns(reading.rotation_deg) else way
    which = []
    if reading.bend != 1 and reading is step.readings[0]:
        which.append("first made")
    if reading is step.readings[-1]:
        which.append("last made")
    name = f"bend {reading.bend}" + (f" ({', '.join(which)})" if which else "")
    leg = "no leg to clamp it on" if reading.slope_deg is None else f"leg {slope_words(reading.slope_deg)}"
    return f"protractor on {name}: {leg}; {turned} from it"


def slope_words(slope_deg: float) -> str:
    """`level`, or how far the far end is up or down."""
    told = shown(abs(slope_deg), 1)
    return "level" if float(told) == 0.0 else f"{told}° {'up' if slope_deg > 0.0 else 'down'}"


def command_line(step: BendStep) -> str:
    """What the gauge reads under load."""
    return f"* gauge reads {command_words(step)} under load"


def band_words(step: BendStep) -> list[str]:
    """The band in which the right reading lies for 95 of 100 bends."""
    if step.command_deg is None:
        return ["no springback known yet: sneak up on the released angle"]
    if step.command_sd_deg is None:
        return []
    low, high = (step.command_deg + way * BAND_95 * step.command_sd_deg for way in (-1.0, 1.0))
    return [f"95 % band of that reading: {angle(low)} to {angle(high)}"]


def slip_words(step: BendStep, unit: LengthUnit) -> tuple[str, ...]:
    """The number that shows whether the tube slipped, how it is read and what a short one says."""
    if step.slip is None:
        return ()
    drawn, limit = step.slip.drawn_mm, measure(step.slip.limit_mm, unit)
    return (
        f"* slip check {measure(drawn, unit)} ({measure(drawn, other_unit(unit))})",
        "scribe the tube at one edge of the frame behind the die that never moves, before the pull and again before "
        f"release; {limit} or more short between the lines: it slipped, and the bend sits that much nearer to "
        f"end {step.fed_from}",
    )

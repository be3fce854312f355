"""What a bar sheet says, as numbers. Derived from a bar and a calibration; never stored as truth."""

from dataclasses import dataclass
from typing import Literal

from hoopwright.bars import Bar, BendTable
from hoopwright.findings import Finding

TubeEnd = Literal["A", "B"]


@dataclass(frozen=True, kw_only=True)
class LegReading:
    """A finished bend against which the next one is set.

    Args:
        bend: Number of the finished bend, from end A.
        rotation_deg: Turn of the next bend's plane against that of this one, along the tube, clockwise positive
            seen from the tail looking to the die; in (-180, 180].
        slope_deg: What a protractor that is level at 0 shows along the straight leg beyond this bend, away
            from the die, positive when its far end is up; None where that leg has no length.
    """

    bend: int
    rotation_deg: float
    slope_deg: float | None


@dataclass(frozen=True, kw_only=True)
class SlipCheck:
    """Two lines scribed at one fixed edge of the bender, before and after the bend.

    Args:
        drawn_mm: How far they lie apart along the tube when nothing slipped: the tube that the bend uses.
        limit_mm: From this much short on, the tube slipped.
    """

    drawn_mm: float
    limit_mm: float


@dataclass(frozen=True, kw_only=True)
class BendStep:
    """One bend, at its place in the order of bending.

    Lengths are along the blank from the end of the tube at A, trim included, unless said.

    Args:
        step: Place in the order, from 1.
        bend: Number of the bend counted from end A, from 1.
        fed_from: End that goes through the die first and swings.
        turn_end_for_end: Whether the tube is turned end for end before this bend.
        start_mm: Where the bend really starts: its tangent point nearer to end A.
        mark_mm: The mark that sits at the die face.
        mark_from_b_mm: The same mark, measured from the end of the tube at B.
        target_deg: Angle of the finished bend.
        command_deg: Angle to read under load; None without a springback line.
        command_sd_deg: Its standard deviation.
        rotation_step_deg: Turn of this bend's plane against the bend before it on the tube (toward A),
            clockwise positive looking from A to B; 0 for bend 1.
        rotation_total_deg: The same against bend 1.
        turn_tube_deg: How far to turn the tube from where bend `turn_from_bend` lies as just bent (its leg
            level, to the side to which the machine swings), clockwise positive as seen from the tail looking
            along the tube to the die; None for the first bend made.
        leg_clock: Where the leg beyond the last bend on the leading side points, as the hour on a clock
            seen from the tail looking to the die (12 is up); None for the first bend made, and where
            nothing on the leading side is bent.
        straight_after_mm: Straight from this bend to the next one toward end B, or to end B without trim.
        turn_from_bend: The finished bend that the turn counts from: the one made before this, or after
            turning end for end the one nearest to the die; None for the first bend made.
        readings: What protractors show on bend 1 and on the last bend made, before this bend is pulled.
        slip: How far the bend draws the tube through, and how much less says that it slipped.
    """

    step: int
    bend: int
    fed_from: TubeEnd
    turn_end_for_end: bool
    start_mm: float
    mark_mm: float
    mark_from_b_mm: float
    target_deg: float
    command_deg: float | None
    command_sd_deg: float | None
    rotation_step_deg: float
    rotation_total_deg: float
    turn_tube_deg: float | None
    leg_clock: float | None
    straight_after_mm: float
    turn_from_bend: int | None = None
    readings: tuple[LegReading, ...] = ()
    slip: SlipCheck | None = None


@dataclass(frozen=True, kw_only=True)
class TapeCheck:
    """A distance to measure on the finished bar before it goes to the car.

    Args:
        key: Its short name, by which a person types it: `feet`; as `bender.as_bent.bar_distances` has it.
        name: What to measure, in words: `outside width over the feet`.
        value_mm: What it should be.
        critical: Whether the fit in the car hangs on it.
    """

    key: str
    name: str
    value_mm: float
    critical: bool = True


@dataclass(frozen=True, kw_only=True)
class BarSheet:
    """Everything that one bar's sheet prints.

    Args:
        bar: The bar with the radius that the calibration found.
        bar_id: Short name, such as `MH` or `SB-R`.
        title: What it is in words: `main hoop`.
        side: `L`, `R` or empty.
        table: Bend table at the calibrated radius.
        blank_mm: Length to cut: straights, tube used and both trims.
        tube_used_mm: Tube that each bend uses, from end A.
        trim_a_mm: Tube left beyond the drawn end A until test fit.
        trim_b_mm: The same at end B.
        steps: The bends in the order in which they are made.
        checks: Distances to measure off the car.
        wrong_turn_miss_mm: How far end B lands off if every rotation is turned the wrong way; None where
            there is no rotation that could be.
        calibration_name: Name of the calibration.
        calibrated: False for a placeholder: the sheet is stamped "not calibrated".
        die: Name of the die.
        batch: Tube batch or heat number of the calibration.
        identity: Hash of everything that the sheet was made from.
        revision: Running number of this bar's sheets, from 1.
        date: Day of issue, ISO 8601.
        machine: Name of the machine.
        swings: Which way its leading end swings, seen from above.
        findings: What a person must know before bending.
    """

    bar: Bar
    bar_id: str
    title: str
    side: Literal["L", "R", ""]
    table: BendTable
    blank_mm: float
    tube_used_mm: tuple[float, ...]
    trim_a_mm: float
    trim_b_mm: float
    steps: tuple[BendStep, ...]
    checks: tuple[TapeCheck, ...]
    wrong_turn_miss_mm: float | None
    calibration_name: str
    calibrated: bool
    die: str
    batch: str
    identity: str
    revision: int
    date: str
    machine: str = ""
    swings: Literal["clockwise", "anticlockwise", ""] = ""
    findings: tuple[Finding, ...] = ()

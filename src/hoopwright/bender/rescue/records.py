"""What is written down while a bar is bent. Records are added, never edited; all else is derived from them."""

from dataclasses import dataclass
from typing import Literal

from hoopwright.bender.bend_job import BendJob, BendSettings
from hoopwright.bender.calibration import Springback
from hoopwright.bender.machine import Swing
from hoopwright.bender.rescue.reading import BAND_DEG

RECORDS_VERSION = 1
TURN_BAND_DEG = 1.0
MARK_BAND_MM = 1.0
"""How far a turn and a mark may be off before the bends to come are solved again; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Bands:
    """How far off is good enough to go on as planned.

    Args:
        angle_deg: For a released angle.
        turn_deg: For a turn that was read.
        mark_mm: For a mark that was read.
    """

    angle_deg: float = BAND_DEG
    turn_deg: float = TURN_BAND_DEG
    mark_mm: float = MARK_BAND_MM


@dataclass(frozen=True, kw_only=True)
class Started:
    """A stick was begun, with all that its sheet said.

    Args:
        bar_id: The bar.
        revision: Revision of its sheet.
        identity: The sheet's hash.
        stick: Which stick of this revision, from 1.
        job: Bar, blank, order and limits of the bender.
        plan: Angles, turns and marks of the sheet.
        line: The springback line, or None.
        die_reach_deg: Greatest angle under load.
        swings: Which way the leading end swings.
        bands: How far off is good enough.
        calibration: Name of the calibration.
        die: Name of the die.
        batch: Tube batch or heat number.
        at: When, ISO 8601.
        key: Key of this record.
        version: Version of the format of the records.
    """

    bar_id: str
    revision: int
    identity: str
    stick: int
    job: BendJob
    plan: BendSettings
    line: Springback | None
    die_reach_deg: float
    swings: Swing
    bands: Bands
    calibration: str
    die: str
    batch: str
    at: str
    key: str
    version: int = RECORDS_VERSION
    kind: Literal["started"] = "started"


@dataclass(frozen=True, kw_only=True)
class Reading:
    """A bend was released and read.

    Args:
        step: Place in the order, from 1.
        released_deg: Angle after release.
        command_deg: What was really read under load; None where it was what was asked.
        turned_deg: How far the tube was really turned before this bend, signed as the sheet signs it; None where
            it was not read.
        mark_mm: Where the mark at the die face really was, from the end of the tube at A; None where not read.
        reason: Why a reading is under the one before.
        device: What it was read on, as the person called it; empty where nobody said, as in a terminal.
        at: When, ISO 8601.
        key: The same reading sent again has the same key and counts once.
    """

    step: int
    released_deg: float
    command_deg: float | None = None
    turned_deg: float | None = None
    mark_mm: float | None = None
    reason: str = ""
    device: str = ""
    at: str
    key: str
    kind: Literal["reading"] = "reading"


@dataclass(frozen=True, kw_only=True)
class Decision:
    """A person said how to go on after a bend that was off.

    Args:
        choice: `go on` or `scrap`.
        plan: The settings in force from now on; None with `scrap`.
        worst_miss_mm: Predicted miss of the worse end.
        least_gap_mm: Predicted least gap; None where it was not checked.
        at: When, ISO 8601.
        key: Key of this record.
    """

    choice: Literal["go on", "scrap"]
    plan: BendSettings | None
    worst_miss_mm: float
    least_gap_mm: float | None
    at: str
    key: str
    kind: Literal["decision"] = "decision"


@dataclass(frozen=True, kw_only=True)
class Correction:
    """A reading was typed wrongly; this one takes its place. The wrong one stays on record.

    Args:
        of: Number of the record that is corrected, counted from 1.
        reading: What should have been typed.
        reason: Why.
        at: When, ISO 8601.
        key: Key of this record.
    """

    of: int
    reading: Reading
    reason: str
    at: str
    key: str
    kind: Literal["correction"] = "correction"


@dataclass(frozen=True, kw_only=True)
class Withdrawal:
    """The last reading was of no bend, such as one that was sent twice; it stays on record and does not count.

    Args:
        of: Number of its record, counted from 1.
        reason: Why.
        at: When, ISO 8601.
        key: Key of this record.
    """

    of: int
    reason: str
    at: str
    key: str
    kind: Literal["withdrawal"] = "withdrawal"


@dataclass(frozen=True, kw_only=True)
class Taped:
    """A distance was taped on the finished bar; a later one of the same name takes its place.

    Args:
        name: Short name of the distance, as `bender.as_bent.bar_distances` has it: `feet`.
        measured_mm: What the tape read.
        at: When, ISO 8601.
        key: Key of this record.
    """

    name: str
    measured_mm: float
    at: str
    key: str
    kind: Literal["taped"] = "taped"


Record = Started | Reading | Decision | Correction | Withdrawal | Taped

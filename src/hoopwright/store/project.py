"""A project as it is kept: intent and records, nothing derived."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from hoopwright.bars import BendTable, Node
from hoopwright.bender.as_bent import BendReading, TapeEntry
from hoopwright.cage import Cage, Car
from hoopwright.geometry import Transform
from hoopwright.shell.records import NamedPlace, ScanLandmark, TapeDistance
from hoopwright.store.build_records import BookPin, HandAnswer, HandMeasure, LogLine, Photo, TubeUsed

BentSource = Literal["tape", "readings", "scan", "drawn"]
NEVER_UNDONE = (
    "tape",
    "issued",
    "as_bent",
    "swings",
    "answers",
    "measures",
    "photos",
    "log_lines",
    "tubes_used",
)
"""Fields of a project that hold what was measured, issued or said: undo goes back to older intent only."""

AlignedBy = Literal["symmetry", "landmarks", "as given"]


@dataclass(frozen=True, eq=False, kw_only=True)
class ScanRecord:
    """The scan that the project is built in.

    Args:
        file: Name in the project's `scans` folder; the file as given.
        source_name: Name that the file came with.
        sha256: Its content hash.
        unit: Unit that the person confirmed.
        to_vehicle: From the scan (mm, the file's offset taken off) to the vehicle frame.
        aligned_by: How the axes were found.
        landmarks: Places that the axes were found from, if by landmarks.
        residual_mm: Root mean square of what was left over.
    """

    file: str
    source_name: str
    sha256: str
    unit: str
    to_vehicle: Transform
    aligned_by: AlignedBy
    landmarks: tuple[ScanLandmark, ...] = ()
    residual_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class IssuedSheet:
    """A record that a bar sheet was issued.

    Args:
        bar_id: The bar.
        revision: Running number of that bar's sheets.
        identity: Hash of everything that it was made from.
        date: Day of issue, ISO 8601.
        order: Order of bending that was asked for.
        swings: Which way the bender swings the leading end, seen from above.
    """

    bar_id: str
    revision: int
    identity: str
    date: str
    order: str = "auto"
    swings: Literal["clockwise", "anticlockwise"] = "clockwise"


@dataclass(frozen=True, kw_only=True)
class AsBentRecord:
    """A record that a bar was bent and measured, or that the drawn one counts again.

    Args:
        bar_id: The bar.
        source: How it was measured; `drawn` where the drawn bar counts from here on.
        date: Day of the record, ISO 8601.
        table: The bend table found, from end A; None for `drawn`.
        angle_sds_deg: Standard deviation of each angle.
        drawn_nodes_mm: The drawn bar that it was held against, vehicle frame.
        tape: Tape distances as typed.
        readings: Readings of released bends as typed.
        file: Name of the scan.
    """

    bar_id: str
    source: BentSource
    date: str
    table: BendTable | None
    angle_sds_deg: tuple[float, ...] = ()
    drawn_nodes_mm: tuple[Node, ...] = ()
    tape: tuple[TapeEntry, ...] = ()
    readings: tuple[BendReading, ...] = ()
    file: str = ""


@dataclass(frozen=True, eq=False, kw_only=True)
class Project:
    """One car.

    Args:
        name: What the project is called on papers.
        cage: The cage.
        scan: The scan, once taken in.
        tape: Tape distances as typed; a distance typed again under its name follows the old record.
        named_places: Regions that the person named.
        issued: Sheets issued, oldest first.
        as_bent: Bars that were bent and measured, oldest first; the last record of a bar counts.
        swings: Which way the bender swings the leading end, seen from above; None until the person said it.
        car: What a rule book asks about the car.
        book: The edition that the project is held to; None until one is pinned.
        answers: To rules that the model cannot check, oldest first.
        measures: Numbers that a person measured by hand, oldest first.
        photos: Oldest first.
        log_lines: What the person wrote in the build log, oldest first.
        tubes_used: Which tube each bar was cut from, oldest first.
    """

    name: str
    cage: Cage = field(default_factory=Cage)
    scan: ScanRecord | None = None
    tape: tuple[TapeDistance, ...] = ()
    named_places: tuple[NamedPlace, ...] = ()
    issued: tuple[IssuedSheet, ...] = ()
    as_bent: tuple[AsBentRecord, ...] = ()
    swings: Literal["clockwise", "anticlockwise"] | None = None
    car: Car = field(default_factory=Car)
    book: BookPin | None = None
    answers: tuple[HandAnswer, ...] = ()
    measures: tuple[HandMeasure, ...] = ()
    photos: tuple[Photo, ...] = ()
    log_lines: tuple[LogLine, ...] = ()
    tubes_used: tuple[TubeUsed, ...] = ()

    @property
    def tape_in_force(self) -> tuple[TapeDistance, ...]:
        """The last record of each name."""
        return tuple({distance.name: distance for distance in self.tape}.values())

    @property
    def as_bent_in_force(self) -> tuple[AsBentRecord, ...]:
        """The last record of each bar, those left out that went back to the drawn one."""
        last = {record.bar_id: record for record in self.as_bent}
        return tuple(record for record in last.values() if record.table is not None)

    def last_issued(self, bar_id: str) -> IssuedSheet | None:
        """The last sheet of a bar."""
        return next((sheet for sheet in reversed(self.issued) if sheet.bar_id == bar_id), None)

    @property
    def measures_in_force(self) -> tuple[HandMeasure, ...]:
        """The last number of each name and place, those left out that were taken back."""
        last = {(one.about, one.name, one.bend): one for one in self.measures}
        return tuple(one for one in last.values() if one.measured is not None)

    @property
    def tube_of(self) -> Mapping[str, TubeUsed]:
        """The last record of which tube each bar was cut from, by bar."""
        return MappingProxyType({used.bar_id: used for used in self.tubes_used})

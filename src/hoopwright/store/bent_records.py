"""Records of bars as bent, in project files."""

from typing import Any

from hoopwright.bars import BendTable
from hoopwright.bender.as_bent import BendReading, TapeEntry, check_bent_table
from hoopwright.store.file_kinds import BarId, FileModel, Number, Place
from hoopwright.store.project import AsBentRecord, BentSource


class _Table(FileModel):
    straights_mm: tuple[Number, ...]
    rotations_deg: tuple[Number, ...]
    angles_deg: tuple[Number, ...]
    clr_mm: Number


class _Tape(FileModel):
    key: str
    tape_mm: Number


class _Reading(FileModel):
    bend: int
    angle_deg: Number | None = None
    rotation_deg: Number | None = None


class BentKeys(FileModel):
    """One record as a project file holds it."""

    bar_id: BarId
    source: BentSource
    date: str
    table: _Table | None
    angle_sds_deg: tuple[Number, ...]
    drawn_nodes_mm: tuple[Place, ...]
    tape: tuple[_Tape, ...]
    readings: tuple[_Reading, ...]
    file: str


def bent_keys(record: AsBentRecord) -> dict[str, Any]:
    """A record as keys of a project file."""
    return {
        **vars(record),
        "table": None if record.table is None else vars(record.table),
        "tape": [vars(entry) for entry in record.tape],
        "readings": [vars(reading) for reading in record.readings],
    }


def bent_record(keys: BentKeys) -> AsBentRecord:
    """A record from the keys of a project file.

    Raises:
        ValueError: Where a bent bar has no table, or a dropped one has.
        UserError: `BAR-...` for a table that cannot be.
    """
    if (keys.table is None) is not (keys.source == "drawn"):
        msg = f"bar {keys.bar_id} as bent: the table does not go with '{keys.source}'"
        raise ValueError(msg)
    table = None if keys.table is None else BendTable(**dict(keys.table))
    if table is not None:
        check_bent_table(table)
    return AsBentRecord(
        bar_id=keys.bar_id,
        source=keys.source,
        date=keys.date,
        table=table,
        angle_sds_deg=keys.angle_sds_deg,
        drawn_nodes_mm=keys.drawn_nodes_mm,
        tape=tuple(TapeEntry(**dict(entry)) for entry in keys.tape),
        readings=tuple(BendReading(**dict(reading)) for reading in keys.readings),
        file=keys.file,
    )

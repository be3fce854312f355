"""Calibrations as they are kept: the samples as given. What they say is fitted by whoever asks."""

import json
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, exists, insert, select

from hoopwright.bender import (
    CalibrationRecord,
    check_calibration,
    same_tube,
    samples_as_keys,
    samples_from_keys,
)
from hoopwright.findings import UserError
from hoopwright.store.shop.engines import Turn
from hoopwright.store.shop.named import BATCHES, BENDERS, DIES, one
from hoopwright.store.shop.stored import Row, Stored, differs, now, read_rows, rows_of
from hoopwright.store.shop.superseding import refuse_correction
from hoopwright.store.shop.tables import CALIBRATION
from hoopwright.tubes import TubeSize

_PLAIN = ("key", "die", "date", "given")


def keep_calibration(
    turn: Turn, record: CalibrationRecord, *, recorded: str = ""
) -> Stored[CalibrationRecord]:
    """Keep a calibration; the same one again is not kept twice.

    Raises:
        UserError: `SHOP-024`, `SHOP-025`, `SHOP-005`, `SHOP-006`, `SHOP-028`, as for bends.
    """
    found = find_calibrations(turn.connection, equal={"key": record.key}, tube=None, every=True)
    if found:
        if found[0] != record:
            raise differs(
                f"Calibration '{record.key}'", found[0], record, "Give another key to other samples."
            )
        return Stored(record=found[0], is_new=False)
    if record.bender:
        one(turn.connection, BENDERS, record.bender)
    batch = one(turn.connection, BATCHES, record.batch) if record.batch else None
    faults = check_calibration(record, one(turn.connection, DIES, record.die), batch)
    if faults:
        raise UserError(*faults)
    if record.corrects:
        refuse_correction(turn.connection, CALIBRATION, "calibration", record.corrects)
    numbered = replace(record, sequence=turn.next_sequence())
    turn.connection.execute(insert(CALIBRATION).values(**row_of(numbered, recorded or now())))
    return Stored(record=numbered, is_new=True)


def row_of(record: CalibrationRecord, recorded: str) -> dict[str, Any]:
    """The whole row of a calibration."""
    return {
        **{key: getattr(record, key) for key in _PLAIN},
        **{key: getattr(record, key) or None for key in ("bender", "batch", "corrects")},
        **vars(record.tube),
        "sequence": record.sequence,
        "samples": json.dumps(samples_as_keys(record.samples)),
        "recorded": recorded,
    }


def calibration_of(row: Row) -> CalibrationRecord:
    """The calibration of a row; raises ValueError for samples that are no table."""
    samples = json.loads(row["samples"])
    if not isinstance(samples, dict):
        raise ValueError("its samples are no table")
    return CalibrationRecord(
        **{key: row[key] for key in _PLAIN},
        **{key: row[key] or "" for key in ("bender", "batch", "corrects")},
        samples=samples_from_keys(samples, f"calibration {row['key']}"),
        sequence=row["sequence"],
    )


def find_calibrations(
    connection: Connection, *, equal: dict[str, str | None], tube: TubeSize | None, every: bool
) -> tuple[CalibrationRecord, ...]:
    """Calibrations in the order of keeping; with `every` also those that were corrected."""
    query = select(CALIBRATION).order_by(CALIBRATION.c.sequence)
    for column, value in equal.items():
        if value is not None:
            query = query.where(CALIBRATION.c[column] == value)
    if not every:
        later = CALIBRATION.alias("later")
        query = query.where(~exists().where(later.c.corrects == CALIBRATION.c.key))
    rows = rows_of(connection, query)
    found = read_rows(rows, calibration_of, CALIBRATION)
    return tuple(record for record in found if tube is None or same_tube(record.tube, tube))

"""Calibrations kept in the shop."""

import hashlib
import json
from dataclasses import replace
from pathlib import Path

from hoopwright.bender import (
    CalibrationRecord,
    fit_calibration,
    same_tube,
    samples_as_keys,
    samples_from_text,
)
from hoopwright.bender.sample_files import read_text
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.shops import open_shop
from hoopwright.store.shop import Stored

_KEY_LETTERS = 16


def keep_in_shop(
    where: str | None, file: Path, *, die: str = "", batch: str = "", bender: str = "", corrects: str = ""
) -> Stored[CalibrationRecord]:
    """Keep a sample file in the shop as given; it is in force from then on.

    The same file again is not kept twice, unless another one was kept for the die and tube since: then it is in
    force again.

    Args:
        where: The shop.
        file: The sample file.
        die: The die, where the file names none.
        batch: The tube batch, where the file names none.
        bender: The bender; the die's without.
        corrects: Key of the calibration whose place it takes.

    Raises:
        UserError: `SHOP-045` where neither names a die; `CAL-...` for the file; `SHOP-005`, `SHOP-006`,
            `SHOP-024`, `SHOP-025`, `SHOP-028`.
    """
    given = read_text(file)
    samples = samples_from_text(given, file.name)
    fit_calibration(samples)  # what cannot be fitted is not kept
    die = die or samples.die
    if not die:
        raise _no_die(file)
    with open_shop(where) as shop:
        record = CalibrationRecord(
            key="new",
            die=die,
            batch=batch or samples.batch,
            bender=bender or shop.die(die).bender,
            samples=samples,
            given=given,
            date=samples.date,
            corrects=corrects,
        )
        key = _key_of(record)
        alike = [one for one in shop.calibrations(die=die) if same_tube(one.tube, record.tube)]
        had = [one for one in alike if one.key == key or one.key.startswith(f"{key}-")]
        if had and alike[-1].key == had[-1].key and not corrects:
            return shop.add_calibration(had[-1])
        return shop.add_calibration(replace(record, key=f"{key}-{len(had) + 1}" if had else key))


def _no_die(file: Path) -> UserError:
    return UserError(
        Finding(
            code="SHOP-045",
            severity=Severity.STOP,
            sentence=f"{file.name} names no die, so that nobody would find its calibration.",
            todo='Put die = "..." into the file, or give --die.',
            objects=(file.name,),
        )
    )


def _key_of(record: CalibrationRecord) -> str:
    """A key made of what was measured, so that the same file kept twice is one record."""
    made_of = [record.die, record.batch, record.bender, samples_as_keys(record.samples)]
    text = json.dumps(made_of, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:_KEY_LETTERS]

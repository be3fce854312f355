"""Shop records as plain keys and values, for JSON and for files, and back."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, TypeVar

from hoopwright.bender.kept_samples import CalibrationRecord
from hoopwright.bender.logged_bends import LoggedBend
from hoopwright.bender.sample_files import samples_as_keys, samples_from_keys
from hoopwright.bender.samples import Samples
from hoopwright.bender.shop_records import ShopBender, ShopDie, Stick, TubeBatch
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.tubes import TubeSize

ShopRecord = ShopBender | ShopDie | TubeBatch | Stick | CalibrationRecord | LoggedBend
OneRecord = TypeVar("OneRecord", ShopBender, ShopDie, TubeBatch, Stick, CalibrationRecord, LoggedBend)
_TUBE_KEYS = ("od_mm", "wall_mm")


def record_as_keys(record: ShopRecord) -> dict[str, Any]:
    """The record as JSON carries it; numbers are not rounded."""
    keys: dict[str, Any] = {}
    for one in fields(record):
        value = getattr(record, one.name)
        if isinstance(value, TubeSize):
            keys |= {key: getattr(value, key) for key in _TUBE_KEYS}
        elif isinstance(value, Samples):
            keys[one.name] = samples_as_keys(value)
        elif isinstance(value, dt.datetime):
            keys[one.name] = value.isoformat()
        elif isinstance(value, Mapping):
            keys[one.name] = dict(value)
        else:
            keys[one.name] = value
    return keys


def record_from_keys(kind: type[OneRecord], keys: object, where: str) -> OneRecord:
    """The record that `record_as_keys` wrote.

    Args:
        kind: Which record.
        keys: Its keys and values.
        where: Where they stand, for what is said of them: "bends.jsonl, line 3".

    Raises:
        UserError: `SHOP-009` for keys that are missing or not known, or values of the wrong kind; what the record
            refuses, with `where` before it.
    """
    if not isinstance(keys, dict):
        raise _unreadable(where, "is no record")
    values = dict(keys)
    try:
        if kind is TubeBatch:
            values["tube"] = TubeSize(**{key: values.pop(key) for key in _TUBE_KEYS})
        if kind is CalibrationRecord:
            if not isinstance(values["samples"], dict):
                raise _unreadable(where, "has samples that are no table")
            values["samples"] = samples_from_keys(values["samples"], where)
        if kind is LoggedBend:
            values["time"] = dt.datetime.fromisoformat(values["time"])
        return kind(**values)
    except UserError as error:
        raise UserError(*(_at(where, finding) for finding in error.findings)) from None
    except KeyError as error:
        raise _unreadable(where, f"lacks {error.args[0]}") from None
    except (TypeError, ValueError, AttributeError) as error:
        raise _unreadable(where, f"cannot be read: {_plain(error, kind)}") from None


def _plain(error: Exception, kind: type) -> str:
    return str(error).replace(f"{kind.__name__}.__init__() ", "")


def _at(where: str, finding: Finding) -> Finding:
    if finding.sentence.startswith(where):
        return finding
    return replace(finding, sentence=f"{where}: {finding.sentence}", objects=(where, *finding.objects))


def _unreadable(where: str, why: str) -> UserError:
    return UserError(
        Finding(
            code="SHOP-009",
            severity=Severity.STOP,
            sentence=f"{where} {why}.",
            todo="Mend it there, or export it anew.",
            objects=(where,),
        )
    )

"""The whole shop as plain files, one JSON record to a line, and back.

Records are read back in the order in which they were kept, so that each is held against what was in force then.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import groupby
from pathlib import Path
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, Table, select

from hoopwright.bender import (
    CalibrationRecord,
    LoggedBend,
    ShopBender,
    ShopDie,
    Stick,
    TubeBatch,
    record_as_keys,
    record_from_keys,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.shop import bends, calibrations, named, tables
from hoopwright.store.shop.engines import Turn, reading, writing
from hoopwright.store.shop.shop import Shop
from hoopwright.store.shop.stored import Stored, differs, read_rows, rows_of
from hoopwright.store.together import all_or_nothing
from hoopwright.store.writing import refuse_there

HEAD_FILE = "shop.json"
HEAD_KIND = "hoopwright shop"
FORMAT = 2
_READ_FORMATS = (1, 2)
"""Format 1 does not say on which device a bend was read."""
_LARGEST_FILE_BYTES = 2_000_000_000


@dataclass(frozen=True, kw_only=True)
class _Sort:
    """One sort of record: its file, its class, its table and how a row becomes a record."""

    file: str
    record: Any
    table: Table
    from_row: Any
    kind: Any = None


def _of_kind(file: str, record: Any, kind: named.Kind[Any]) -> _Sort:
    return _Sort(file=file, record=record, table=kind.states, from_row=kind.from_row, kind=kind)


_SORTS: Mapping[str, _Sort] = MappingProxyType(
    {
        "benders": _of_kind("benders.jsonl", ShopBender, named.BENDERS),
        "dies": _of_kind("dies.jsonl", ShopDie, named.DIES),
        "batches": _of_kind("batches.jsonl", TubeBatch, named.BATCHES),
        "sticks": _of_kind("sticks.jsonl", Stick, named.STICKS),
        "calibrations": _Sort(
            file="calibrations.jsonl",
            record=CalibrationRecord,
            table=tables.CALIBRATION,
            from_row=calibrations.calibration_of,
        ),
        "bends": _Sort(file="bends.jsonl", record=LoggedBend, table=tables.BEND, from_row=bends.bend_of),
    }
)


@dataclass(frozen=True, kw_only=True)
class Exchanged:
    """What went out or came in.

    Args:
        counts: Records of each sort.
        new: How many of them were not here before; empty for what went out.
    """

    counts: Mapping[str, int]
    new: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))


def export_shop(shop: Shop, folder: Path) -> Exchanged:
    """Write everything into a folder: all files or none.

    Raises:
        UserError: `SHOP-031` when an export is there already, `STORE-002` when it cannot be written, `SHOP-021`
            for a record that cannot be read.
    """
    refuse_there(folder / HEAD_FILE)
    with reading(shop.engine, shop.place) as connection:
        lines = {name: list(_lines(connection, sort)) for name, sort in _SORTS.items()}
    counts = {name: len(written) for name, written in lines.items()}
    head = {"kind": HEAD_KIND, "format": FORMAT, "counts": counts}
    contents = {folder / HEAD_FILE: json.dumps(head, indent=1).encode()}
    contents |= {folder / _SORTS[name].file: "".join(written).encode() for name, written in lines.items()}
    with all_or_nothing(contents) as put_in_place:
        put_in_place()
    return Exchanged(counts=counts)


def import_shop(shop: Shop, folder: Path) -> Exchanged:
    """Read an export in, all or nothing. What is kept already is not kept again.

    Raises:
        UserError: `SHOP-032` for files that are missing or cut short, `SHOP-009` with file and line for a record
            that cannot be read, `SHOP-024` for one that is kept with other values, and what the records refuse.
    """
    counts = _head_counts(folder)
    lines = [line for name in _SORTS for line in _read_file(folder, name, counts.get(name, 0))]
    lines.sort(key=lambda line: line.sequence)
    new = dict.fromkeys(_SORTS, 0)
    with writing(shop.engine, shop.place) as turn:
        for sort, together in groupby(lines, key=lambda line: line.sort):
            new[sort] += _take_in(turn, sort, list(together))
    return Exchanged(counts=counts, new=new)


@dataclass(frozen=True, kw_only=True)
class _Line:
    """A record of a file."""

    sort: str
    where: str
    sequence: int
    recorded: str
    record: Any


def _lines(connection: Connection, sort: _Sort) -> Iterator[str]:
    rows = rows_of(connection, select(sort.table).order_by(sort.table.c.sequence))
    for row, record in zip(rows, read_rows(rows, sort.from_row, sort.table), strict=True):
        keys = {**record_as_keys(record), "sequence": row["sequence"], "recorded": row["recorded"]}
        yield json.dumps(keys, ensure_ascii=False, allow_nan=False) + "\n"


def _take_in(turn: Turn, sort: str, lines: list[_Line]) -> int:
    """Keep lines of one sort that follow each other; returns how many were not here."""
    if sort == "bends":
        bends_given = [line.record for line in lines]
        return sum(
            one.is_new for one in bends.keep_bends(turn, bends_given, [line.recorded for line in lines])
        )
    new = 0
    for line in lines:
        try:
            new += _keep(turn, line).is_new
        except UserError as error:
            raise UserError(*(_at(line.where, finding) for finding in error.findings)) from None
    return new


def _keep(turn: Turn, line: _Line) -> Stored[Any]:
    if line.sort == "calibrations":
        return calibrations.keep_calibration(turn, line.record, recorded=line.recorded)
    kind, record = _SORTS[line.sort].kind, line.record
    kept = named.versions(turn.connection, kind, kind.name_of(record))
    if record.version <= len(kept):
        old = kept[record.version - 1]
        if old != record:
            what = f"Version {record.version} of {kind.word} '{kind.name_of(record)}'"
            raise differs(what, old, record, "The two shops went different ways: rename one of the two.")
        return Stored(record=old, is_new=False)
    if record.version != len(kept) + 1:
        raise _not_whole(line.where, f"is version {record.version}, and version {len(kept) + 1} comes next")
    return named.keep_next(turn, kind, record, recorded=line.recorded)


def _head_counts(folder: Path) -> dict[str, int]:
    text = _text(folder / HEAD_FILE)
    try:
        head = json.loads(text)
        if head["kind"] != HEAD_KIND or head["format"] not in _READ_FORMATS:
            raise _not_whole(HEAD_FILE, f"is not of kind '{HEAD_KIND}', format {FORMAT}")
        return {name: int(head["counts"][name]) for name in _SORTS}
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise _not_whole(HEAD_FILE, f"cannot be read: {error}") from None


def _read_file(folder: Path, name: str, wanted: int) -> Iterator[_Line]:
    sort = _SORTS[name]
    # not `splitlines`: a note may hold letters that it takes for ends of lines
    texts = _text(folder / sort.file).removesuffix("\n").split("\n") if wanted else []
    if len(texts) != wanted:
        raise _not_whole(sort.file, f"has {len(texts)} records, and {wanted} were written")
    for number, text in enumerate(texts, start=1):
        yield _read_line(name, f"{sort.file}, line {number}", text)


def _read_line(name: str, where: str, text: str) -> _Line:
    try:
        keys = json.loads(text)
        sequence, recorded = int(keys["sequence"]), keys.pop("recorded")
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise _not_whole(where, f"cannot be read: {error!r}") from None
    if not isinstance(recorded, str) or not 0 < len(recorded) <= 40 or not recorded.isprintable():
        raise _not_whole(where, "does not say when it was recorded")
    if _SORTS[name].kind is not None:
        del keys["sequence"]
    record = record_from_keys(_SORTS[name].record, keys, where)
    version = getattr(record, "version", 1)
    if not isinstance(version, int) or version < 1:
        raise _not_whole(where, f"has version {version}")
    return _Line(sort=name, where=where, sequence=sequence, recorded=recorded, record=record)


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _LARGEST_FILE_BYTES:
            raise _not_whole(path.name, "is too large")
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise _not_whole(str(path), error.strerror or "cannot be read") from None
    except UnicodeDecodeError:
        raise _not_whole(path.name, "is no text") from None


def _not_whole(where: str, why: str) -> UserError:
    return UserError(
        Finding(
            code="SHOP-032",
            severity=Severity.STOP,
            sentence=f"{where}: {why}. Nothing was taken in.",
            todo="Export it anew: 'hoopwright shop export FOLDER'.",
            objects=(where,),
        )
    )


def _at(where: str, finding: Finding) -> Finding:
    return replace(finding, sentence=f"{where}: {finding.sentence}", objects=(where, *finding.objects))

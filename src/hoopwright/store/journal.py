"""Files that only grow: one record a line, each on the disk before it is acknowledged.

A line holds a record and a check: the hash of the check before it and of the record. A line that is changed,
taken out or put in breaks the chain. The last line alone may be broken off, since a line is acknowledged only when
it is whole and on the disk.
"""

import contextlib
import errno
import hashlib
import io
import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.writing import make_folder, not_written, sync_folder

_CHECK_DIGITS = 16
LARGEST_FILE_BYTES = 20_000_000


@dataclass(frozen=True, kw_only=True)
class ReadJournal:
    """A journal as it was read.

    Args:
        records: Its records.
        whole_bytes: How much of the file they take.
        check: The check of the last one; empty without any.
        torn: What is left of a last line that was never finished; empty where there is none.
    """

    records: tuple[dict[str, Any], ...] = ()
    whole_bytes: int = 0
    check: str = ""
    torn: bytes = b""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """That a line was dropped."""
        if not self.torn:
            return ()
        return (
            Finding(
                code="STORE-008",
                sentence=f"The last line of the bending record was broken off after {len(self.torn)} bytes, as when "
                "power is lost while it is written; it was never acknowledged and is left out.",
                todo="Look at what is asked now, and type that reading again if it is missing.",
            ),
        )


def read_journal(path: Path) -> ReadJournal:
    """Read a journal; one that is not there is empty.

    Raises:
        UserError: `STORE-009` when a line before the last is damaged or was changed by hand, `STORE-002` when the
            file cannot be read.
    """
    try:
        content = path.read_bytes() if path.exists() else b""
    except OSError as error:
        raise not_written(path, error) from error
    if len(content) > LARGEST_FILE_BYTES:
        raise _damaged(path, 1, f"the file has {len(content)} bytes, over {LARGEST_FILE_BYTES}")
    *lines, rest = content.split(b"\n")
    records: list[dict[str, Any]] = []
    check, whole = "", 0
    for number, line in enumerate(lines, start=1):
        record = _record(line, check)
        if record is None:
            raise _damaged(path, number, "it does not follow from the line before it")
        records.append(record[0])
        check, whole = record[1], whole + len(line) + 1
    return ReadJournal(records=tuple(records), whole_bytes=whole, check=check, torn=rest)


def append_record(path: Path, journal: ReadJournal, record: dict[str, Any]) -> ReadJournal:
    """Add a record and bring it to the disk; the caller holds the folder's lock and has just read the journal.

    What is left of a broken-off line gives way: it was never acknowledged.

    Raises:
        UserError: `STORE-002` when it cannot be written; the record does not count then.
    """
    check = _check(journal.check, record)
    line = json.dumps({"record": record, "check": check}, allow_nan=False).encode() + b"\n"
    make_folder(path.parent)
    is_new = not path.exists()
    try:
        with path.open("xb" if is_new else "r+b", buffering=0) as file:
            _write_after(file, journal.whole_bytes, line)
        if is_new:
            sync_folder(path.parent)
    except OSError as error:
        raise not_written(path, error) from error
    return ReadJournal(
        records=(*journal.records, record), whole_bytes=journal.whole_bytes + len(line), check=check
    )


def _write_after(file: io.FileIO, whole_bytes: int, line: bytes) -> None:
    file.truncate(whole_bytes)
    file.seek(whole_bytes)
    try:
        if file.write(line) != len(line):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        os.fsync(file.fileno())
    except OSError:
        with contextlib.suppress(OSError):
            file.truncate(whole_bytes)  # what is not on the disk for sure must not count later
        raise


def _record(line: bytes, check: str) -> tuple[dict[str, Any], str] | None:
    try:
        kept = json.loads(line)
        record, wanted = kept["record"], kept["check"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    if not isinstance(record, dict) or wanted != _check(check, record):
        return None
    return record, wanted


def _check(before: str, record: dict[str, Any]) -> str:
    text = json.dumps(record, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(f"{before}\n{text}".encode()).hexdigest()[:_CHECK_DIGITS]


def _damaged(path: Path, line: int, why: str) -> UserError:
    return UserError(
        Finding(
            code="STORE-009",
            severity=Severity.STOP,
            sentence=f"{path.name}, line {line}: {why}. It was damaged or changed by hand, and nothing is made of it.",
            todo="Copy the file from a backup. Nothing was overwritten.",
            objects=(str(path),),
        )
    )

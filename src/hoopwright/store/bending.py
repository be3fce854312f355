"""The records of each stick that is bent: `bending/BAR-rREVISION.jsonl`, further sticks `-2`, `-3`."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, get_args

from pydantic import Field, TypeAdapter, ValidationError

from hoopwright.bender.rescue.records import (
    RECORDS_VERSION,
    Correction,
    Decision,
    Reading,
    Record,
    Started,
    Taped,
    Withdrawal,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.folder import ProjectFolder
from hoopwright.store.journal import ReadJournal, append_record, read_journal
from hoopwright.store.writing import make_folder, one_at_a_time

_KINDS = frozenset(kind.__dataclass_fields__["kind"].default for kind in get_args(Record))
_RECORDS: TypeAdapter[Record] = TypeAdapter(
    Annotated[Started | Reading | Decision | Correction | Withdrawal | Taped, Field(discriminator="kind")]
)


@dataclass(frozen=True, kw_only=True)
class Stick:
    """The records of one stick.

    Args:
        file: Where they are kept.
        records: The records; empty for a stick that is not begun.
        journal: The file as it was read.
    """

    file: Path
    records: tuple[Record, ...]
    journal: ReadJournal


@contextmanager
def bending_locked(folder: ProjectFolder) -> Iterator[None]:
    """Hold the lock of the bending records, so that two devices see the same step.

    Raises:
        UserError: `STORE-002` when the folder cannot be written.
    """
    make_folder(folder.bending)
    with one_at_a_time(folder.bending):
        yield


def last_stick(folder: ProjectFolder, bar_id: str) -> Stick | None:
    """The stick of a bar that was begun last; None without any.

    Raises:
        UserError: `STORE-009` for a file that is damaged.
    """
    found = _numbered(folder, bar_id)
    return read_stick(found[max(found)]) if found else None


def every_stick(folder: ProjectFolder, bar_id: str) -> tuple[Stick, ...]:
    """The sticks of a bar in the order of revision and number.

    Raises:
        UserError: `STORE-009` for a file that is damaged.
    """
    found = _numbered(folder, bar_id)
    return tuple(read_stick(found[key]) for key in sorted(found))


def new_stick(folder: ProjectFolder, bar_id: str, revision: int) -> tuple[Path, int]:
    """File and number of the next stick of a revision."""
    numbers = [stick for of, stick in _numbered(folder, bar_id) if of == revision]
    stick = max(numbers, default=0) + 1
    name = f"{bar_id}-r{revision}" + ("" if stick == 1 else f"-{stick}")
    return folder.bending / f"{name}.jsonl", stick


def read_stick(file: Path) -> Stick:
    """The records of a file.

    Raises:
        UserError: `STORE-009` for a file that is damaged or holds something else, `STORE-004` for one of a newer
            version of the tool.
    """
    journal = read_journal(file)
    _refuse_newer(file, journal)
    records = []
    for number, kept in enumerate(journal.records, start=1):
        _refuse_unknown(file, number, kept)
        try:
            records.append(_RECORDS.validate_python(kept))
        except (ValidationError, UserError) as error:
            raise _other(file, number, error) from error
    if records and not isinstance(records[0], Started):
        raise _other(file, 1, "it does not say which sheet the stick was begun from")
    return Stick(file=file, records=tuple(records), journal=journal)


def add_record(stick: Stick, record: Record) -> Stick:
    """Add a record and bring it to the disk; the caller holds the lock.

    Raises:
        UserError: `STORE-002`.
    """
    kept = _RECORDS.dump_python(record, mode="json")
    journal = append_record(stick.file, stick.journal, kept)
    return Stick(file=stick.file, records=(*stick.records, record), journal=journal)


def _refuse_newer(file: Path, journal: ReadJournal) -> None:
    version = journal.records[0].get("version", 1) if journal.records else 1
    if isinstance(version, int) and version > RECORDS_VERSION:
        raise UserError(
            Finding(
                code="STORE-004",
                severity=Severity.STOP,
                sentence=f"{file.name} was written by a newer version of the tool (format {version}, this one reads up "
                f"to {RECORDS_VERSION}).",
                todo="Use the newer version.",
                objects=(str(file),),
            )
        )


def _refuse_unknown(file: Path, line: int, kept: dict[str, Any]) -> None:
    """A whole line of a kind that nobody here knows is not damaged: a newer version wrote it."""
    kind = kept.get("kind")
    if isinstance(kind, str) and kind not in _KINDS:
        raise UserError(
            Finding(
                code="STORE-004",
                severity=Severity.STOP,
                sentence=f"{file.name}, line {line}, was written by a newer version of the tool: this one knows no "
                f"record of the kind '{kind}'.",
                todo="Use the newer version.",
                objects=(str(file),),
            )
        )


def torn_file(folder: ProjectFolder, bar_id: str) -> Path | None:
    """A file of a bar's records that holds no whole record: torn at its first, or cut short since."""
    name = re.compile(rf"{re.escape(bar_id)}-r(\d+)(?:-(\d+))?\.jsonl")
    torn = [
        path
        for path in sorted(folder.bending.glob("*.jsonl"))
        if name.fullmatch(path.name) and b"\n" not in path.read_bytes()
    ]
    return torn[-1] if torn else None


def _numbered(folder: ProjectFolder, bar_id: str) -> dict[tuple[int, int], Path]:
    """Files of a bar by revision and stick; a file without a whole record was never begun."""
    name = re.compile(rf"{re.escape(bar_id)}-r(\d+)(?:-(\d+))?\.jsonl")
    found = {}
    for path in folder.bending.glob("*.jsonl"):
        match = name.fullmatch(path.name)
        if match and b"\n" in path.read_bytes():
            found[int(match[1]), int(match[2] or 1)] = path
    return found


def _other(file: Path, line: int, why: object) -> UserError:
    return UserError(
        Finding(
            code="STORE-009",
            severity=Severity.STOP,
            sentence=f"{file.name}, line {line}: it is no bending record ({str(why).splitlines()[0]}).",
            todo="Copy the file from a backup. Nothing was overwritten.",
            objects=(str(file),),
        )
    )

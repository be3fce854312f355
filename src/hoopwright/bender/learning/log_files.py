"""The list of logged bends as a plain table: key,time,batch,command_deg,released_deg."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path

from hoopwright.bender.learning.bends import BendReading
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import parse_angle_deg

COLUMNS = ("key", "time", "batch", "command_deg", "released_deg")
LARGEST_FILE_BYTES = 2_500_000
_MOST_NAMED = 8


def read_bend_log(path: Path) -> tuple[BendReading, ...]:
    """The bends of a CSV file with a header line; other columns are let through.

    With semicolons between columns, numbers may have decimal commas.

    Raises:
        UserError: `LEARN-008` for a file or a header that cannot be read, `LEARN-009` for rows, with their lines.
    """
    return bend_log_from_text(_text(path), path.name)


def bend_log_from_text(text: str, file_name: str) -> tuple[BendReading, ...]:
    """The bends of the text of a CSV file; raises as `read_bend_log`."""
    first = text.lstrip("\r\n ").partition("\n")[0]
    reader = csv.DictReader(io.StringIO(text), delimiter=";" if ";" in first else ",", skipinitialspace=True)
    try:
        heads = [head.strip().lower() for head in reader.fieldnames or ()]
        missing = [column for column in COLUMNS if column not in heads]
        if missing:
            raise _unreadable(file_name, f"the column {', '.join(missing)} is missing")
        reader.fieldnames = heads
        rows = [(reader.line_num, row) for row in reader]
    except csv.Error as error:
        raise _unreadable(file_name, f"it is not a table ({error})") from None
    bends, problems = [], []
    for line, row in rows:
        try:
            bends.append(_bend({column: (row[column] or "").strip() for column in COLUMNS}))
        except UserError as error:
            problems += list(_in_line(file_name, line, error))
    if problems:
        raise UserError(*problems[:_MOST_NAMED])
    return tuple(bends)


def _bend(cells: dict[str, str]) -> BendReading:
    if not cells["key"]:
        raise UserError(Finding(code="LEARN-009", severity=Severity.STOP, sentence="The bend has no key."))
    return BendReading(
        key=cells["key"],
        time=cells["time"],
        batch=cells["batch"],
        command_deg=parse_angle_deg(cells["command_deg"]),
        released_deg=parse_angle_deg(cells["released_deg"]),
    )


def _in_line(file_name: str, line: int, error: UserError) -> Iterator[Finding]:
    for finding in error.findings:
        yield Finding(
            code="LEARN-009",
            severity=Severity.STOP,
            sentence=f"{file_name}, line {line}: {finding.sentence}",
            todo=f"Each row is {', '.join(COLUMNS)}; angles in degrees.",
            objects=(file_name, f"line {line}"),
        )


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise _unreadable(path.name, "it is over 2.5 MB, more than one die's bends")
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise _unreadable(path.name, error.strerror or "it cannot be read") from None
    except UnicodeDecodeError:
        raise _unreadable(path.name, "it is not a text file") from None


def _unreadable(file_name: str, why: str) -> UserError:
    return UserError(
        Finding(
            code="LEARN-008",
            severity=Severity.STOP,
            sentence=f"{file_name}: {why}.",
            todo=f"Give the bends of one die and tube as plain text with the header {','.join(COLUMNS)}.",
            objects=(file_name,),
        )
    )

"""Points as text: XYZ, TXT, ASC, CSV and PTS. No standard states a unit; a header may."""

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hoopwright.progress import Progress
from hoopwright.shell.readers.gathering import as_scan, localise, put_together
from hoopwright.shell.readers.numbers import Text, bad_line, line_number, number_at, parse_rows, read_text
from hoopwright.shell.readers.refusals import damaged, nothing_in_it
from hoopwright.shell.scan import Scan

_ROWS = 1_000_000
_LOOKED_AT = 64 * 1024
_NAME = re.compile(r"([xyz])(?:[\s_]*[\[(]?(mm|cm|m|in|ft)[\])]?)?")
_DECIMAL_COMMA = re.compile(r"[+-]?\d*,\d+(?:e[+-]?\d+)?", re.IGNORECASE)
_WHOLE = re.compile(r"[+-]?\d+")


def read_xyz(path: Path, progress: Progress) -> Scan:
    """Read points from text with spaces, tabs, commas or semicolons between the numbers.

    Lines before the first numbers are a header, which may name the columns; without it the first three
    columns count. Lines with a single whole number say how many points follow. Further columns are passed
    over. Decimal commas are understood where they cannot be separators.

    Raises:
        UserError: `SCAN-003` with the line, `SCAN-004`, `SCAN-005`.
    """
    text = read_text(path)
    start, names = _header(text)
    columns, unit, delimiter = _columns(names)
    if _has_decimal_commas(bytes(text[start : start + _LOOKED_AT])):
        text = np.where(text == 44, np.uint8(46), text)
    tally = np.zeros(2, dtype=np.int64)
    points, offset = localise(_rows(path, text, start, columns, delimiter, tally, progress))
    if len(points) == 0:
        raise nothing_in_it(path, "there is no line with three numbers in it")
    if len(points) < tally[0]:
        raise damaged(
            path,
            f"the text ends in line {line_number(text, len(text))} too early: expected {tally[0]} points, "
            f"found {len(points)}",
        )
    declared = (unit, "the names of the columns") if unit else (None, "")
    return as_scan(path, points, offset, declared=declared, findings=put_together(path, int(tally[1])))


def _rows(
    path: Path,
    text: Text,
    at: int,
    columns: NDArray[np.int64],
    delimiter: int,
    tally: NDArray[np.int64],
    progress: Progress,
) -> Iterator[NDArray[np.float64]]:
    while at < len(text):
        progress("reading points", at / len(text))
        out = np.empty((min(_ROWS, (len(text) - at) // 2 + 1), 3), dtype=np.float64)
        rows, at, bad = parse_rows(text, at, columns, delimiter, out, tally)
        if bad >= 0:
            raise bad_line(path, text, bad, "numbers in the columns of x, y and z")
        if rows == 0:
            return
        yield out[:rows]


def _header(text: Text) -> tuple[int, str]:
    """Where the lines of numbers start, and the header line before them that names the columns."""
    at = 0
    for raw in bytes(text[:_LOOKED_AT]).split(b"\n"):
        line = raw.decode("ascii", "replace")
        if _named_columns(line) is not None:
            return min(at + len(raw) + 1, len(text)), line
        place = at + len(raw) - len(raw.lstrip(b' \t\r"'))
        if raw.strip() and number_at(text, place)[1] >= 0:
            return at, ""
        at += len(raw) + 1
    return min(at, len(text)), ""


def _columns(names: str) -> tuple[NDArray[np.int64], str | None, int]:
    """Columns of x, y and z by a header line, the unit that it states, and its delimiter or 0."""
    found = _named_columns(names)
    if found is None:
        return np.arange(3, dtype=np.int64), None, 0
    units = {found[axis][1] for axis in "xyz"}
    columns = np.array([found[axis][0] for axis in "xyz"], dtype=np.int64)
    return columns, units.pop() if len(units) == 1 else None, ord(_delimiter(names) or "\0")


def _delimiter(line: str) -> str:
    """Semicolon, tab or comma, the first of them that is in the line; empty where blanks separate."""
    return next((mark for mark in ";\t," if mark in line), "")


def _named_columns(line: str) -> dict[str, tuple[int, str | None]] | None:
    """Place and unit of each of x, y and z in a line of names; None if one is missing."""
    bare = line.strip(" \r\n/#").lower()
    found: dict[str, tuple[int, str | None]] = {}
    for place, cell in enumerate(bare.split(_delimiter(bare) or None)):
        match = _NAME.fullmatch(cell.strip().strip('"').strip())
        if match and match[1] not in found:
            found[match[1]] = (place, match[2])
    return found if set(found) == set("xyz") else None


def _has_decimal_commas(sample: bytes) -> bool:
    """Whether commas stand inside numbers that something else separates."""
    for line in sample.decode("ascii", "replace").split("\n")[:200]:
        cells = [cell for cell in re.split(r"[;\t ]+", line.strip()) if cell][:3]
        if len(cells) == 3 and "." not in line and any("," in cell for cell in cells):
            return all(_DECIMAL_COMMA.fullmatch(cell) or _WHOLE.fullmatch(cell) for cell in cells)
    return False

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
    columns, unit = _columns(names)
    if _has_decimal_commas(bytes(text[start : start + _LOOKED_AT])):
        text = np.where(text == 44, np.uint8(46), text)
    tally = np.zeros(2, dtype=np.int64)
    points, offset = localise(_rows(path, text, start, columns, tally, progress))
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
    tally: NDArray[np.int64],
    progress: Progress,
) -> Iterator[NDArray[np.float64]]:
    while at < len(text):
        progress("reading points", at / len(text))
        out = np.empty((min(_ROWS, (len(text) - at) // 2 + 1), 3), dtype=np.float64)
        rows, at, bad = parse_rows(text, at, columns, out, tally)
        if bad >= 0:
            raise bad_line(path, text, bad, "numbers in the columns of x, y and z")
        if rows == 0:
            return
        yield out[:rows]


def _header(text: Text) -> tuple[int, str]:
    """Where the first line of numbers starts, and the line before it if that one holds words."""
    at, names = 0, ""
    head = bytes(text[:_LOOKED_AT])
    for line in head.split(b"\n"):
        words = line.split()
        place = at + len(line) - len(line.lstrip(b' \t\r"'))
        if words and place < len(text) and number_at(text, place)[1] >= 0:
            return at, names
        names = line.decode("ascii", "replace") if words else names
        at += len(line) + 1
    return min(at, len(text)), ""


def _columns(names: str) -> tuple[NDArray[np.int64], str | None]:
    """Columns of x, y and z by a header line, and the unit that it states."""
    bare = names.strip().lstrip("/#").strip().lower()
    cells = re.split(r"[,;\t]" if re.search(r"[,;\t]", bare) else r"\s+", bare)
    found: dict[str, tuple[int, str | None]] = {}
    for place, cell in enumerate(cells):
        match = _NAME.fullmatch(cell.strip().strip('"').strip())
        if match and match[1] not in found:
            found[match[1]] = (place, match[2])
    if set(found) != set("xyz"):
        return np.arange(3, dtype=np.int64), None
    units = {found[axis][1] for axis in "xyz"}
    columns = np.array([found[axis][0] for axis in "xyz"], dtype=np.int64)
    return columns, units.pop() if len(units) == 1 else None


def _has_decimal_commas(sample: bytes) -> bool:
    """Whether commas stand inside numbers that something else separates."""
    for line in sample.decode("ascii", "replace").split("\n")[:200]:
        cells = [cell for cell in re.split(r"[;\t ]+", line.strip()) if cell][:3]
        if len(cells) == 3 and "." not in line and any("," in cell for cell in cells):
            return all(_DECIMAL_COMMA.fullmatch(cell) or _WHOLE.fullmatch(cell) for cell in cells)
    return False

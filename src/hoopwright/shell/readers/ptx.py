"""PTX: scans as text, each with its size, its pose and one line for each direction measured.

The layout is common practice (no standard): columns, rows, scanner position, three axes, a 4x4 matrix
that multiplies row vectors from the right, then columns x rows lines of x y z and more.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hoopwright.progress import Progress
from hoopwright.shell.readers.gathering import as_scan, localise, put_together
from hoopwright.shell.readers.numbers import Text, bad_line, line_number, parse_rows, read_text
from hoopwright.shell.readers.refusals import check_room, damaged, nothing_in_it
from hoopwright.shell.scan import Scan

HEAD_SHAPES = (1, 1, 3, 3, 3, 3, 4, 4, 4, 4)
_ROWS = 1_000_000
_LEAST_LINE = 6


def looks_like_ptx(head: bytes) -> bool:
    """Whether the first ten lines hold as many numbers as a PTX head does."""
    lines = [line.split() for line in head.lstrip().split(b"\n")[: len(HEAD_SHAPES)]]
    return [len(line) for line in lines] == list(HEAD_SHAPES) and all(line[0].isdigit() for line in lines[:2])


def read_ptx(path: Path, progress: Progress) -> Scan:
    """Read every scan of a PTX file, put together by their poses; lines without a return are left out.

    Raises:
        UserError: `SCAN-003` with the line, `SCAN-004`, `SCAN-005`, `SCAN-009`.
    """
    text = read_text(path)
    scans: list[int] = []
    points, offset = localise(_posed(path, text, scans, progress))
    if len(points) == 0:
        raise nothing_in_it(path, f"none of its {sum(scans)} lines has a return")
    return as_scan(path, points, offset, findings=put_together(path, len(scans)))


def _posed(path: Path, text: Text, scans: list[int], progress: Progress) -> Iterator[NDArray[np.float64]]:
    """Points of one scan after the other in the common frame; appends each scan's size to `scans`."""
    at = _past_blank_lines(text, 0)
    while at < len(text):
        count, pose, at = _read_head(path, text, at)
        scans.append(count)
        left = count
        while left:
            progress("reading points", at / len(text))
            out = np.empty((min(_ROWS, left), 3), dtype=np.float64)
            rows, at, bad = parse_rows(text, at, np.arange(3), 0, out, np.empty(0, dtype=np.int64))
            if bad >= 0:
                raise bad_line(
                    path, text, bad, f"point {count - left + rows + 1} of {count} of scan {len(scans)}"
                )
            if rows < len(out):
                raise damaged(
                    path,
                    f"the text ends in line {line_number(text, len(text))} too early: expected {count} lines "
                    f"in scan {len(scans)}, found {count - left + rows}",
                )
            left -= rows
            hit = out[(out != 0.0).any(axis=1)]
            with np.errstate(all="ignore"):
                yield hit @ pose[:3, :3] + pose[3, :3]
        at = _past_blank_lines(text, int(at))


def _past_blank_lines(text: Text, at: int) -> int:
    while at < len(text) and text[at] in (32, 9, 13, 10):
        at += 1
    return at


def _read_head(path: Path, text: Text, at: int) -> tuple[int, NDArray[np.float64], int]:
    """Number of lines, pose (4, 4) and the place behind the head."""
    rows: list[list[float]] = []
    for number, wanted in enumerate(HEAD_SHAPES, start=1):
        end = at + bytes(text[at : at + 4096]).find(b"\n")
        end = min(at + 4096, len(text)) if end < at else end
        try:
            cells = [float(cell) for cell in bytes(text[at:end]).split()]
        except ValueError:
            cells = []
        if len(cells) != wanted:
            raise bad_line(
                path, text, min(at, len(text) - 1), f"{wanted} numbers (line {number} of a scan's head)"
            )
        rows.append(cells)
        at = end + 1
    columns, lines = rows[0][0], rows[1][0]
    if not (0 <= columns < 1e9 and 0 <= lines < 1e9):
        raise damaged(path, f"a scan's size is {columns:g} x {lines:g}")
    count = int(columns) * int(lines)
    pose = np.array(rows[6:], dtype=np.float64)
    if not np.isfinite(pose).all():
        raise damaged(path, "a scan's pose is no number")
    check_room(path, "lines of points", count, _LEAST_LINE, len(text) - at + 1)
    return count, pose, at

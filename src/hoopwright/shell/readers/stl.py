"""STL, binary and text. The format states no unit."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hoopwright.findings import Finding
from hoopwright.progress import Progress
from hoopwright.shell.readers.gathering import as_scan, localise, non_finite, usable_points
from hoopwright.shell.readers.numbers import (
    bad_line,
    line_end,
    line_number,
    next_token,
    number_at,
    read_text,
    token_end,
)
from hoopwright.shell.readers.refusals import check_room, damaged, nothing_in_it
from hoopwright.shell.scan import Scan

HEADER_BYTES = 84
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_CHUNK = 500_000


def counted_size(head: bytes) -> int | None:
    """The size that a binary STL file with this head must have; None if the head is too short."""
    if len(head) < HEADER_BYTES:
        return None
    return HEADER_BYTES + RECORD.itemsize * int.from_bytes(head[80:84], "little")


def is_text(head: bytes) -> bool:
    """Whether the head of a file is that of a text STL: `solid` alone does not say so."""
    start = head.lstrip().lower()
    return start.startswith(b"solid") and b"\0" not in head and (b"facet" in start or b"endsolid" in start)


def read_stl(path: Path, progress: Progress) -> Scan:
    """Read a binary or text STL file; corners at one place become one point.

    Raises:
        UserError: `SCAN-003` to `SCAN-005` and `SCAN-009`.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(65536)
    if counted_size(head) != size and is_text(head):
        return _welded(path, *_text_corners(path), ())
    if len(head) < HEADER_BYTES:
        raise damaged(path, f"the file ends in its header: expected {HEADER_BYTES} bytes, found {size}")
    count = int.from_bytes(head[80:84], "little")
    check_room(path, "triangles", count, RECORD.itemsize, size - HEADER_BYTES)
    spare = size - HEADER_BYTES - count * RECORD.itemsize
    if spare >= RECORD.itemsize:
        raise damaged(
            path,
            f"the {count} triangles of its header end at byte {size - spare}, but the file has {size} bytes",
        )
    findings = (_spare_bytes(path, spare, size - spare),) if spare else ()
    points, offset = localise(_binary_chunks(path, count, progress), 3 * count)
    return _welded(path, points, offset, findings)


def _binary_chunks(path: Path, count: int, progress: Progress) -> Iterator[NDArray[np.float32]]:
    with path.open("rb") as file:
        file.seek(HEADER_BYTES)
        for start in range(0, count, _CHUNK):
            progress("reading triangles", start / count)
            wanted = min(_CHUNK, count - start)
            records = np.fromfile(file, dtype=RECORD, count=wanted)
            if len(records) < wanted:
                raise damaged(path, f"the file ended while it was read, at triangle {start + len(records)}")
            yield records["corners"]


def _spare_bytes(path: Path, spare: int, end: int) -> Finding:
    return Finding(
        code="SCAN-003",
        sentence=f"{path.name}: {spare} bytes behind the last triangle, at byte {end}, were not read.",
        todo="Harmless if the scan looks complete.",
        objects=(str(path),),
        measured=spare,
        limit=0,
        unit="bytes",
    )


def _welded(
    path: Path, corners: NDArray[np.float32], offset: NDArray[np.float64], findings: tuple[Finding, ...]
) -> Scan:
    """The scan from corners of shape (3 m, 3), three in a row to a triangle."""
    from hoopwright.shell.weld import weld_corners

    soup = corners.reshape(-1, 3, 3)
    if len(soup) == 0:
        raise nothing_in_it(path, "there are no triangles in it")
    usable = usable_points(corners)
    if usable is not None:
        good = usable.reshape(-1, 3).all(axis=1)
        findings = (
            *findings,
            non_finite(path, "triangles", len(soup) - int(good.sum()), len(soup)),
        )
        soup = soup[good]
    points, triangles = weld_corners(soup)
    return as_scan(path, points, offset, triangles, findings=findings)


def _text_corners(path: Path) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    text = read_text(path)
    corners = np.empty((line_number(text, len(text)), 3), dtype=np.float64)
    count, bad, reason = _parse_text(text, corners)
    if bad >= 0:
        expected = ("'vertex' and three numbers", "three corners in the loop", "'endsolid' at the end")[
            reason
        ]
        raise bad_line(path, text, bad, expected)
    return localise([corners[:count]], count)


@njit(cache=True, nogil=True)
def _starts(text, at, word):  # type: ignore[no-untyped-def]
    """Whether the token at `at` is the word, in capitals or not."""
    if at + len(word) > len(text):
        return False
    for place in range(len(word)):
        if (text[at + place] | 32) != word[place]:
            return False
    return token_end(text, at) == at + len(word)


_VERTEX = np.frombuffer(b"vertex", dtype=np.uint8)
_ENDLOOP = np.frombuffer(b"endloop", dtype=np.uint8)
_ENDSOLID = np.frombuffer(b"endsolid", dtype=np.uint8)


@njit(cache=True, nogil=True)
def _parse_text(text, corners):  # type: ignore[no-untyped-def]
    """Write the corners; returns how many, the place of the first fault or -1, and which fault."""
    at, count, in_loop, closed, last = 0, 0, 0, False, 0
    while at < len(text):
        at = next_token(text, at)
        if at >= len(text):
            break
        if text[at] != 10:
            last = at
        if _starts(text, at, _VERTEX):
            place = token_end(text, at)
            for axis in range(3):
                value, behind = number_at(text, next_token(text, place))
                if behind < 0 or count >= len(corners):
                    return count, at, 0
                corners[count, axis] = value
                place = behind
            count += 1
            in_loop += 1
        elif _starts(text, at, _ENDLOOP):
            if in_loop != 3:
                return count, at, 1
            in_loop = 0
        elif _starts(text, at, _ENDSOLID):
            closed = True
            if in_loop != 0:
                return count, at, 1
        elif text[at] != 10:
            closed = False
        at = line_end(text, at) + 1
    if not closed:
        return count, last, 2
    return count, -1, 0

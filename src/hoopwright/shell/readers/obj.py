"""OBJ: vertices and faces of the text format. The format states no unit."""

from pathlib import Path

import numpy as np
from numba import njit

from hoopwright.progress import Progress
from hoopwright.shell.readers.gathering import as_scan, localise
from hoopwright.shell.readers.numbers import bad_line, is_blank, line_end, next_token, number_at, read_text
from hoopwright.shell.readers.refusals import nothing_in_it
from hoopwright.shell.scan import Scan


def read_obj(path: Path, progress: Progress) -> Scan:
    """Read the `v` and `f` lines of an OBJ file; polygons become fans, everything else is passed over.

    Raises:
        UserError: `SCAN-003` with the line, `SCAN-004`, `SCAN-005`.
    """
    text = read_text(path)
    if (text == 92).any():  # a line may go on behind a backslash
        joined = bytes(text).replace(b"\\\r\n", b" ").replace(b"\\\n", b" ")
        text = np.frombuffer(joined, dtype=np.uint8)
    progress("reading points and triangles", 0.0)
    point_count, triangle_count = _tally(text)
    if point_count == 0:
        raise nothing_in_it(path, "there is no line 'v' with a point in it")
    coordinates = np.empty((point_count, 3), dtype=np.float64)
    triangles = np.empty((triangle_count, 3), dtype=np.int32)
    bad = _fill(text, coordinates, triangles)
    if bad >= 0:
        raise bad_line(path, text, bad, "'v' with three numbers or 'f' with numbers of points")
    points, offset = localise([coordinates], point_count)
    return as_scan(path, points, offset, triangles)


@njit(cache=True, nogil=True)
def _is_line_of(text, at, letter):  # type: ignore[no-untyped-def]
    return text[at] == letter and at + 1 < len(text) and is_blank(text[at + 1])


@njit(cache=True, nogil=True)
def _behind_word(text, at):  # type: ignore[no-untyped-def]
    while at < len(text) and not is_blank(text[at]) and text[at] != 10:
        at += 1
    return next_token(text, at)


@njit(cache=True, nogil=True)
def _at_end(text, at):  # type: ignore[no-untyped-def]
    """Whether the line's content ends here: at a line end, a comment or the end of the text."""
    return at >= len(text) or text[at] == 10 or text[at] == 35


@njit(cache=True, nogil=True)
def _tally(text):  # type: ignore[no-untyped-def]
    """How many points, and how many triangles the fans of all faces have."""
    at, points, triangles = 0, 0, 0
    while at < len(text):
        at = next_token(text, at)
        if at < len(text) and _is_line_of(text, at, 118):
            points += 1
        elif at < len(text) and _is_line_of(text, at, 102):
            corners, place = 0, _behind_word(text, at)
            while not _at_end(text, place):
                corners += 1
                place = _behind_word(text, place)
            triangles += max(1, corners - 2)
        at = line_end(text, at) + 1
    return points, triangles


@njit(cache=True, nogil=True)
def _corner(text, at, points):  # type: ignore[no-untyped-def]
    """Index from 0 of the corner a, a/b, a//c or a/b/c, -1 if it is out of range; place behind or -1."""
    negative = text[at] == 45
    if negative or text[at] == 43:
        at += 1
    start, value = at, np.int64(0)
    while at < len(text) and 48 <= text[at] <= 57:
        value = min(value * 10 + np.int64(text[at]) - 48, np.int64(1) << 40)
        at += 1
    if at == start or (at < len(text) and text[at] != 47 and text[at] != 10 and not is_blank(text[at])):
        return -1, -1
    index = points - value if negative else value - 1
    if value == 0 or index < 0 or index >= 2147483647:
        index = -1
    return index, _behind_word(text, at)


@njit(cache=True, nogil=True)
def _face(text, at, points, triangles, filled):  # type: ignore[no-untyped-def]
    """Write one face's fan behind `filled` triangles; the new number of triangles or -1."""
    first, before, corners = 0, 0, 0
    place = at
    while not _at_end(text, place):
        index, place = _corner(text, place, points)
        if place < 0:
            return -1
        if corners == 0:
            first = index
        elif corners >= 2:
            triangles[filled] = (first, before, index)
            filled += 1
        before = index
        corners += 1
    if corners < 3:
        triangles[filled] = (first, first, first)  # counted as unusable later
        filled += 1
    return filled


@njit(cache=True, nogil=True)
def _fill(text, coordinates, triangles):  # type: ignore[no-untyped-def]
    """Write points and triangles; the place of the first bad line or -1."""
    at, points, filled = 0, 0, 0
    while at < len(text):
        at = next_token(text, at)
        if at < len(text) and _is_line_of(text, at, 118):
            place = at + 1
            for axis in range(3):
                value, behind = number_at(text, next_token(text, place))
                if behind < 0:
                    return at
                coordinates[points, axis] = value
                place = behind
            points += 1
        elif at < len(text) and _is_line_of(text, at, 102):
            behind = _face(text, _behind_word(text, at), points, triangles, filled)
            if behind < 0:
                return at
            filled = behind
        at = line_end(text, at) + 1
    return -1

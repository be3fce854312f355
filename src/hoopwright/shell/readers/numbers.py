"""Numbers out of text, fast enough for files of hundreds of megabytes and exact about the place of an error.

Source of the exact case: W. D. Clinger, How to read floating point numbers accurately, 1990: up to 2^53
times or over a power of ten up to 10^22 rounds once. Longer numbers are good to 14 digits.
"""

from pathlib import Path

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hoopwright.findings import UserError
from hoopwright.shell.readers.refusals import damaged, refusal

Text = NDArray[np.uint8]

_TENS = 10.0 ** np.arange(23)
_MOST_DIGITS = 18


def read_text(path: Path) -> Text:
    """The bytes of a text file, with line ends of one kind and no byte order mark.

    Raises:
        UserError: `SCAN-002` for text in 16-bit characters.
    """
    data = path.read_bytes()
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise refusal(
            "SCAN-002", path, "the text is in 16-bit characters", "Save it as plain text (ASCII or UTF-8)."
        )
    if data[:3] == b"\xef\xbb\xbf":
        data = data[3:]
    if b"\r" in data[:65536] and b"\n" not in data[:65536]:
        data = data.replace(b"\r", b"\n")
    return np.frombuffer(data, dtype=np.uint8)


def line_number(text: Text, at: int) -> int:
    """The line, counted from 1, that a place in the text is on."""
    return int(_line_ends(text, min(at, len(text)))) + 1


def bad_line(path: Path, text: Text, at: int, expected: str) -> UserError:
    """`SCAN-003` with the line and what stands there."""
    start = int(at)
    while start > 0 and text[start - 1] != 10:
        start -= 1
    words = bytes(text[start : start + 80]).split(b"\n")[0].decode("ascii", "replace").strip()
    shown = "".join(mark if mark.isprintable() else "?" for mark in words)
    return damaged(path, f"line {line_number(text, at)}: expected {expected}, found '{shown}'")


@njit(cache=True, nogil=True)
def is_blank(c):  # type: ignore[no-untyped-def]
    """Space, tab, carriage return, vertical tab, form feed or quote."""
    return c == 32 or c == 9 or c == 13 or c == 11 or c == 12 or c == 34


@njit(cache=True, nogil=True)
def is_end(c):  # type: ignore[no-untyped-def]
    """Whether a number may end before this byte."""
    return is_blank(c) or c == 10 or c == 44 or c == 59


@njit(cache=True, nogil=True)
def _line_ends(text, stop):  # type: ignore[no-untyped-def]
    count = 0
    for at in range(stop):
        if text[at] == 10:
            count += 1
    return count


@njit(cache=True, nogil=True)
def token_end(text, at):  # type: ignore[no-untyped-def]
    """The place behind the token that starts at `at`."""
    while at < len(text) and not is_end(text[at]):
        at += 1
    return at


@njit(cache=True, nogil=True)
def next_token(text, at):  # type: ignore[no-untyped-def]
    """The place of the next token on this line, the line end or the end of the text."""
    while at < len(text) and is_blank(text[at]):
        at += 1
    return at


@njit(cache=True, nogil=True)
def line_end(text, at):  # type: ignore[no-untyped-def]
    """The place of the next line end, or the end of the text."""
    while at < len(text) and text[at] != 10:
        at += 1
    return at


@njit(cache=True, nogil=True)
def _word_value(text, at):  # type: ignore[no-untyped-def]
    """Not a number for nan, inf and their like; no place for any other word."""
    if at + 2 < len(text):
        a, b, c = text[at] | 32, text[at + 1] | 32, text[at + 2] | 32
        if (a == 110 and b == 97 and c == 110) or (a == 105 and b == 110 and c == 102):
            return np.nan, token_end(text, at)
    return 0.0, -1


@njit(cache=True, nogil=True)
def _exponent(text, at):  # type: ignore[no-untyped-def]
    """Value of the exponent that starts at `at` behind its letter, and the place behind it or -1."""
    sign = 1
    if at < len(text) and (text[at] == 43 or text[at] == 45):
        sign = -1 if text[at] == 45 else 1
        at += 1
    value, start = np.int64(0), at
    while at < len(text) and 48 <= text[at] <= 57:
        value = min(value * 10 + np.int64(text[at]) - 48, np.int64(100000))
        at += 1
    return sign * value, (at if at > start else -1)


@njit(cache=True, nogil=True)
def _scaled(mantissa, exponent):  # type: ignore[no-untyped-def]
    value = np.float64(mantissa)
    if exponent == 0 or mantissa == 0:
        return value
    if 0 < exponent <= 22:
        return value * _TENS[exponent]
    if -22 <= exponent < 0:
        return value / _TENS[-exponent]
    if exponent < -300:
        return value * 1e-300 * 10.0 ** max(exponent + 300, -400)
    return value * 10.0**exponent


@njit(cache=True, nogil=True)
def number_at(text, at):  # type: ignore[no-untyped-def]
    """Value of the number that starts at `at` and the place behind it, -1 if there is no number."""
    negative = False
    if at < len(text) and (text[at] == 45 or text[at] == 43):
        negative = text[at] == 45
        at += 1
    mantissa, digits, seen, exponent, point = np.int64(0), 0, 0, 0, False
    while at < len(text):
        c = np.int64(text[at])
        if 48 <= c <= 57:
            seen += 1
            if digits < _MOST_DIGITS:
                mantissa = mantissa * 10 + (c - 48)
                digits += 1 if mantissa > 0 else 0
                exponent -= 1 if point else 0
            elif not point:
                exponent += 1
        elif c == 46 and not point:
            point = True
        else:
            break
        at += 1
    if seen == 0:
        return _word_value(text, at)
    if at < len(text) and text[at] == 35:
        return np.nan, token_end(text, at)  # 1.#IND and 1.#QNAN of an old C run-time library
    if at < len(text) and ((text[at] | 32) == 101 or (text[at] | 32) == 100):
        power, at = _exponent(text, at + 1)
        if at < 0:
            return 0.0, -1
        exponent += power
    if at < len(text) and not is_end(text[at]):
        return 0.0, -1
    value = _scaled(mantissa, exponent)
    return (-value if negative else value), at


@njit(cache=True, nogil=True)
def _skip_blanks(text, at, delimiter):  # type: ignore[no-untyped-def]
    while at < len(text) and is_blank(text[at]) and text[at] != delimiter:
        at += 1
    return at


@njit(cache=True, nogil=True)
def _cell_end(text, at, delimiter):  # type: ignore[no-untyped-def]
    """The place behind a cell of any words."""
    if delimiter == 0:
        return token_end(text, at)
    while at < len(text) and text[at] != delimiter and text[at] != 10:
        at += 1
    return at


@njit(cache=True, nogil=True)
def parse_rows(text, at, columns, delimiter, out, tally):  # type: ignore[no-untyped-def]
    """Numbers in the given columns of each line, until `out` is full or the text ends.

    Blank lines and lines that start with # or // are passed over; a line with one whole number is a count,
    added to `tally[0]`, with the number of such lines in `tally[1]`. An empty cell is not a number.

    Args:
        text: The bytes.
        at: Where to start: the start of a line.
        columns: Three columns, counted from 0.
        delimiter: The one byte that separates cells, or 0 for blanks, commas and semicolons alike.
        out: Shape (n, 3), float64, written.
        tally: Shape (2,), int64, added to; of shape (0,) where count lines are errors.

    Returns:
        Rows written, the place reached, and the place of the first bad line or -1.
    """
    last = max(columns[0], columns[1], columns[2])
    row = 0
    while row < len(out):
        at = _skip_blanks(text, at, delimiter)
        if at >= len(text):
            break
        start = at
        comment = text[at] == 35 or (text[at] == 47 and at + 1 < len(text) and text[at + 1] == 47)
        if text[at] == 10 or comment:
            at = line_end(text, at) + 1
            continue
        token, value = 0, 0.0
        while token <= last and at < len(text) and text[at] != 10:
            wanted = token == columns[0] or token == columns[1] or token == columns[2]
            if text[at] == 44 or text[at] == 59 or text[at] == delimiter:
                value = np.nan
            else:
                value, behind = number_at(text, at)
                if behind < 0 and wanted:
                    return row, at, start
                at = token_end(text, at) if wanted else _cell_end(text, at, delimiter)
            for axis in range(3):
                if token == columns[axis]:
                    out[row, axis] = value
            token += 1
            at = _skip_blanks(text, at, delimiter)
            if at < len(text) and (text[at] == 44 or text[at] == 59 or text[at] == delimiter):
                at = _skip_blanks(text, at + 1, delimiter)
        if token > last:
            row += 1
        elif token == 1 and len(tally) and 0.0 <= value < 1e15 and value == np.floor(value):
            tally[0] += np.int64(value)
            tally[1] += 1
        else:
            return row, at, start
        at = line_end(text, at) + 1
    return row, min(at, len(text)), -1


@njit(cache=True, nogil=True)
def parse_tokens(text, at, out):  # type: ignore[no-untyped-def]
    """Every number from `at` on, whatever the lines, until `out` is full or the text ends.

    Returns:
        Numbers written, the place reached, and the place of the first token that is no number or -1.
    """
    count = 0
    while count < len(out):
        while at < len(text) and (is_blank(text[at]) or text[at] == 10):
            at += 1
        if at >= len(text):
            break
        value, behind = number_at(text, at)
        if behind < 0:
            return count, at, at
        out[count] = value
        count += 1
        at = behind
    return count, at, -1

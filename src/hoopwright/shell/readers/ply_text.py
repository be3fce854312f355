"""Rows of a text PLY file, as `ply_body` gives those of a binary one."""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hoopwright.shell.readers.numbers import Text, bad_line, parse_rows, parse_tokens
from hoopwright.shell.readers.ply_body import CHUNK_BYTES, Body
from hoopwright.shell.readers.ply_header import Element


def text_rows(body: Body, element: Element, wanted: tuple[int, ...]) -> Iterator[Any]:
    """The same as `binary_rows` for a text file.

    Raises:
        UserError: `SCAN-003` with the line that cannot be understood, or where rows are missing.
    """
    assert body.text is not None  # noqa: S101
    if element.count == 0 or not element.properties:
        return
    body.progress("reading text", min(1.0, body.at / body.size))
    if not element.has_lists:
        yield from _text_numbers(body, body.text, element, wanted)
        return
    tokens = np.empty((len(body.text) - body.at) // 2 + 1, dtype=np.float64)
    found, _, _ = parse_tokens(body.text, body.at, tokens)
    places = np.empty((element.count, max(1, len(wanted)), 2), dtype=np.int64)
    is_list = np.array([one.count_dtype is not None for one in element.properties])
    rows, reached = _walk_tokens(tokens[:found], is_list, np.array(wanted, dtype=np.int64), places)
    body.at = parse_tokens(body.text, body.at, np.empty(reached))[1]
    if rows < element.count:
        expected = f"row {rows} of {element.count} of '{element.name}'"
        raise bad_line(body.path, body.text, min(body.at, len(body.text) - 1), expected)
    if len(wanted) == 1:
        lengths = places[:, 0, 1]
        within = np.arange(int(lengths.sum())) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        yield lengths, tokens[np.repeat(places[:, 0, 0], lengths) + within]
    elif wanted:
        yield tokens[places[:, :, 0]]


def _text_numbers(
    body: Body, text: Text, element: Element, wanted: tuple[int, ...]
) -> Iterator[NDArray[np.float64]]:
    columns = np.array(wanted or (0, 0, len(element.properties) - 1), dtype=np.int64)
    step = CHUNK_BYTES // 24
    for start in range(0, element.count, step):
        out = np.empty((min(step, element.count - start), 3), dtype=np.float64)
        rows, at, bad = parse_rows(text, body.at, columns, 0, out, np.empty(0, dtype=np.int64))
        if bad >= 0 or rows < len(out):
            place = bad if bad >= 0 else len(text) - 1
            expected = f"row {start + rows} of {element.count} of '{element.name}'"
            raise bad_line(body.path, text, place, expected)
        body.at = int(at)
        if wanted:
            yield out


@njit(cache=True, nogil=True)
def _walk_tokens(tokens, is_list, wanted, places):  # type: ignore[no-untyped-def]
    """Place and length of each wanted property among the tokens; rows walked and the place reached."""
    at = np.int64(0)
    for row in range(len(places)):
        start = at
        for one in range(len(is_list)):
            length = np.int64(1)
            if is_list[one]:
                if at >= len(tokens) or not 0.0 <= tokens[at] <= len(tokens):
                    return row, start
                length = np.int64(tokens[at])
                at += 1
            for which in range(len(wanted)):
                if wanted[which] == one:
                    places[row, which, 0] = at
                    places[row, which, 1] = length
            at += length
            if at > len(tokens):
                return row, start
    return len(places), at

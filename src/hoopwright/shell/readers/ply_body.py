"""Rows of a binary PLY file: numbers wanted of an element, or its one list wanted, chunk by chunk."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hoopwright.progress import Progress
from hoopwright.shell.readers.numbers import Text, read_text
from hoopwright.shell.readers.ply_header import Element, Head
from hoopwright.shell.readers.refusals import damaged

CHUNK_BYTES = 1 << 25


@dataclass(kw_only=True)
class Body:
    """The file behind its head, read forward.

    Args:
        path: The file.
        order: `<` or `>`; empty for text.
        at: The place reached, in bytes of the file.
        size: The file's, in bytes.
        progress: Told how far it is.
        text: What is in it, for text.
    """

    path: Path
    order: str
    at: int
    size: int
    progress: Progress
    text: Text | None = None

    @staticmethod
    def open(path: Path, head: Head, progress: Progress) -> "Body":
        """The body at its start."""
        text = read_text(path) if head.order == "" else None
        size = path.stat().st_size
        return Body(path=path, order=head.order, at=head.size, size=size, progress=progress, text=text)


def binary_rows(body: Body, element: Element, wanted: tuple[int, ...]) -> Iterator[Any]:
    """Chunks of a binary element: (n, 3) numbers of three properties, or counts and corners of one list."""
    if element.count == 0 or not element.properties:
        return
    if not element.has_lists:
        yield from _fixed_rows(body, element, wanted)
        return
    lists = [place for place, one in enumerate(element.properties) if one.count_dtype is not None]
    done = 0
    if lists == list(wanted):
        for counts, flat in _equal_lists(body, element, wanted[0]):
            done += len(counts)
            yield counts, flat
    if done < element.count:
        yield from _uneven_rows(body, element, wanted, done)


def _fixed_rows(body: Body, element: Element, wanted: tuple[int, ...]) -> Iterator[NDArray[Any]]:
    row = np.dtype([(str(at), one.dtype) for at, one in enumerate(element.properties)])
    if not wanted:
        body.at += row.itemsize * element.count
        return
    step = max(1, CHUNK_BYTES // row.itemsize)
    with body.path.open("rb") as file:
        file.seek(body.at)
        for start in range(0, element.count, step):
            body.progress("reading points", body.at / body.size)
            rows = _records(body, file, row, min(step, element.count - start), element.name)
            chunk = [rows[str(at)] for at in wanted]
            kind = np.float32 if all(one.dtype.itemsize <= 4 for one in chunk) else np.float64
            if any(one.dtype.kind != "f" for one in chunk):
                kind = np.float64
            yield np.stack([one.astype(kind) for one in chunk], axis=1)


def _records(body: Body, file: BinaryIO, row: np.dtype[Any], count: int, name: str) -> NDArray[Any]:
    rows = np.fromfile(file, dtype=row, count=count)
    if len(rows) < count:
        raise damaged(
            body.path,
            f"the file ends at byte {body.size} in the rows of '{name}': expected {count}, found {len(rows)}",
        )
    body.at += row.itemsize * count
    return rows


def _equal_lists(body: Body, element: Element, place: int) -> Iterator[tuple[NDArray[Any], NDArray[Any]]]:
    """Chunks of rows for as long as every list is as long as the first one, which is the common case."""
    one = element.properties[place]
    assert one.count_dtype is not None  # noqa: S101
    before = sum(other.dtype.itemsize for other in element.properties[:place])
    with body.path.open("rb") as file:
        file.seek(body.at + before)
        first = np.fromfile(file, dtype=one.count_dtype, count=1)
        if len(first) == 0 or not 3 <= int(first[0]) <= 16:
            return
        length = int(first[0])
        fields: list[Any] = []
        for at, other in enumerate(element.properties):
            if at == place:
                fields += [("count", one.count_dtype), ("corners", one.dtype, (length,))]
            else:
                fields.append((str(at), other.dtype))
        row = np.dtype(fields)
        step = max(1, CHUNK_BYTES // row.itemsize)
        file.seek(body.at)
        left = element.count
        while left:
            body.progress("reading triangles", body.at / body.size)
            rows = np.fromfile(file, dtype=row, count=min(step, left))
            equal = rows["count"] == length
            good = len(rows) if equal.all() else int(np.argmin(equal))
            if good == 0:
                return
            yield rows["count"][:good], rows["corners"][:good].reshape(-1)
            body.at += good * row.itemsize
            left -= good
            if good < len(rows):
                return


def _uneven_rows(body: Body, element: Element, wanted: tuple[int, ...], done: int) -> Iterator[Any]:
    """The rest of an element whose rows differ in length."""
    with body.path.open("rb") as file:
        file.seek(body.at)
        data = np.fromfile(file, dtype=np.uint8)
    counts = [
        0
        if one.count_dtype is None
        else (-1 if one.count_dtype.kind == "i" else 1) * one.count_dtype.itemsize
        for one in element.properties
    ]
    places = np.empty((element.count - done, max(1, len(wanted)), 2), dtype=np.int64)
    rows, reached = _walk(
        data,
        np.array(counts, dtype=np.int64),
        np.array([one.dtype.itemsize for one in element.properties], dtype=np.int64),
        np.array(wanted, dtype=np.int64),
        body.order == ">",
        places,
    )
    if rows < len(places):
        raise damaged(
            body.path,
            f"row {done + rows} of '{element.name}', from byte {body.at + reached} on, is damaged or cut off "
            f"(expected {element.count} rows)",
        )
    body.at += int(reached)
    kinds = [element.properties[at].dtype for at in wanted]
    if len(wanted) == 1:
        lengths = places[:, 0, 1]
        yield lengths, _gather(data, places[:, 0, 0], lengths, kinds[0])
    elif wanted:
        ones = np.ones(len(places), dtype=np.int64)
        columns = [_gather(data, places[:, at, 0], ones, kind) for at, kind in enumerate(kinds)]
        yield np.stack([column.astype(np.float64) for column in columns], axis=1)


def _gather(
    data: NDArray[np.uint8], starts: NDArray[np.int64], lengths: NDArray[np.int64], kind: np.dtype[Any]
) -> NDArray[Any]:
    """Numbers from runs of `lengths` numbers that begin at the byte places `starts`."""
    taken = np.empty(int(lengths.sum()) * kind.itemsize, dtype=np.uint8)
    _copy_runs(data, starts, lengths * kind.itemsize, taken)
    return taken.view(kind)


@njit(cache=True, nogil=True)
def _copy_runs(data, starts, sizes, taken):  # type: ignore[no-untyped-def]
    at = 0
    for run in range(len(starts)):
        for byte in range(sizes[run]):
            taken[at] = data[starts[run] + byte]
            at += 1


@njit(cache=True, nogil=True)
def _walk(data, count_sizes, sizes, wanted, big, places):  # type: ignore[no-untyped-def]
    """Byte place and length of each wanted property; returns rows walked and the place reached.

    `count_sizes` is 0 for a plain number, and negative for a signed count.
    """
    at = 0
    for row in range(len(places)):
        start = at
        for one in range(len(sizes)):
            length, size = np.int64(1), count_sizes[one]
            if size != 0:
                width = abs(size)
                if at + width > len(data):
                    return row, start
                length = np.int64(0)
                for byte in range(width):
                    place = at + byte if big else at + width - 1 - byte
                    length = length * 256 + np.int64(data[place])
                if size < 0 and length >= np.int64(1) << (8 * width - 1):
                    return row, start
                at += width
            for which in range(len(wanted)):
                if wanted[which] == one:
                    places[row, which, 0] = at
                    places[row, which, 1] = length
            at += length * sizes[one]
            if at > len(data):
                return row, start
    return len(places), at

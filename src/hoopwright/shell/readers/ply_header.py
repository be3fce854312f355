"""The head of a PLY file: its elements and their properties."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from hoopwright.shell.readers.refusals import damaged

_TYPES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2",
    "ushort": "u2", "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4",
    "float": "f4", "float32": "f4", "double": "f8", "float64": "f8",
}  # fmt: skip
_LONGEST_HEAD = 1 << 20


@dataclass(frozen=True, kw_only=True)
class Property:
    """One property: a number, or a list.

    Args:
        name: As the head calls it.
        dtype: Of the number, or of each in the list.
        count_dtype: Of the list's count; None for a number.
    """

    name: str
    dtype: np.dtype[np.generic]
    count_dtype: np.dtype[np.generic] | None = None

    @property
    def least_bytes(self) -> int:
        """Bytes that one of it takes in a binary file, lists being empty."""
        return (self.count_dtype or self.dtype).itemsize


@dataclass(frozen=True, kw_only=True)
class Element:
    """One element: rows of the same properties.

    Args:
        name: As the head calls it, such as `vertex`.
        count: So many rows.
        properties: In the order of a row.
    """

    name: str
    count: int
    properties: tuple[Property, ...]

    @property
    def has_lists(self) -> bool:
        """Whether rows differ in length."""
        return any(one.count_dtype is not None for one in self.properties)

    @property
    def least_bytes(self) -> int:
        """Bytes that one row takes at least in a binary file."""
        return sum(one.least_bytes for one in self.properties)

    def place(self, *names: str) -> int | None:
        """Place of the first property that has one of the names."""
        found = (at for at, one in enumerate(self.properties) if one.name in names)
        return next(found, None)


@dataclass(frozen=True, kw_only=True)
class Head:
    """What a PLY head says.

    Args:
        order: `<` or `>` for the order of bytes; empty for text.
        elements: In the order of the file.
        size: Of the head, in bytes.
    """

    order: str
    elements: tuple[Element, ...]
    size: int

    def element(self, name: str) -> Element | None:
        """The element of that name."""
        return next((one for one in self.elements if one.name == name), None)


def read_head(path: Path) -> Head:
    """Read the head.

    Raises:
        UserError: `SCAN-003` with the line that cannot be understood.
    """
    with path.open("rb") as file:
        data = file.read(_LONGEST_HEAD)
    text, size = _head_text(path, data)
    order: str | None = None
    elements: list[Element] = []
    for number, line in enumerate(text.splitlines(), start=1):
        words = line.split()
        if not words or words[0] in ("ply", "comment", "obj_info"):
            continue
        try:
            if words[0] == "format":
                order = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}[words[1]]
            elif words[0] == "element":
                elements.append(_element(words))
            elif words[0] == "property" and order is not None:
                last = elements.pop()
                one = _property(words, order)
                elements.append(Element(name=last.name, count=last.count, properties=(*last.properties, one)))
            else:
                raise ValueError
        except (KeyError, ValueError, IndexError):
            shown = "".join(mark if mark.isprintable() else "?" for mark in line[:80])
            raise damaged(path, f"line {number} of the head cannot be understood: '{shown}'") from None
    if order is None:
        raise damaged(path, "the head has no line that begins with 'format'")
    return Head(order=order, elements=tuple(elements), size=size)


def _head_text(path: Path, data: bytes) -> tuple[str, int]:
    """The head as text and its size; lines may end in LF, CR LF or CR."""
    at = data.find(b"end_header")
    while at > 0 and data[at - 1] not in b"\r\n":
        at = data.find(b"end_header", at + 1)
    if at < 0:
        raise damaged(path, f"no line 'end_header' in the first {len(data)} bytes")
    end = at + len(b"end_header")
    while end < len(data) and data[end] in b" \t":
        end += 1
    if data[end : end + 1] == b"\r" and data[3:5] == b"\r\n":
        end += 1
    return data[:at].decode("ascii", "replace"), end + 1


def _element(words: list[str]) -> Element:
    count = int(words[2])
    if count < 0:
        raise ValueError
    return Element(name=words[1], count=count, properties=())


def _property(words: list[str], order: str) -> Property:
    if words[1] == "list":
        if words[2].startswith(("float", "double")):
            raise ValueError
        count = np.dtype(order + _TYPES[words[2]])
        return Property(name=words[4], dtype=np.dtype(order + _TYPES[words[3]]), count_dtype=count)
    return Property(name=words[2], dtype=np.dtype(order + _TYPES[words[1]]))

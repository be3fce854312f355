"""What a LAZ file says about its packing, held against the file: a wrong size there ends the process.

Source: LASzip, M. Isenburg: the record 22204 of `laszip encoded`, and the chunk table.
"""

import struct
from pathlib import Path
from types import MappingProxyType
from typing import BinaryIO

from hoopwright.shell.readers.refusals import damaged, refusal

_VLR = struct.Struct("<H16sHH32s")
_PACKING = struct.Struct("<HHBBHIIqqH")
_PACKING_RECORD = 22204
_LARGEST_CHUNK = 10_000_000
_VARIABLE = 0xFFFFFFFF
_CHUNKED = (2, 3)
_EXTRA_BYTES = 14
_LAYERS = MappingProxyType({10: 9, 11: 1, 12: 2, 13: 1})  # point, colour, colour with infrared, wave packet


def check_laz(path: Path, *, start: int, records: int, width: int, count: int) -> None:
    """Check the packing record, the chunk table and the sizes of the layers in each chunk.

    Args:
        path: The file.
        start: Where the points begin, in bytes.
        records: How many variable length records the header says.
        width: Bytes of one point as the header says.
        count: Points as the header says.

    Raises:
        UserError: `SCAN-002` or `SCAN-003`, and `SCAN-006` without lazrs.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        before = file.read(start)
        packing = _packing_record(before, records)
        if packing is None:
            raise damaged(path, f"the record that says how it is packed is not in its first {start} bytes")
        chunk_size, items = _packed_items(path, packing, width)
        table_at = int.from_bytes(file.read(8), "little", signed=True)
        if not start + 8 <= table_at <= size - 8:
            raise damaged(path, f"its chunk table should be at byte {table_at}, the file has {size} bytes")
        file.seek(table_at)
        chunks = struct.unpack("<II", file.read(8))[1]
        if chunks != -(-count // chunk_size) or chunks > size:
            raise damaged(path, f"expected {-(-count // chunk_size)} chunks of points, found {chunks}")
        file.seek(start)
        _check_chunks(path, file, packing, (start + 8, table_at), _layers(items), width)


def _packed_items(path: Path, packing: bytes, width: int) -> tuple[int, list[tuple[int, int]]]:
    """Points in a chunk, and kind and size of each packed field."""
    compressor, _, _, _, _, _, chunk_size, _, _, count = _PACKING.unpack_from(packing)
    there = min(count, (len(packing) - _PACKING.size) // 6)
    items = [struct.unpack_from("<HH", packing, _PACKING.size + 6 * item) for item in range(there)]
    if there < count or sum(size for _, size in items) != width:
        raise damaged(path, f"its packed fields take {sum(s for _, s in items)} bytes, a point {width} bytes")
    if compressor not in _CHUNKED or chunk_size == _VARIABLE:
        raise refusal(
            "SCAN-002", path, "it is packed in a rare way (not in chunks of one size)", "Save it as LAS."
        )
    if not 0 < chunk_size <= _LARGEST_CHUNK:
        raise damaged(path, f"it says that it is packed in chunks of {chunk_size} points")
    return chunk_size, [(kind, size) for kind, size in items]


def _layers(items: list[tuple[int, int]]) -> int:
    """How many layers a chunk of points of LAS 1.4 has; 0 for points of the older kinds."""
    return sum(size if kind == _EXTRA_BYTES else _LAYERS.get(kind, 0) for kind, size in items)


def _check_chunks(
    path: Path, file: BinaryIO, packing: bytes, span: tuple[int, int], layers: int, width: int
) -> None:
    """Chunks must fill the bytes from the first to the table, and layers their chunk."""
    import lazrs  # type: ignore[import-untyped]

    table = lazrs.read_chunk_table(file, lazrs.LazVlr(packing))
    at, end = span
    if sum(size for _, size in table) != end - at:
        raise damaged(path, f"its chunks take {sum(s for _, s in table)} bytes, expected {end - at}")
    for number, (_, size) in enumerate(table if layers else ()):
        file.seek(at + width)
        head = file.read(4 + 4 * layers)
        taken = width + len(head) + sum(struct.unpack(f"<{layers}I", head[4:])) if len(head) > 4 else 0
        if len(head) < 4 + 4 * layers or taken != size:
            raise damaged(path, f"chunk {number} at byte {at} has layers of {taken} bytes, expected {size}")
        at += size


def _packing_record(before: bytes, records: int) -> bytes | None:
    at = int.from_bytes(before[94:96], "little")
    for _ in range(records):
        if at + _VLR.size > len(before):
            return None
        _, user, number, length, _ = _VLR.unpack_from(before, at)
        data = before[at + _VLR.size : at + _VLR.size + length]
        if number == _PACKING_RECORD and user.startswith(b"laszip encoded"):
            return data if len(data) >= _PACKING.size else None
        at += _VLR.size + length
    return None

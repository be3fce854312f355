"""What a LAZ file says about its packing, held against the file: a wrong size there ends the process.

Source: LASzip, M. Isenburg: the record 22204 of `laszip encoded`, and the chunk table.
"""

import struct
from pathlib import Path

from hoopwright.shell.readers.refusals import check_room, damaged, refusal

_VLR = struct.Struct("<H16sHH32s")
_PACKING = struct.Struct("<HHBBHIIqqH")
_PACKING_RECORD = 22204
_LARGEST_CHUNK = 10_000_000
_VARIABLE = 0xFFFFFFFF
_CHUNKED = (2, 3)


def check_laz(path: Path, *, start: int, records: int, width: int, count: int) -> None:
    """Check the packing record and the chunk table.

    Args:
        path: The file.
        start: Where the points begin, in bytes.
        records: How many variable length records the header says.
        width: Bytes of one point as the header says.
        count: Points as the header says.

    Raises:
        UserError: `SCAN-002`, `SCAN-003` or `SCAN-009`.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        before = file.read(start)
        packing = _packing_record(before, records)
        if packing is None:
            raise damaged(path, f"the record that says how it is packed is not in its first {start} bytes")
        compressor, _, _, _, _, _, chunk_size, _, _, items = _PACKING.unpack_from(packing)
        sizes = [
            struct.unpack_from("<HHH", packing, _PACKING.size + 6 * item)[1]
            for item in range(min(items, (len(packing) - _PACKING.size) // 6))
        ]
        if len(sizes) < items or sum(sizes) != width:
            raise damaged(path, f"its packed fields take {sum(sizes)} bytes, a point {width} bytes")
        if compressor not in _CHUNKED or chunk_size == _VARIABLE:
            raise refusal(
                "SCAN-002", path, "it is packed in a rare way (not in chunks of one size)", "Save it as LAS."
            )
        if not 0 < chunk_size <= _LARGEST_CHUNK:
            raise damaged(path, f"it says that it is packed in chunks of {chunk_size} points")
        file.seek(start)
        table_at = int.from_bytes(file.read(8), "little", signed=True)
        if not start + 8 <= table_at <= size - 8:
            raise damaged(path, f"its chunk table should be at byte {table_at}, the file has {size} bytes")
        file.seek(table_at)
        chunks = struct.unpack("<II", file.read(8))[1]
    if chunks != -(-count // chunk_size):
        raise damaged(path, f"expected {-(-count // chunk_size)} chunks of points, found {chunks}")
    check_room(path, "chunks of points", chunks, 1, size)


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

"""LAS and LAZ, through laspy. The unit is stated only if the file carries geographic keys."""

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.progress import Progress
from hoopwright.shell.readers.gathering import as_scan, localise
from hoopwright.shell.readers.laz_check import check_laz
from hoopwright.shell.readers.refusals import check_room, damaged, library_guard, nothing_in_it, too_large
from hoopwright.shell.scan import Scan

_CHUNK = 500_000
_SHORTEST_HEAD = 227
_LEAST_VLR = 54
_DENSEST = 500
_SMALL = 100_000_000
# GeoTIFF 1.1 (OGC 19-008r4), ProjLinearUnitsGeoKey: metre, foot, US survey foot (2 in a million longer)
_LINEAR_UNITS_KEY = 3076
_LINEAR_UNITS = {9001: "m", 9002: "ft", 9003: "ft"}


def read_las(path: Path, progress: Progress) -> Scan:
    """Read the points of a LAS or LAZ file with the scale and offset of its header.

    Raises:
        UserError: `SCAN-003` to `SCAN-006` and `SCAN-009`.
    """
    with library_guard(path, "laspy"):
        _check_head(path)
        import laspy

        # the parallel one allocates whatever the chunk table says, and a failed allocation ends the process
        backend = laspy.LazBackend.Lazrs
        with laspy.open(path, laz_backend=backend, read_evlrs=False) as reader:
            points, offset = localise(_chunks(path, reader, progress))
            unit = _stated_unit(reader.header)
    declared = (unit, "the geographic keys in the file") if unit else (None, "")
    return as_scan(path, points, offset, declared=declared)


def _check_head(path: Path) -> None:
    """Hold the counts of the header against the size of the file.

    Source: ASPRS LAS 1.4 R15, public header block.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(375)
    if len(head) < _SHORTEST_HEAD:
        raise damaged(
            path, f"the file ends in its header: expected {_SHORTEST_HEAD} bytes, found {len(head)}"
        )
    minor = head[25]
    start, vlrs, kind, width, count = struct.unpack_from("<IIBHI", head, 96)
    if minor >= 4 and len(head) >= 255:
        count = struct.unpack_from("<Q", head, 247)[0] or count
    if count == 0:
        raise nothing_in_it(path, "its header says that there are no points in it")
    check_room(path, "records before the points", vlrs, _LEAST_VLR, size)
    if start > size:
        raise damaged(path, f"the points should begin at byte {start}, but the file has {size} bytes")
    if not kind & 0x80:
        check_room(path, "points", count, max(1, width), size - start)
    elif count * width > max(_SMALL, _DENSEST * size):
        raise too_large(
            path,
            f"the header says {count} points; packed into {size} bytes they could be no real scan",
            measured=float(count),
            limit=_DENSEST * size // max(1, width),
            unit="points",
        )
    else:
        check_laz(path, start=start, records=vlrs, width=width, count=count)


def _chunks(path: Path, reader: Any, progress: Progress) -> Iterator[NDArray[np.float64]]:
    total = reader.header.point_count
    scales, offsets = np.asarray(reader.header.scales), np.asarray(reader.header.offsets)
    done = 0
    while done < total:
        progress("reading points", done / total)
        chunk = reader.read_points(min(_CHUNK, total - done))
        if len(chunk) == 0 or len(chunk) < min(_CHUNK, total - done):
            raise damaged(path, f"the points end too early: expected {total}, found {done + len(chunk)}")
        done += len(chunk)
        with np.errstate(all="ignore"):
            raw = np.stack([np.asarray(chunk[axis]) for axis in "XYZ"], axis=1)
            yield raw * scales + offsets


def _stated_unit(header: Any) -> str | None:
    for record in header.vlrs.get("GeoKeyDirectoryVlr"):
        for key in record.geo_keys:
            if key.id == _LINEAR_UNITS_KEY and key.tiff_tag_location == 0:
                return _LINEAR_UNITS.get(int(key.value_offset))
    return None

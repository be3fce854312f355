"""E57, through pye57's binding of libE57. ASTM E2807 states metres."""

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.progress import Progress
from hoopwright.shell.readers.gathering import as_scan, localise, put_together
from hoopwright.shell.readers.refusals import check_room, damaged, library_guard, nothing_in_it, refusal
from hoopwright.shell.scan import Scan

_CHUNK = 1_000_000
_HEAD = struct.Struct("<8sIIQQQQ")
_CARTESIAN = ("cartesianX", "cartesianY", "cartesianZ")
_SPHERICAL = ("sphericalRange", "sphericalAzimuth", "sphericalElevation")


def read_e57(path: Path, progress: Progress) -> Scan:
    """Read every scan of an E57 file, put together by their poses; invalid points are left out.

    Raises:
        UserError: `SCAN-003` to `SCAN-006` and `SCAN-009`.
    """
    _check_head(path)
    read: list[int] = []
    with library_guard(path, "pye57"):
        from pye57 import libe57

        image = libe57.ImageFile(str(path), "r")
        try:
            points, offset = localise(_scans(path, libe57, image, read, progress))
        finally:
            image.close()
    if len(points) == 0:
        raise nothing_in_it(path, f"none of its {len(read)} scans has a valid point")
    return as_scan(
        path,
        points,
        offset,
        declared=("m", "the E57 standard, ASTM E2807"),
        findings=put_together(path, sum(1 for count in read if count)),
    )


def _check_head(path: Path) -> None:
    """Hold the file header against the file, and refuse XML that could grow.

    Source: ASTM E2807-11, file header: pages of 1024 bytes whose last 4 are a checksum.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(_HEAD.size)
        if len(head) < _HEAD.size:
            raise damaged(
                path, f"the file ends in its header: expected {_HEAD.size} bytes, found {len(head)}"
            )
        _, _, _, length, xml_at, xml_length, page = _HEAD.unpack(head)
        if length != size:
            raise damaged(path, f"the header says {length} bytes, the file has {size}")
        if page != 1024 or xml_at >= size or xml_length > size:
            raise damaged(path, f"the header places its XML at byte {xml_at}, {xml_length} bytes long")
        file.seek(xml_at - xml_at % page)
        pages = file.read(xml_length + xml_at % page + 4 * (xml_length // (page - 4) + 2))
    xml = b"".join(pages[at : at + page - 4] for at in range(0, len(pages), page))
    if b"<!DOCTYPE" in xml or b"<!ENTITY" in xml:
        raise damaged(path, f"the XML at byte {xml_at} defines entities, which E57 does not have")


def _scans(
    path: Path, libe57: Any, image: Any, read: list[int], progress: Progress
) -> Iterator[NDArray[np.float64]]:
    """Points of one scan after the other in the common frame; appends each scan's number of points."""
    root = image.root()
    data = root["data3D"] if root.isDefined("data3D") else ()
    for number in range(len(data)):
        progress("reading points", number / len(data))
        node = data[number]
        rotation, translation = _pose(path, node)
        read.append(0)
        if not node.isDefined("points"):
            continue
        for chunk in _points(path, libe57, image, node["points"], number):
            read[-1] += len(chunk)
            with np.errstate(all="ignore"):
                yield chunk @ rotation.T + translation
    if not read:
        raise nothing_in_it(path, "there is no scan in it")


def _pose(path: Path, node: Any) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Rotation (3, 3) and translation (3,) of a scan; the unit pose without one."""
    quaternion, translation = np.array([1.0, 0.0, 0.0, 0.0]), np.zeros(3)
    if node.isDefined("pose"):
        pose = node["pose"]
        if pose.isDefined("rotation"):
            quaternion = np.array([float(pose["rotation"][axis].value()) for axis in "wxyz"])
        if pose.isDefined("translation"):
            translation = np.array([float(pose["translation"][axis].value()) for axis in "xyz"])
    length = float(np.linalg.norm(quaternion))
    if not (np.isfinite(translation).all() and np.isfinite(length) and length > 1e-6):
        raise damaged(path, "a scan's pose is no rotation and translation")
    return _rotation(quaternion / length), translation


def _rotation(unit: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rotation matrix of a unit quaternion w, x, y, z."""
    w, x, y, z = unit
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )


def _points(path: Path, libe57: Any, image: Any, points: Any, number: int) -> Iterator[NDArray[np.float64]]:
    """Valid points of one scan in its own frame, chunk by chunk."""
    prototype = libe57.StructureNode(points.prototype())
    names = [prototype.get(at).elementName() for at in range(prototype.childCount())]
    cartesian = all(name in names for name in _CARTESIAN)
    if not cartesian and not all(name in names for name in _SPHERICAL):
        raise refusal(
            "SCAN-003",
            path,
            f"scan {number + 1} has neither cartesian nor spherical coordinates but {', '.join(names)[:200]}",
            "Export the scan with cartesian coordinates.",
        )
    axes = _CARTESIAN if cartesian else _SPHERICAL
    count = int(points.childCount())
    bits = sum(_least_bits(libe57, prototype[name]) for name in axes)
    check_room(path, f"points in scan {number + 1}", count, 1, 8 * path.stat().st_size // max(1, bits))
    if count == 0:
        return
    state = "cartesianInvalidState" if cartesian else "sphericalInvalidState"
    fields = [*axes, state] if state in names else [*axes]
    yield from _read(path, libe57, image, points, fields, count, cartesian)


def _least_bits(libe57: Any, node: Any) -> int:
    """Bits that one number of this kind takes; none where the prototype allows one value only."""
    if isinstance(node, libe57.FloatNode):
        return 32 if node.precision() == libe57.FloatPrecision.E57_SINGLE else 64
    return (int(node.maximum()) - int(node.minimum())).bit_length()


def _read(
    path: Path, libe57: Any, image: Any, points: Any, fields: list[str], count: int, cartesian: bool
) -> Iterator[NDArray[np.float64]]:
    size = min(count, _CHUNK)
    columns = {name: np.zeros(size, dtype=np.float64) for name in fields}
    buffers = libe57.VectorSourceDestBuffer()
    for name, column in columns.items():
        buffers.append(libe57.SourceDestBuffer(image, name, column, size, True, True))
    reader = points.reader(buffers)
    done = 0
    try:
        while done < count:
            found = int(reader.read())
            if found == 0:
                raise damaged(path, f"a scan ends too early: expected {count} points, found {done}")
            done += found
            xyz = np.stack([columns[name][:found] for name in fields[:3]], axis=1)
            if len(fields) == 4:
                xyz = xyz[columns[fields[3]][:found] == 0]
            yield xyz if cartesian else _from_spherical(xyz)
    finally:
        reader.close()


def _from_spherical(polar: NDArray[np.float64]) -> NDArray[np.float64]:
    """Range, azimuth and elevation (rad) to x, y, z. Source: ASTM E2807, coordinate systems."""
    with np.errstate(all="ignore"):
        flat = polar[:, 0] * np.cos(polar[:, 2])
        return np.stack(
            [flat * np.cos(polar[:, 1]), flat * np.sin(polar[:, 1]), polar[:, 0] * np.sin(polar[:, 2])],
            axis=1,
        )

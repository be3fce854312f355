"""From coordinates as they stand in the file to a scan: map offset, non-finite points, bad triangles."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity
from hoopwright.shell.readers.refusals import nothing_in_it, refusal
from hoopwright.shell.scan import Scan

FAR = 1e5
"""Coordinates beyond this, in file units, lose too much in float32: 1e5 mm keeps 0.008 mm."""

LARGEST = 1e9
"""Farthest from the middle of the scan that a point can be; beyond it is no measured point."""

_EARTH = 2e10
_OFFSET_STEP = 10.0
_SAMPLE = 100_000

Floats = NDArray[np.floating[Any]]


def far_offset(points: Floats) -> NDArray[np.float64]:
    """What to take off the coordinates: zeros unless the middle of the scan is `FAR` from the origin.

    Args:
        points: Shape (..., 3), in file units; non-finite ones do not count.

    Returns:
        Shape (3,), whole tens of the file's unit.
    """
    flat = points[:: max(1, len(points) // _SAMPLE)].astype(np.float64).reshape(-1, 3)
    flat = flat[(np.abs(flat) <= _EARTH).all(axis=1)]
    if len(flat) == 0:
        return np.zeros(3)
    middle = np.median(flat, axis=0)
    if np.abs(middle).max() <= FAR:
        return np.zeros(3)
    return np.asarray(np.round(middle / _OFFSET_STEP) * _OFFSET_STEP + 0.0)


def localise(
    chunks: Iterable[Floats], count: int | None = None
) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """Put chunks of coordinates together as float32, less an offset if they are far from the origin.

    Args:
        chunks: Arrays of shape (..., 3) in file units.
        count: How many points there are in all, if that is known and was held against the file's size.

    Returns:
        Points (n, 3) and the offset (3,), which the first chunk with finite points decides.
    """
    offset: NDArray[np.float64] | None = None
    whole = np.empty((count or 0, 3), dtype=np.float32)
    parts: list[NDArray[np.float32]] = []
    filled = 0
    for chunk in chunks:
        if offset is None and np.isfinite(chunk).all(axis=-1).any():
            offset = far_offset(chunk)
        size = chunk.size // 3
        if count is None:
            parts.append(np.empty((size, 3), dtype=np.float32))
        target = whole[filled : filled + size] if count is not None else parts[-1]
        with np.errstate(all="ignore"):
            local = chunk if offset is None or not offset.any() else chunk.astype(np.float64) - offset
            target.reshape(chunk.shape)[...] = local
        filled += size
    points = whole[:filled] if count is not None else np.concatenate([whole, *parts])
    return points, np.zeros(3) if offset is None else offset


def usable_points(points: NDArray[np.float32]) -> NDArray[np.bool_] | None:
    """Which points are finite and within `LARGEST`, shape (n,); None if all are."""
    if len(points) == 0 or (points.min() >= -LARGEST and points.max() <= LARGEST):
        return None
    return np.asarray((np.abs(points) <= LARGEST).all(axis=1))


def non_finite(path: Path, what: str, left_out: int, total: int) -> Finding:
    """`SCAN-005`: so many points or triangles are no numbers.

    Raises:
        UserError: `SCAN-005` if there is nothing else.
    """
    where = f"{left_out} of {total} {what} have coordinates that are no numbers or over {LARGEST:.0e}"
    if left_out == total:
        raise refusal("SCAN-005", path, where, "Export the scan again.", measured=left_out, unit=what)
    return Finding(
        code="SCAN-005",
        sentence=f"{path.name}: {where}; they were left out.",
        todo="If that is more than a few, look at the scan where it was made.",
        objects=(str(path),),
        measured=left_out,
        limit=0,
        unit=what,
    )


def put_together(path: Path, scans: int) -> tuple[Finding, ...]:
    """`SCAN-008`: several scans were put together; nothing for a single one."""
    if scans < 2:
        return ()
    return (
        Finding(
            code="SCAN-008",
            severity=Severity.NOTE,
            sentence=f"{path.name}: {scans} scans in the file were put together by the poses in the file.",
            objects=(str(path),),
            measured=scans,
            unit="scans",
        ),
    )


def as_scan(
    path: Path,
    points: NDArray[np.float32],
    offset: NDArray[np.float64],
    triangles: NDArray[np.integer[Any]] | None = None,
    *,
    declared: tuple[str | None, str] = (None, ""),
    findings: tuple[Finding, ...] = (),
) -> Scan:
    """The scan without what cannot be used, and findings that count what was left out.

    Args:
        path: The file.
        points: Shape (n, 3), less the offset; may be non-finite.
        offset: Shape (3,).
        triangles: Shape (m, 3), any integers; None or m = 0 for a cloud.
        declared: The unit that the file or its standard states, and where.
        findings: What the reader found before.

    Raises:
        UserError: `SCAN-004` if nothing is left or no triangle of a mesh can be used, `SCAN-005` if no
            point is finite.
    """
    if len(points) == 0:
        raise nothing_in_it(path)
    faces = np.empty((0, 3), dtype=np.int32) if triangles is None else triangles
    found = list(findings)
    good = _sound(faces, len(points))
    if good is not None:
        found.append(_bad_triangles(path, len(faces) - int(good.sum()), len(faces)))
        faces = faces[good]
    usable = usable_points(points)
    if usable is not None:
        found.append(non_finite(path, "points", len(points) - int(usable.sum()), len(points)))
        places = np.cumsum(usable, dtype=np.int64) - 1
        faces = places[faces[usable[faces].all(axis=1)]]
        points = points[usable]
        if len(faces) == 0 and triangles is not None and len(triangles):
            raise nothing_in_it(path, "no triangle in it has three finite corners")
    if offset.any():
        found.append(_offset_note(path, offset))
    return Scan(
        points=points,
        triangles=np.ascontiguousarray(faces, dtype=np.int32),
        offset=offset,
        declared_unit=declared[0],
        declared_by=declared[1],
        source_name=path.name,
        findings=tuple(found),
    )


def _sound(faces: NDArray[np.integer[Any]], count: int) -> NDArray[np.bool_] | None:
    """Which triangles have three different corners among the points; None if all have."""
    if len(faces) == 0:
        return None
    a, b, c = faces[:, 0], faces[:, 1], faces[:, 2]
    good = (a != b) & (b != c) & (c != a)
    if faces.min() < 0 or faces.max() >= count:
        good &= ((faces >= 0) & (faces < count)).all(axis=1)
    return None if good.all() else np.asarray(good)


def _bad_triangles(path: Path, left_out: int, total: int) -> Finding:
    what = f"{left_out} of {total} triangles have a corner twice or one that is not in the file"
    if left_out == total:
        raise nothing_in_it(path, what)
    return Finding(
        code="SCAN-007",
        sentence=f"{path.name}: {what}; they were left out.",
        todo="A few are harmless; if there are many, export the scan again.",
        objects=(str(path),),
        measured=left_out,
        limit=0,
        unit="triangles",
    )


def _offset_note(path: Path, offset: NDArray[np.float64]) -> Finding:
    x, y, z = (float(value) for value in offset)
    return Finding(
        code="SCAN-010",
        severity=Severity.NOTE,
        sentence=f"{path.name}: the coordinates are far from the origin; "
        f"x {x:.0f}, y {y:.0f}, z {z:.0f} (in the file's unit) was taken off.",
        objects=(str(path),),
    )

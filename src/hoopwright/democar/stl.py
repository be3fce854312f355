"""Writing the demo scan as binary STL."""

import os
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import MM_PER_UNIT

_RECORD = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (9,)), ("attribute", "<u2")])
_CHUNK = 1_000_000


def write_binary_stl(path: Path, triangles_mm: NDArray[np.float32], *, unit: str = "mm") -> None:
    """Write triangles; the file itself cannot say its unit.

    The normals are left at zero, as many scanners leave them. Written beside and renamed, so that no half
    file stays under the name.

    Args:
        path: The file.
        triangles_mm: Shape (n, 3, 3), mm.
        unit: Unit of the numbers in the file: mm, cm, m, in or ft.

    Raises:
        UserError: `DEMO-002` for a unit it does not know, `DEMO-003` when the file cannot be written.

    Source: the layout (80 bytes, a count, 50 bytes for each triangle) is that of 3D Systems,
    StereoLithography Interface Specification, 1988.
    """
    if unit not in MM_PER_UNIT:
        raise _refusal("DEMO-002", path, f"'{unit}' is no unit of length", f"Use {', '.join(MM_PER_UNIT)}.")
    beside = path.with_name(path.name + ".part")
    try:
        with beside.open("wb") as out:
            out.write(b"scan of a stripped body shell".ljust(80))
            out.write(np.array(len(triangles_mm), dtype="<u4").tobytes())
            for first in range(0, len(triangles_mm), _CHUNK):
                part = triangles_mm[first : first + _CHUNK]
                records = np.zeros(len(part), dtype=_RECORD)
                records["corners"] = part.reshape(-1, 9) / np.float32(MM_PER_UNIT[unit])
                out.write(records.data)
            out.flush()
            os.fsync(out.fileno())
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        why = error.strerror or "it cannot be written"
        raise _refusal("DEMO-003", path, why, "Check the folder and the room on the disk.") from None


def _refusal(code: str, path: Path, what: str, todo: str) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{path.name} was not written: {what}.",
            todo=todo,
            objects=(path.name,),
        )
    )

"""Scan files of every kind, read into one form."""

from collections.abc import Callable
from pathlib import Path

from hoopwright.progress import Progress, silent
from hoopwright.shell.readers.e57 import read_e57
from hoopwright.shell.readers.glb import read_glb
from hoopwright.shell.readers.kinds import HEAD_BYTES, kind_of
from hoopwright.shell.readers.las import read_las
from hoopwright.shell.readers.obj import read_obj
from hoopwright.shell.readers.ply import read_ply
from hoopwright.shell.readers.ptx import read_ptx
from hoopwright.shell.readers.refusals import library_guard, nothing_in_it, open_failure, refusal
from hoopwright.shell.readers.stl import read_stl
from hoopwright.shell.readers.xyz import read_xyz
from hoopwright.shell.scan import Scan

__all__ = ["read_scan"]


def read_scan(path: Path, *, progress: Progress = silent) -> Scan:
    """Read a scan file: STL, PLY, OBJ, GLB, E57, LAS/LAZ, PTX, or points as text (XYZ, PTS, TXT, CSV).

    What is in the file decides how it is read; the suffix counts only where that leaves a doubt.

    Args:
        path: The file.
        progress: Called with what is being done and the share that is done.

    Raises:
        UserError: `SCAN-001` cannot be opened, `SCAN-002` unknown kind, `SCAN-003` cut short or damaged,
            `SCAN-004` empty, `SCAN-005` no finite point, `SCAN-006` library missing, `SCAN-009` too large.
    """
    path = Path(path)
    try:
        if path.is_dir():
            raise refusal("SCAN-001", path, "it is a folder", "Name the scan file in it.")
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
        size = path.stat().st_size
        if size == 0:
            raise nothing_in_it(path, "the file has no bytes")
        kind = kind_of(path, head, size)
        progress(f"reading {path.name}", 0.0)
        with library_guard(path, "numpy"):
            scan = _reader(kind)(path, progress)
    except OSError as error:
        raise open_failure(path, error) from None
    progress(f"reading {path.name}", 1.0)
    return scan


def _reader(kind: str) -> Callable[[Path, Progress], Scan]:
    readers: dict[str, Callable[[Path, Progress], Scan]] = {
        "stl": read_stl,
        "ply": read_ply,
        "obj": read_obj,
        "glb": read_glb,
        "e57": read_e57,
        "las": read_las,
        "xyz": read_xyz,
        "ptx": read_ptx,
    }
    return readers[kind]

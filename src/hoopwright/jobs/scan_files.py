"""What kind of scan a file is, by what is in it, before it is read."""

from pathlib import Path

from hoopwright.shell.readers.kinds import HEAD_BYTES, kind_of
from hoopwright.shell.readers.refusals import nothing_in_it, open_failure


def scan_kind(file: Path) -> str:
    """One of `stl`, `ply`, `obj`, `glb`, `e57`, `las`, `xyz` and `ptx`; only the head of the file is read.

    Raises:
        UserError: `SCAN-001` it cannot be opened, `SCAN-002` it is no scan, `SCAN-004` it is empty.
    """
    try:
        with file.open("rb") as opened:
            head = opened.read(HEAD_BYTES)
        size = file.stat().st_size
    except OSError as error:
        raise open_failure(file, error) from None
    if size == 0:
        raise nothing_in_it(file, "the file has no bytes")
    return kind_of(file, head, size)

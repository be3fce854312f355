"""Putting a made file in its place only when it is whole."""

import os
import tempfile
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError


def replace_file(path: Path, content: bytes) -> None:
    """Write to a name beside `path`, sync, then rename; what was there stays until then.

    Raises:
        UserError: `PAPER-001` when the folder is missing or cannot be written.
    """
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise _unwritable(path, error) from error
    aside = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        aside.chmod(0o644)
        aside.replace(path)
    except OSError as error:
        aside.unlink(missing_ok=True)
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: OSError) -> UserError:
    return UserError(
        Finding(
            code="PAPER-001",
            severity=Severity.STOP,
            sentence=f"{path} cannot be written: {error.strerror or error}.",
            todo="Make the folder, free some room, or close the program that holds the file.",
            objects=(str(path),),
        )
    )

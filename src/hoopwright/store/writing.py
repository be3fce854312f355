"""Writing that leaves either the old file or the new one, whatever happens in between."""

import contextlib
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError


def write_whole(path: Path, content: bytes) -> None:
    """Write to a temporary name in the same folder, sync, rename.

    Raises:
        UserError: `STORE-002` when the disk is full or the folder cannot be written; the old file stays.
    """
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        temporary = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(_usual_mode())
        temporary.replace(path)
        sync_folder(path.parent)
    except OSError as error:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        raise not_written(path, error) from error


def not_written(path: Path, error: OSError) -> UserError:
    """The stop for a file that could not be written."""
    return UserError(
        Finding(
            code="STORE-002",
            severity=Severity.STOP,
            sentence=f"{path.name} could not be written: {error.strerror or error}. What was there before is "
            "untouched.",
            todo="Free some space or choose a folder that can be written, and try again.",
            objects=(str(path),),
        )
    )


def not_made(path: Path, error: OSError) -> UserError:
    """The stop for a file or folder that could not be made anew."""
    return UserError(
        Finding(
            code="STORE-002",
            severity=Severity.STOP,
            sentence=f"{path} could not be written: {error.strerror or error}.",
            todo="Free some space or choose a folder that can be written.",
            objects=(str(path),),
        )
    )


def make_folder(path: Path) -> None:
    """Make a folder where there is none.

    Raises:
        UserError: `STORE-002` when it cannot be made, or a file is in its place.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise not_written(path, error) from error


def _usual_mode() -> int:
    """The mode that a plainly created file would have; a temporary file is made for its owner alone."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def sync_folder(folder: Path) -> None:
    """See that the names in a folder outlive a power cut."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        # the new file is in its place already: a folder that cannot be synced is no reason to say that it is not
        with contextlib.suppress(OSError):
            os.fsync(handle)
    finally:
        os.close(handle)


@contextlib.contextmanager
def one_at_a_time(folder: Path) -> Iterator[None]:
    """Hold the folder's lock; the system lets it go when a process dies.

    Raises:
        UserError: `STORE-002` when the folder, or something in it, cannot be read or written.
    """
    try:
        with (folder / ".lock").open("a+b") as file:
            _lock(file.fileno())
            try:
                yield
            finally:
                _unlock(file.fileno())
    except OSError as error:
        raise not_written(folder, error) from error


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_LOCK, 1)

    def _unlock(handle: int) -> None:
        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX)

    def _unlock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)


def refuse_there(path: Path) -> None:
    """Stop where something would be overwritten.

    Raises:
        UserError: `SHOP-031`.
    """
    if path.exists():
        raise UserError(
            Finding(
                code="SHOP-031",
                severity=Severity.STOP,
                sentence=f"{path} is there already; it was not overwritten.",
                todo="Choose another name.",
                objects=(str(path),),
            )
        )

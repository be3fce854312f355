"""Writing several files so that all change or none."""

import contextlib
import errno
import os
import secrets
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from hoopwright.store.writing import not_written, write_whole


@contextlib.contextmanager
def all_or_nothing(contents: Mapping[Path, bytes]) -> Iterator[Callable[[], None]]:
    """Write several files beside their places; calling what is yielded renames them all in.

    Args:
        contents: What belongs in each file. Folders are made.

    Raises:
        UserError: `STORE-002` when one cannot be written. Without the call, or after an error, no file has changed.
    """
    mark = secrets.token_hex(4)  # two windows at once must not share a part
    parts: dict[Path, Path] = {}
    try:
        for path, content in contents.items():
            parts[path] = path.with_name(f".{path.name}.{mark}.part")
            _refuse_folder(path)
            write_whole(_with_folder(parts[path]), content)
        yield lambda: _put_in_place(parts)
    finally:
        for part in parts.values():
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)


def _refuse_folder(path: Path) -> None:
    """A folder in a file's place is found before anything is recorded, not when the files are renamed in."""
    if path.is_dir():
        raise not_written(path, IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR)))


def _put_in_place(parts: Mapping[Path, Path]) -> None:
    for path, part in parts.items():
        part.replace(path)


def _with_folder(path: Path) -> Path:
    """The path, its folder made; where that fails, writing says why."""
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
    return path

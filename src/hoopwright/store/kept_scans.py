"""Scans as given, kept in a project's folder under a name that their content gives."""

import contextlib
import hashlib
import shutil
from pathlib import Path

from hoopwright.store.writing import not_made


def keep_scan(scans: Path, source: Path, sha256: str) -> str:
    """Copy a scan as given; a damaged copy is replaced.

    Args:
        scans: The folder to keep it in.
        source: The file.
        sha256: Of its content, as 64 hex digits.

    Returns:
        Its name in the folder.

    Raises:
        UserError: `STORE-002` when it cannot be written.
    """
    name = f"{sha256[:12]}{source.suffix.lower()}"
    target = scans / name
    part = target.with_suffix(target.suffix + ".part")
    try:
        if target.exists() and _content_hash(target) == sha256:
            return name
        scans.mkdir(exist_ok=True)
        shutil.copyfile(source, part)
        part.replace(target)
    except OSError as error:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise not_made(target, error) from error
    return name


def _content_hash(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

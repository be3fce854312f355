"""Whether files have changed, without reading them."""

import hashlib
from collections.abc import Iterable
from pathlib import Path


def stamp_of_files(paths: Iterable[Path]) -> str:
    """Another one whenever a file was written, added or taken out; no file is read.

    Args:
        paths: The files; one that is not there is left out.
    """
    told = []
    for path in paths:
        try:
            state = path.stat()
        except OSError:
            continue
        told.append(f"{path.name} {state.st_mtime_ns} {state.st_size}")
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:16]

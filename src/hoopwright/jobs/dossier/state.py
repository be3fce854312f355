"""The hash of the state that the file is made from."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from hoopwright.bender import TubeBatch
from hoopwright.papers.dossier import RuleLine
from hoopwright.store import ProjectFolder
from hoopwright.store.folder import Opened

MADE_OF = (
    "the project file, the sample bends, the records of bending, the photos, the shop's data of the tube batches "
    "and the lines of the rule book, as they were when this was made"
)


def files_of(folder: ProjectFolder, opened: Opened) -> dict[str, Any]:
    """Hashes of a project and of the files beside it that its file is made from.

    Args:
        folder: The project's folder.
        opened: The project as it was read; it names the scan by its own hash.
    """
    return {
        "project": hashlib.sha256(opened.content).hexdigest(),
        "sample bends": _hashes(folder.calibrations, "*.toml"),
        "bending": _hashes(folder.bending, "*.jsonl"),
        "photos": {photo.file: _hash(folder.photos / photo.file) for photo in opened.project.photos},
    }


def state_of(files: Mapping[str, Any], batches: Mapping[str, TubeBatch], rules: Sequence[RuleLine]) -> str:
    """SHA-256 of the state of a project, as 64 hex digits.

    Args:
        files: Hashes of its files, from before they were read.
        batches: Tube batches of the shop that bars were cut from, by name.
        rules: Lines of the pinned book.
    """
    made_of = {
        **files,
        "batches": {name: repr(batch) for name, batch in sorted(batches.items())},
        "rules": [repr(line) for line in rules],
    }
    text = json.dumps(made_of, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _hashes(folder: Path, pattern: str) -> dict[str, str]:
    return {path.name: _hash(path) for path in sorted(folder.glob(pattern))}


def _hash(path: Path) -> str:
    """Of a file's content; empty where it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""

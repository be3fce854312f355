"""The hash of the state that the file is made from."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from hoopwright.bender import TubeBatch
from hoopwright.papers.dossier import RuleLine
from hoopwright.store import ProjectFolder

MADE_OF = (
    "the project file, the sample bends, the records of bending, the photos, the shop's data of the tube batches "
    "and the lines of the rule book, as they were when this was made"
)


def state_of(folder: ProjectFolder, batches: Mapping[str, TubeBatch], rules: Sequence[RuleLine]) -> str:
    """SHA-256 of the state of a project, as 64 hex digits.

    Args:
        folder: The project; its file names the scan by its own hash.
        batches: Tube batches of the shop that bars were cut from, by name.
        rules: Lines of the pinned book.

    Raises:
        UserError: `STORE-...` for a project that cannot be opened.
    """
    opened = folder.open()
    made_of = {
        "project": hashlib.sha256(opened.content).hexdigest(),
        "sample bends": _hashes(folder.calibrations, "*.toml"),
        "bending": _hashes(folder.bending, "*.jsonl"),
        "photos": {photo.file: _hash(folder.photos / photo.file) for photo in opened.project.photos},
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

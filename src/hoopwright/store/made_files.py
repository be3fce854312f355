"""What was made in a folder: each file with its content's hash, so that nothing else there is ever overwritten."""

import contextlib
import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.together import all_or_nothing

MADE_LIST = "made-files.json"
_VERSION = 1
_SHOWN = 5


@dataclass(frozen=True, kw_only=True)
class MadeFile:
    """A file that was made.

    Args:
        name: Relative to the folder, with forward slashes.
        kind: Which kind of paper it is.
        sha256: Of its content.
        identity: Of what it was made from.
        date: Day of making, ISO 8601.
    """

    name: str
    kind: str
    sha256: str
    identity: str
    date: str


def content_sha256(content: bytes) -> str:
    """The hash by which a made file is known again."""
    return hashlib.sha256(content).hexdigest()


def read_made(folder: Path) -> dict[str, MadeFile]:
    """The files made in a folder, by name; nothing where none was, or where the list cannot be read."""
    try:
        kept = json.loads((folder / MADE_LIST).read_text(encoding="utf-8"))
        files = [MadeFile(**keys) for keys in kept["files"]]
    except (OSError, ValueError, KeyError, TypeError):
        return {}
    return {file.name: file for file in files}


def refuse_foreign(folder: Path, contents: Mapping[str, bytes], made: Mapping[str, MadeFile]) -> None:
    """See that every file that would be overwritten is as it was made here, or holds what is to be written.

    Args:
        folder: Where.
        contents: What is to be written, by name.
        made: What was made there.

    Raises:
        UserError: `FILE-103` for files that came from elsewhere, or were changed since.
    """
    foreign = [
        name
        for name, content in contents.items()
        if not _may_be_overwritten(folder / name, content, made.get(name))
    ]
    if not foreign:
        return
    shown = ", ".join(foreign[:_SHOWN]) + (
        f" and {len(foreign) - _SHOWN} more" if len(foreign) > _SHOWN else ""
    )
    raise UserError(
        Finding(
            code="FILE-103",
            severity=Severity.STOP,
            sentence=f"In {folder} are files that were not made here, or were changed since: {shown}. Nothing was "
            "written.",
            todo="Move or rename them if you want to keep them, else delete them; or name another folder (--out).",
            objects=tuple(foreign),
            measured=float(len(foreign)),
            limit=0.0,
        )
    )


def _may_be_overwritten(path: Path, content: bytes, made: MadeFile | None) -> bool:
    if not path.exists():
        return True
    try:
        there = path.read_bytes()
    except OSError:
        return False
    return there == content or (made is not None and made.sha256 == content_sha256(there))


def put_in_folder(
    folder: Path, contents: Mapping[str, bytes], made: Mapping[str, MadeFile], gone: Iterable[str] = ()
) -> None:
    """Write files and the list of what was made, all or none; what is gone moves to `old`.

    Args:
        folder: Where; it is made where it is not there.
        contents: What belongs in each file, by name.
        made: All that the folder holds afterwards.
        gone: Names that are made no more.

    Raises:
        UserError: `STORE-002` when one cannot be written. No file has changed then.
    """
    leaving = {name: (folder / name).read_bytes() for name in gone if (folder / name).is_file()}
    old = {folder / "old" / name: content for name, content in leaving.items()}
    files = [vars(made[name]) for name in sorted(made)]
    listed = json.dumps({"version": _VERSION, "files": files}, indent=1, ensure_ascii=False).encode()
    new = {folder / name: content for name, content in contents.items()}
    with all_or_nothing({**new, **old, folder / MADE_LIST: listed}) as put_in_place:
        put_in_place()
    for name in leaving:
        with contextlib.suppress(OSError):
            (folder / name).unlink()

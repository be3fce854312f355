"""A recording of cuts that is under way: what the shop is about to be told, and the project after it.

The shop and the project are two places that cannot be written as one. What is to be written stands in the project first
and is taken away last, so that whoever looks next can tell how far it went.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bender import Stick, record_as_keys, record_from_keys
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.build_records import TubeUsed
from hoopwright.store.folder import PROJECT_FILE, ProjectFolder
from hoopwright.store.schema import to_json
from hoopwright.store.writing import make_folder, not_written, one_at_a_time, write_whole

_FILE = "taking.json"
_FORMAT = 1


@dataclass(frozen=True, kw_only=True)
class Taking:
    """A recording of cuts, or the taking back of one.

    Args:
        key: Its own; it stands in the note of each stick, so that the shop tells whether it has it.
        back: Whether it takes one back.
        plan: Identity of the plan.
        shop: Where the shop is, as it is printed.
        sticks: Sticks as the shop is to have them.
        offcuts: What is left of them, likewise.
        tubes: What the project is to have.
        known: How many tubes the project had on record before.
    """

    key: str
    back: bool
    plan: str
    shop: str
    sticks: tuple[Stick, ...]
    offcuts: tuple[Stick, ...]
    tubes: tuple[TubeUsed, ...]
    known: int


def taking_file(folder: ProjectFolder) -> Path:
    """Where a recording that is under way stands."""
    return folder.stock / _FILE


@contextmanager
def taking_locked(folder: ProjectFolder) -> Iterator[None]:
    """Hold the lock of recordings of cuts, so that what stands there under it was broken off.

    Raises:
        UserError: `STORE-002` when the folder cannot be written.
    """
    make_folder(folder.stock)
    with one_at_a_time(folder.stock):
        yield


def read_taking(folder: ProjectFolder) -> Taking | None:
    """The recording that was not finished; None where there is none.

    Raises:
        UserError: `STORE-013` for a file that is damaged or was changed by hand.
    """
    file = taking_file(folder)
    try:
        kept = json.loads(file.read_bytes())
        if kept["format"] != _FORMAT:
            raise _unreadable(file, f"it is of format {kept['format']}, and this version reads {_FORMAT}")
        return Taking(
            key=str(kept["key"]),
            back=bool(kept["back"]),
            plan=str(kept["plan"]),
            shop=str(kept["shop"]),
            sticks=tuple(record_from_keys(Stick, keys, file.name) for keys in kept["sticks"]),
            offcuts=tuple(record_from_keys(Stick, keys, file.name) for keys in kept["offcuts"]),
            tubes=tuple(TubeUsed(**keys) for keys in kept["tubes_used"]),
            known=int(kept["known"]),
        )
    except FileNotFoundError:
        return None
    except OSError as error:
        raise not_written(file, error) from error
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise _unreadable(file, f"it cannot be read ({error!r})") from error


def begin_taking(folder: ProjectFolder, taking: Taking) -> None:
    """Bring to the disk what is to be recorded; the caller holds the lock.

    Raises:
        UserError: `STORE-002`.
    """
    keys = {
        "format": _FORMAT,
        "key": taking.key,
        "back": taking.back,
        "plan": taking.plan,
        "shop": taking.shop,
        "sticks": [record_as_keys(stick) for stick in taking.sticks],
        "offcuts": [record_as_keys(stick) for stick in taking.offcuts],
        "tubes_used": [vars(used) for used in taking.tubes],
        "known": taking.known,
    }
    write_whole(taking_file(folder), json.dumps(keys, indent=1, allow_nan=False).encode())


def keep_tubes(folder: ProjectFolder, taking: Taking) -> None:
    """Give the project its tubes, once however often it is asked; other windows may save meanwhile.

    Raises:
        UserError: `STORE-002` when it cannot be written; `STORE-003` to `STORE-005` when it cannot be read.
    """
    with one_at_a_time(folder.path):
        opened = folder.open()
        since = opened.project.tubes_used[taking.known :]
        # records are only ever added, so what this recording added lies behind those that were known
        missing = tuple(used for used in taking.tubes if used not in since)
        if not missing:
            return
        project = replace(opened.project, tubes_used=(*opened.project.tubes_used, *missing))
        write_whole(folder.path / PROJECT_FILE, to_json(project, opened.step))


def end_taking(folder: ProjectFolder) -> None:
    """Take away what was recorded, or what came to nothing.

    Raises:
        UserError: `STORE-002`.
    """
    file = taking_file(folder)
    try:
        file.unlink(missing_ok=True)
    except OSError as error:
        raise not_written(file, error) from error


def _unreadable(file: Path, why: str) -> UserError:
    return UserError(
        Finding(
            code="STORE-013",
            severity=Severity.STOP,
            sentence=f"{file} tells of a recording of cuts that was broken off, and {why}.",
            todo="Look at 'hoopwright stick show --used' for what the shop has of it, say what is missing with "
            "'hoopwright bar cut-from', then take that file away.",
            objects=(str(file),),
        )
    )

"""Scans that come from a browser: streamed to the project's own folder, with limits of size and kind."""

import asyncio
import contextlib
import secrets
import shutil
import time
from collections.abc import AsyncIterator, Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.scan_files import scan_kind
from hoopwright.store import ProjectFolder

SUFFIXES = (
    *(".stl", ".ply", ".obj", ".glb", ".e57", ".las", ".laz", ".ptx"),
    *(".pts", ".xyz", ".txt", ".csv", ".asc", ".tsv"),
)
LARGEST_BYTES = 4 * 1024**3
_A_MB = 1_000_000
_KEPT_FREE_BYTES = 512 * 1024**2
_WRITTEN_BYTES = 4 * 1024**2
_LONGEST_NAME = 80
_STALE_S = 24 * 3600.0


@dataclass(frozen=True, kw_only=True)
class FileKind:
    """A kind of file that a page takes.

    Args:
        what: In words.
        suffixes: Ends of names.
        largest_bytes: Largest that is taken; None takes what the uploads say.
        look: Looks into the file and stops on what it is not; None where that is done when it is used.
    """

    what: str
    suffixes: tuple[str, ...]
    largest_bytes: int | None = None
    look: Callable[[Path], object] | None = None


SCAN = FileKind(what="scan", suffixes=SUFFIXES, look=scan_kind)
PHOTO = FileKind(what="photo", suffixes=(".jpg", ".jpeg", ".png"), largest_bytes=60 * _A_MB)
BOOK = FileKind(what="rule book", suffixes=(".toml",), largest_bytes=_A_MB)
KINDS: Mapping[str, FileKind] = MappingProxyType({"photo": PHOTO, "book": BOOK})


@dataclass(frozen=True, kw_only=True)
class Arrived:
    """A file that came whole and waits to be taken in.

    Args:
        token: Names it towards the page; nothing else does.
        name: Name that it came with, cleaned; for words only.
        size_bytes: Its size.
    """

    token: str
    name: str
    size_bytes: int


class Uploads:
    """Files that came from browsers and wait to be taken in.

    Args:
        folder: The project; files wait in its `scans/incoming`.
        largest_bytes: Largest file that is taken.
    """

    def __init__(self, folder: ProjectFolder, *, largest_bytes: int = LARGEST_BYTES) -> None:
        self.folder = folder
        self.largest_bytes = largest_bytes
        self._waiting: dict[str, Path] = {}

    @property
    def place(self) -> Path:
        """Where files wait."""
        return self.folder.scans / "incoming"

    def sweep(self) -> None:
        """Throw away what a server that stopped in the middle left behind a day ago or longer."""
        for own in self.place.glob("*"):
            with contextlib.suppress(OSError):
                if time.time() - own.stat().st_mtime > _STALE_S:
                    shutil.rmtree(own)

    async def receive(
        self, name: str, said_bytes: int | None, chunks: AsyncIterator[bytes], kind: FileKind = SCAN
    ) -> Arrived:
        """Write a file as it comes; of one that is refused nothing is kept.

        Args:
            name: Name that the browser says; only its last part, cleaned, is used.
            said_bytes: Size that the browser says, or None.
            chunks: The file.
            kind: What it must be.

        Raises:
            UserError: `WEB-040` not of the kind by its name, `WEB-041` too large, `WEB-042` cut short,
                `WEB-043` no room; `SCAN-002`, `SCAN-004` by what is in it.
        """
        clean = cleaned_name(name)
        if Path(clean).suffix.lower() not in kind.suffixes:
            raise _refused(
                "WEB-040", clean, f"its name ends in no kind of {kind.what} that is read", _kinds(kind)
            )
        most = self.largest_bytes if kind.largest_bytes is None else kind.largest_bytes
        self._check_size(clean, said_bytes or 0, most)
        token = secrets.token_urlsafe(18)
        own = self.place / token
        file = own / clean
        try:
            own.mkdir(parents=True)
            size = await self._write(file, clean, chunks, most)
            if said_bytes is not None and size != said_bytes:
                raise _cut_short(clean, size, said_bytes)
            if kind.look is not None:
                await asyncio.to_thread(kind.look, file)
        except BaseException as error:
            # a browser that went away cancels: what came of the file goes too
            shutil.rmtree(own, ignore_errors=True)
            if isinstance(error, OSError):
                raise _no_room(clean, error.strerror or str(error)) from error
            raise
        self._waiting[token] = file
        return Arrived(token=token, name=clean, size_bytes=size)

    def file_of(self, token: str) -> Path:
        """The waiting file of a token.

        Raises:
            UserError: `WEB-044` when there is none.
        """
        file = self._waiting.get(token)
        if file is None or not file.is_file():
            raise UserError(
                Finding(
                    code="WEB-044",
                    severity=Severity.STOP,
                    sentence="The file that was sent is not waiting here any more.",
                    todo="Drop it on the page again.",
                )
            )
        return file

    @contextlib.contextmanager
    def waiting(self, token: str) -> Iterator[Path]:
        """The waiting file of a token, which is thrown away behind it, however it ends; raises as `file_of`."""
        try:
            yield self.file_of(token)
        finally:
            self.done(token)

    def done(self, token: str) -> None:
        """Throw a waiting file away; the project keeps its own copy of what was taken in."""
        file = self._waiting.pop(token, None)
        if file is not None:
            shutil.rmtree(file.parent, ignore_errors=True)
            with contextlib.suppress(OSError):
                self.place.rmdir()

    async def _write(self, file: Path, name: str, chunks: AsyncIterator[bytes], most: int) -> int:
        size, gathered = 0, bytearray()
        with file.open("xb") as out:
            async for chunk in chunks:
                size += len(chunk)
                self._check_size(name, size, most, room=False)
                gathered += chunk
                if len(gathered) >= _WRITTEN_BYTES:
                    await asyncio.to_thread(out.write, bytes(gathered))
                    gathered.clear()
            await asyncio.to_thread(out.write, bytes(gathered))
        return size

    def _check_size(self, name: str, size_bytes: int, most_bytes: int, *, room: bool = True) -> None:
        if size_bytes > most_bytes:
            raise _too_large(name, size_bytes, most_bytes)
        if not room:
            return
        free = shutil.disk_usage(self.folder.path).free
        # the project keeps a copy of the file and a cache of about its size
        if 3 * size_bytes + _KEPT_FREE_BYTES > free:
            raise _no_room(
                name, f"{_gb(free)} GB are free, {_gb(3 * size_bytes + _KEPT_FREE_BYTES)} are needed"
            )


def cleaned_name(name: str) -> str:
    """The last part of a file's name, of letters, digits and a few signs: no path, never hidden, never long."""
    last = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(sign if sign.isalnum() or sign in "._- ()" else "_" for sign in last).strip(" .")
    stem, suffix = Path(kept).stem, Path(kept).suffix
    return f"{stem[: _LONGEST_NAME - len(suffix)]}{suffix}" or "scan"


def _refused(
    code: str,
    name: str,
    what: str,
    todo: str,
    *,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "",
) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{name} was not taken: {what}.",
            todo=todo,
            objects=(name,),
            measured=measured,
            limit=limit,
            unit=unit,
        )
    )


def _kinds(kind: FileKind) -> str:
    return f"Save the {kind.what} as one of {', '.join(kind.suffixes)}."


def _too_large(name: str, size_bytes: int, limit_bytes: int) -> UserError:
    return _refused(
        "WEB-041",
        name,
        f"it has {_gb(size_bytes)} GB, the limit is {_gb(limit_bytes)} GB",
        "Make it smaller: thin a scan where it was made, or type its path on this machine.",
        measured=size_bytes / 1e9,
        limit=limit_bytes / 1e9,
        unit="GB",
    )


def _cut_short(name: str, size_bytes: int, said_bytes: int) -> UserError:
    return _refused(
        "WEB-042",
        name,
        f"{size_bytes} bytes came of {said_bytes}",
        "Drop it on the page again.",
        measured=float(size_bytes),
        limit=float(said_bytes),
        unit="bytes",
    )


def _no_room(name: str, why: str) -> UserError:
    return _refused("WEB-043", name, f"it cannot be kept in the project's folder: {why}", "Free some space.")


def _gb(size_bytes: int) -> str:
    return f"{size_bytes / 1e9:.1f}" if size_bytes >= 1e9 else f"{size_bytes / 1e9:.4f}"

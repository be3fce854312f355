"""Rule books at hand: those that come with the tool, those of a project, and single files; copied and pinned."""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.rules import reading
from hoopwright.rules.book import Book
from hoopwright.rules.reading import read_book
from hoopwright.rules.starters import new_book
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import BookPin
from hoopwright.store.writing import make_folder, write_whole

_ID_LINE = re.compile(r"^(?P<head>\s*id\s*=\s*)(?P<value>\"[^\"\n]*\"|'[^'\n]*')", re.MULTILINE)
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,79}")


@dataclass(frozen=True, kw_only=True)
class BookFile:
    """A book's file.

    Args:
        path: The file.
        is_own: Whether it is the project's or the person's own, and did not come with the tool.
    """

    path: Path
    is_own: bool

    @property
    def sha256(self) -> str:
        """Hash of its content."""
        return hashlib.sha256(self.path.read_bytes()).hexdigest()


@dataclass(frozen=True, kw_only=True)
class ListedBook:
    """A book in the list.

    Args:
        file: Its file.
        book: The book; None where it cannot be read.
        is_pinned: Whether the project is held to it.
        findings: Why it cannot be read, or what to know of it.
    """

    file: BookFile
    book: Book | None
    is_pinned: bool
    findings: tuple[Finding, ...] = ()


def list_books(folder: ProjectFolder | None = None) -> tuple[ListedBook, ...]:
    """Every book at hand; one that cannot be read is listed with why.

    Args:
        folder: A project, whose own books and pin are listed too.

    Raises:
        UserError: `STORE-...` for a project that cannot be opened.
    """
    pin = None if folder is None else folder.open().project.book
    listed = []
    for file in _files(folder):
        try:
            book = read_book(file.path)
        except UserError as error:
            told = tuple(replace(found, severity=Severity.WARNING) for found in error.findings)
            listed.append(ListedBook(file=file, book=None, is_pinned=False, findings=told))
            continue
        is_pinned = pin is not None and book.book_id == pin.book_id
        listed.append(ListedBook(file=file, book=book, is_pinned=is_pinned, findings=_misnamed(file, book)))
    return tuple(listed)


def find_book(name: str, folder: ProjectFolder | None = None) -> tuple[Book, BookFile]:
    """A book by its name, or by its file.

    A project's own book goes before one of the same name that came with the tool.

    Args:
        name: As `rules list` has it, or a path to a file.
        folder: A project whose own books count too.

    Raises:
        UserError: `HELD-010` where there is none; `RULE-...` for a book that cannot be read.
    """
    path = Path(name)
    if path.suffix.lower() == ".toml" and not path.is_file() and folder is not None:
        path = books_folder(folder) / path.name
    if path.is_file():
        return read_book(path), BookFile(path=path, is_own=True)
    for file in _files(folder):
        if file.path.stem == name:
            return read_book(file.path), file
    known = ", ".join(dict.fromkeys(file.path.stem for file in _files(folder))) or "none"
    raise UserError(
        Finding(
            code="HELD-010",
            severity=Severity.STOP,
            sentence=f"There is no rule book '{name[:80]}', neither a file nor one of the list.",
            todo=f"The books are: {known}.",
            objects=(name[:80],),
        )
    )


def copy_book(name: str, new: str, folder: ProjectFolder | None = None) -> BookFile:
    """Copy a book under a new name, to be changed: into a project's own books, or to a file.

    The copy's `id` is its new name, so that it and the book that it came from stay side by side.

    Args:
        name: The book.
        new: Its new name or file.
        folder: The project that gets it; without one, `new` is a path.

    Raises:
        UserError: `HELD-010`; `HELD-011` for a name that cannot be, or a file that is there already.
    """
    _, file = find_book(name, folder)
    target = _place_for(new, folder)
    text = file.path.read_text(encoding="utf-8-sig")
    copied = _ID_LINE.sub(lambda match: f'{match["head"]}"{target.stem}"', text, count=1)
    make_folder(target.parent)
    write_whole(target, copied.encode())
    return BookFile(path=target, is_own=True)


def begin_book(folder: ProjectFolder, name: str) -> BookFile:
    """Begin a book of the project's own: a head and a first rule, which is off until it was changed.

    Args:
        folder: The project that gets it.
        name: Its name.

    Raises:
        UserError: `HELD-011` for a name that cannot be, or a book that is there already.
    """
    target = _place_for(name, folder)
    make_folder(target.parent)
    write_whole(target, new_book(target.stem).encode())
    return BookFile(path=target, is_own=True)


def _place_for(new: str, folder: ProjectFolder | None) -> Path:
    """Where a book of that name or file goes."""
    target = Path(new) if Path(new).suffix.lower() == ".toml" else Path(f"{new}.toml")
    if folder is not None:
        target = books_folder(folder) / target.name
    if not _NAME.fullmatch(target.stem) or target.exists():
        raise UserError(
            Finding(
                code="HELD-011",
                severity=Severity.STOP,
                sentence=f"The book cannot be called '{target.name[:80]}': "
                + ("that file is there already." if target.exists() else "that is no name for a book."),
                todo="Take another name of letters, digits, points and dashes.",
                objects=(target.name[:80],),
            )
        )
    return target


def pin_book(folder: ProjectFolder, name: str) -> BookPin:
    """Hold a project to one edition of one book; a file from elsewhere is copied into the project's books first.

    What was confirmed stays only where it is the same book and edition again.

    Raises:
        UserError: `HELD-010`, `HELD-011`, `RULE-...`.
    """
    opened = folder.open()
    book, file = find_book(name, folder)
    elsewhere = file.path.resolve().parent != books_folder(folder).resolve()
    # a project finds its book by the name of the file
    if file.is_own and (elsewhere or file.path.stem != book.book_id):
        file = _taken_in(folder, book, file)
    old = opened.project.book
    known = {rule.rule_id for rule in book.rules}
    confirmed = tuple(one for one in (old.confirmed if is_pinned(old, book) and old else ()) if one in known)
    pin = BookPin(book_id=book.book_id, edition=book.edition, sha256=file.sha256, confirmed=confirmed)
    folder.save(opened, replace(opened.project, book=pin))
    return pin


def take_book_in(folder: ProjectFolder, file: Path) -> BookFile:
    """Copy a book's file into a project's own books; nothing is pinned by it.

    Raises:
        UserError: `RULE-...` for a file that is no book; `HELD-011` where the project has that book in another edition.
    """
    return _taken_in(folder, read_book(file), BookFile(path=file, is_own=True))


def is_pinned(pin: BookPin | None, book: Book) -> bool:
    """Whether a project is held to this edition of this book."""
    return pin is not None and (pin.book_id, pin.edition) == (book.book_id, book.edition)


def confirmed_of(pin: BookPin | None, book: Book) -> frozenset[str]:
    """Rules that the person compared with the book; none where the project is held to another book or edition."""
    return frozenset(pin.confirmed) if pin is not None and is_pinned(pin, book) else frozenset()


def books_folder(folder: ProjectFolder) -> Path:
    """Where a project's own books are."""
    return folder.path / "books"


def text_stamp(folder: ProjectFolder, pin: BookPin | None) -> int:
    """A number that changes when the project's text of its book is written; 0 where it has none of its own."""
    if pin is None:
        return 0
    try:
        return (books_folder(folder) / f"{pin.book_id}.toml").stat().st_mtime_ns
    except OSError:
        return 0


def pinned_book(folder: ProjectFolder, pin: BookPin) -> tuple[Book, tuple[Finding, ...]]:
    """The book that a project is held to.

    Returns:
        The book, and `HELD-012` where its file was changed since it was pinned.

    Raises:
        UserError: `HELD-010` where it is gone; `HELD-013` where the file now holds another edition than the pinned
            one, since answers and confirmed rules are of that; `RULE-...`.
    """
    book, file = find_book(pin.book_id, folder)
    if book.edition != pin.edition or book.book_id != pin.book_id:
        raise UserError(
            Finding(
                code="HELD-013",
                severity=Severity.STOP,
                sentence=f"The project is held to {pin.book_id}, edition {pin.edition}, but {file.path.name} now holds "
                f"{book.book_id}, edition {book.edition}: two editions are never mixed.",
                todo=f"Put the pinned edition back, or pin this one: 'hoopwright rules pin PROJECT {file.path.stem}'.",
                objects=(file.path.name,),
            )
        )
    if file.sha256 == pin.sha256:
        return book, ()
    return book, (
        Finding(
            code="HELD-012",
            sentence=f"The file of {pin.book_id}, edition {pin.edition}, was changed since it was pinned.",
            todo="Look at what changed; 'hoopwright rules pin PROJECT BOOK' says that it counts.",
            objects=(pin.book_id,),
        ),
    )


def _taken_in(folder: ProjectFolder, book: Book, file: BookFile) -> BookFile:
    """The project's copy of a book; one of the same edition takes the place of an earlier copy, which is kept aside."""
    target = books_folder(folder) / f"{book.book_id}.toml"
    content = file.path.read_bytes()
    make_folder(target.parent)
    if target.exists() and target.read_bytes() != content:
        _refuse_other_edition(target, book, file)
        aside = target.parent / "replaced"
        make_folder(aside)
        before = BookFile(path=target, is_own=True)
        write_whole(aside / f"{book.book_id}-{before.sha256[:8]}.toml", target.read_bytes())
    write_whole(target, content)
    return BookFile(path=target, is_own=True)


def _refuse_other_edition(target: Path, book: Book, file: BookFile) -> None:
    try:
        there = read_book(target)
    except UserError:
        return
    if there.edition != book.edition:
        raise UserError(
            Finding(
                code="HELD-011",
                severity=Severity.STOP,
                sentence=f"The project has '{book.book_id}' of edition {there.edition} already, and {file.path.name} "
                f"is of edition {book.edition}.",
                todo="Editions lie side by side: give the new one an id of its own.",
                objects=(book.book_id,),
            )
        )


def _files(folder: ProjectFolder | None) -> Iterator[BookFile]:
    if folder is not None:
        yield from (BookFile(path=path, is_own=True) for path in sorted(books_folder(folder).glob("*.toml")))
    shipped = Path(reading.__file__).parent / "books"
    yield from (BookFile(path=path, is_own=False) for path in sorted(shipped.glob("*.toml")))


def _misnamed(file: BookFile, book: Book) -> tuple[Finding, ...]:
    if book.book_id == file.path.stem:
        return ()
    return (
        Finding(
            code="HELD-014",
            sentence=f"{file.path.name} holds the book '{book.book_id}': it is found by the name of its file alone.",
            todo=f"Name the file {book.book_id}.toml, or change its id.",
            objects=(file.path.name,),
        ),
    )

"""Rule books and rates as texts that a person edits: shown, tried, and kept when they hold."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.quotes import read_rates
from hoopwright.jobs.rule_books import books_folder, find_book
from hoopwright.rules.cases import check_cases
from hoopwright.rules.reading import book_from_text
from hoopwright.rules.starters import Starter, starters, with_rule
from hoopwright.stock.rate_files import rates_from_bytes, rates_template, rates_with_sizes
from hoopwright.store import ProjectFolder
from hoopwright.store.rates_place import own_rates_file, rates_file
from hoopwright.store.writing import make_folder, write_whole

_SHORT = 8


@dataclass(frozen=True, kw_only=True)
class TypedText:
    """A text file as it is on the disk now.

    Args:
        file: Where it is, or will be.
        text: What is in it.
        sha256: Hash of its content; empty while there is no such file.
    """

    file: Path
    text: str
    sha256: str


def book_text(folder: ProjectFolder, name: str) -> TypedText:
    """The text of one of a project's own books, readable as a book or not.

    Args:
        folder: The project.
        name: Name of its file without the ending.

    Raises:
        UserError: `HELD-010` for a book that the project does not have; `WEB-121` for a file that is no text.
    """
    file = books_folder(folder) / f"{name}.toml"
    if not file.is_file() or file.parent != books_folder(folder):
        find_book(name, folder)  # tells which there are, where there is none at all
        raise UserError(
            Finding(
                code="WEB-121",
                severity=Severity.STOP,
                sentence=f"The book '{name}' came with the tool and is not changed.",
                todo="Copy it as the project's own, and change the copy.",
                objects=(name,),
            )
        )
    return _read(file)


def book_faults(text: str, name: str) -> tuple[Finding, ...]:
    """What is wrong with the text of a book, in the order of its lines; nothing where it can be kept.

    Args:
        text: As typed.
        name: Name of its file without the ending.
    """
    try:
        book = book_from_text(text, f"{name}.toml")
    except UserError as error:
        return error.findings
    return tuple(
        Finding(
            code="WEB-122",
            severity=Severity.STOP,
            sentence=f"{name}.toml, line {one.line}: the case '{one.case}' of rule '{one.rule_id}' does not end as it "
            "says.",
            todo="Correct the limit or the case, whichever the book says otherwise.",
            objects=(name, one.rule_id),
        )
        for one in check_cases(book)
    )


def keep_book_text(folder: ProjectFolder, name: str, text: str, *, was: str) -> TypedText:
    """Keep the text of a project's own book; the one before is put aside in `books/replaced`.

    Args:
        folder: The project.
        name: Name of its file without the ending.
        text: As typed.
        was: Hash of the text that the person began from.

    Raises:
        UserError: What `book_faults` lists; `WEB-120` where the file was changed meanwhile. Nothing is written then.
    """
    now = book_text(folder, name)
    aside = books_folder(folder) / "replaced" / f"{name}-{now.sha256[:_SHORT]}.toml"
    return _keep(now, text, was, lambda typed: book_faults(typed, name), aside)


def kinds_of_rules() -> tuple[Starter, ...]:
    """Every kind of rule that a book may have, with a first text of it and its keys."""
    return starters()


def put_rule_in(text: str, kind: str) -> str:
    """A book's text with one more rule at its end, off until what the book says was typed in it.

    Args:
        text: The book as typed so far.
        kind: One of `kinds_of_rules`.
    """
    return with_rule(text, next(one for one in starters() if one.kind == kind))


def rates_text(folder: ProjectFolder) -> TypedText:
    """The rates that count for a project as a text, or a form to fill in for the person's own where there are none.

    A size of the project that the rates do not have stands at the end, to be priced.

    Raises:
        UserError: `COST-020` when they cannot be read.
    """
    file = rates_file(folder.path)
    members = folder.open().project.cage.members
    tubes = sorted({(member.tube, member.steel) for member in members})
    if file is not None:
        if file.is_file():
            now = _read(file)
            return replace(now, text=rates_with_sizes(now.text, tubes))
        read_rates(file)
    return TypedText(file=own_rates_file(), text=rates_template(tubes), sha256="")


def rates_faults(text: str, name: str) -> tuple[Finding, ...]:
    """What is wrong with the text of rates; nothing where it can be kept."""
    try:
        rates_from_bytes(text.encode(), name)
    except UserError as error:
        return error.findings
    return ()


def keep_rates_text(folder: ProjectFolder, text: str, *, was: str) -> TypedText:
    """Keep the rates where they are; the ones before lie beside them, with `.before` in the name.

    Args:
        folder: The project.
        text: As typed.
        was: Hash of the text that the person began from; empty where there was no file.

    Raises:
        UserError: What `rates_faults` lists; `WEB-120` where they were changed meanwhile; `STORE-...`.
    """
    now = rates_text(folder)
    aside = now.file.with_name(f"{now.file.stem}.before{now.file.suffix}")
    return _keep(now, text, was, lambda typed: rates_faults(typed, now.file.name), aside)


def _keep(
    now: TypedText, text: str, was: str, faults: Callable[[str], tuple[Finding, ...]], aside: Path
) -> TypedText:
    if now.sha256 != was:
        raise UserError(
            Finding(
                code="WEB-120",
                severity=Severity.STOP,
                sentence=f"{now.file.name} was changed elsewhere since this window read it; nothing was overwritten.",
                todo="What you typed is still here: copy what you want to keep, then read the file again.",
                objects=(now.file.name,),
            )
        )
    wrong = faults(text)
    if wrong:
        raise UserError(*wrong)
    content = text.encode()
    if now.sha256 and hashlib.sha256(content).hexdigest() != now.sha256:
        make_folder(aside.parent)
        write_whole(aside, now.file.read_bytes())
    make_folder(now.file.parent)
    write_whole(now.file, content)
    return _read(now.file)


def _read(file: Path) -> TypedText:
    try:
        content = file.read_bytes()
        text = content.decode("utf-8-sig").replace("\r\n", "\n")
    except (OSError, UnicodeDecodeError):
        raise UserError(
            Finding(
                code="WEB-121",
                severity=Severity.STOP,
                sentence=f"{file.name} cannot be shown as a text.",
                todo="Save it as plain text, UTF-8.",
                objects=(file.name,),
            )
        ) from None
    return TypedText(file=file, text=text, sha256=hashlib.sha256(content).hexdigest())

"""Rule books looked at: their rules in words, and what becomes of each clause."""

from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding
from hoopwright.jobs.rule_answers import no_book
from hoopwright.jobs.rule_books import confirmed_of, find_book, pinned_book
from hoopwright.jobs.rule_checks import BookReport, hold_to_book
from hoopwright.jobs.rule_findings import mixed_editions
from hoopwright.progress import Progress, silent
from hoopwright.rules.book import Book, Rule
from hoopwright.rules.coverage import CoverageRow
from hoopwright.rules.coverage import coverage as clauses_of
from hoopwright.rules.engine import is_off
from hoopwright.rules.kinds.registry import KINDS
from hoopwright.rules.show import Show
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder


@dataclass(frozen=True, kw_only=True)
class ShownRule:
    """One rule in words.

    Args:
        rule: The rule.
        requirement: Its limits in words.
        is_off: Whether it is off until confirmed.
    """

    rule: Rule
    requirement: str
    is_off: bool


@dataclass(frozen=True, kw_only=True)
class ShownBook:
    """A book in words.

    Args:
        book: The book.
        rules: Its rules.
        clauses: What becomes of each clause.
        findings: What to know of it.
    """

    book: Book
    rules: tuple[ShownRule, ...]
    clauses: tuple[CoverageRow, ...]
    findings: tuple[Finding, ...] = ()


def is_project(what: str) -> bool:
    """Whether a word names a project's folder, and not a book."""
    return ProjectFolder(path=Path(what)).holds_project and not Path(what).is_file()


def shown_book(what: str, folder: ProjectFolder | None = None) -> ShownBook:
    """A book by name or file, or the one that a project is held to, in words.

    Args:
        what: A book, or a project's folder.
        folder: A project whose own books count too, and by whose pin rules are on.

    Raises:
        UserError: `HELD-010`, `HELD-013`, `HELD-018`, `RULE-...`.
    """
    told: tuple[Finding, ...] = ()
    if is_project(what):
        folder = ProjectFolder(path=Path(what))
        pin = folder.open().project.book
        if pin is None:
            raise no_book()
        book, told = pinned_book(folder, pin)
    else:
        book, _ = find_book(what, folder)
        pin = None if folder is None else folder.open().project.book
    confirmed = confirmed_of(pin, book)
    show = Show(unit=book.unit, weight_unit=book.weight_unit)
    rules = tuple(
        ShownRule(
            rule=rule, requirement=KINDS[rule.kind].words(rule.limits, show), is_off=is_off(rule, confirmed)
        )
        for rule in book.rules
    )
    return ShownBook(
        book=book,
        rules=rules,
        clauses=clauses_of(book, confirmed=confirmed),
        findings=(*told, *mixed_editions(book)),
    )


def pinned_in_words(folder: ProjectFolder) -> ShownBook:
    """The book that a project is held to, in words.

    Raises:
        UserError: As `shown_book`.
    """
    return shown_book(str(folder.path))


def covered(what: str) -> ShownBook:
    """What becomes of each clause of a book, or of the book that a project is held to.

    Raises:
        UserError: As `shown_book`.
    """
    return shown_book(what)


def held_or_stop(
    folder: ProjectFolder,
    *,
    book: str | None = None,
    whole: Shell | None = None,
    before: BookReport | None = None,
    progress: Progress = silent,
) -> BookReport:
    """A project held to its book, or to another one.

    Args:
        folder: The project.
        book: Another book to try.
        whole: Its shell without holes, where that is open already.
        before: What it was held to before, as `hold_to_book` has it.
        progress: Told how far it is.

    Raises:
        UserError: `HELD-018` where none is pinned and none is named, and what `hold_to_book` raises.
    """
    report = hold_to_book(folder, book=book, whole=whole, before=before, progress=progress)
    if report is None:
        raise no_book()
    return report

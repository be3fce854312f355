"""A project held to a rule book: the pinned one, or another to try."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from hoopwright.findings import Finding, Severity, UserError, Verdict
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rows import CheckRow
from hoopwright.jobs.rule_books import confirmed_of, find_book, is_pinned, pinned_book
from hoopwright.jobs.rule_facts.cabin import CABIN_MEASURES
from hoopwright.jobs.rule_facts.taken import TakenFacts, take_facts
from hoopwright.jobs.rule_findings import failed, left_open, mixed_editions, page_words, unused_answers
from hoopwright.progress import Progress, silent
from hoopwright.rules.book import Book, Rule
from hoopwright.rules.demanded import with_demanded
from hoopwright.rules.engine import ByHand, cage_findings, check_book, is_off
from hoopwright.rules.facts import Facts
from hoopwright.rules.rows import RuleRow
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder

_PLATE, _BOLTS = "plate", "bolt spacing"


@dataclass(frozen=True, eq=False, kw_only=True)
class BookReport:
    """A project held to a book.

    Args:
        book: The book.
        is_pinned: Whether the project is pinned to it, and not only tried against it.
        rows: Every rule held against everything that it looks at, in the order of the book.
        confirmed: Rules that the person confirmed.
        findings: What fails, and what else a person should know.
        known: The facts that it was held against, to hold them to it again after an answer; None where there are none.
    """

    book: Book
    is_pinned: bool
    rows: tuple[RuleRow, ...]
    confirmed: frozenset[str]
    findings: tuple[Finding, ...]
    known: TakenFacts | None = None


def hold_to_book(
    folder: ProjectFolder,
    *,
    book: str | None = None,
    project: Project | None = None,
    whole: Shell | None = None,
    landed: tuple[LandedFoot, ...] | None = None,
    before: BookReport | None = None,
    progress: Progress = silent,
) -> BookReport | None:
    """Hold a project to the book that it is pinned to, or to another by name or file.

    Args:
        folder: The project.
        book: Another book to try; nothing is pinned by it. Answers and confirmed rules count where it is the pinned
            edition itself.
        project: The project, where it is open already.
        whole: Its shell without holes, where that is open already.
        landed: All its feet with their landings, where those were fitted already.
        before: What it was held to before: where only answers or confirmed rules differ since, nothing is measured
            anew.
        progress: Told how far it is.

    Returns:
        None where none is pinned and none was named.

    Raises:
        UserError: `HELD-010`, `HELD-013`, `RULE-...`, and what stops the project from being read.
    """
    project = folder.open().project if project is None else project
    found = _book(folder, project, book)
    if found is None:
        return None
    taken, told = found
    confirmed = confirmed_of(project.book, taken)
    on = [rule for rule in taken.rules if not is_off(rule, confirmed)]
    known = take_facts(
        folder,
        project,
        before=None if before is None else before.known,
        whole=whole,
        landed=landed,
        fits_plates=any(_asks_plates(rule) for rule in on),
        measures_cabin=any(getattr(rule.limits, "of", "") in CABIN_MEASURES for rule in on),
        progress=progress,
    )
    return replace(report_of(project, taken, known.facts, (*told, *known.findings)), known=known)


def _asks_plates(rule: Rule) -> bool:
    return rule.kind == _PLATE or getattr(rule.limits, "of", "") == _BOLTS


def report_of(project: Project, book: Book, facts: Facts, told: Iterable[Finding] = ()) -> BookReport:
    """A book held against facts that are at hand.

    Args:
        project: Its pin, confirmed rules and answers.
        book: The book.
        facts: What is known of the project.
        told: Findings to go with the report.
    """
    pin = project.book
    confirmed = confirmed_of(pin, book)
    answers, others = _answers(project, book)
    facts = with_demanded(book, facts, confirmed=confirmed, answers=answers)
    rows = check_book(book, facts, confirmed=confirmed, answers=answers)
    findings = (
        *told,
        *mixed_editions(book),
        *cage_findings(facts),
        *others,
        *(failed(book, row) for row in rows if row.verdict is Verdict.FAIL),
        *unused_answers(book, rows, answers),
        *left_open(book, rows),
    )
    return BookReport(
        book=book, is_pinned=is_pinned(pin, book), rows=rows, confirmed=confirmed, findings=findings
    )


def rule_book_rows(
    folder: ProjectFolder,
    project: Project,
    *,
    book: str | None,
    whole: Shell | None,
    landed: tuple[LandedFoot, ...] | None = None,
    progress: Progress = silent,
) -> tuple[BookReport | None, tuple[CheckRow, ...], tuple[Finding, ...]]:
    """What the check of a whole project says of its rule book.

    A pinned book that cannot be used leaves the other checks and is told, as not checked.

    Raises:
        UserError: `HELD-010`, `RULE-...` for a book that was named.
    """
    try:
        report = hold_to_book(
            folder, book=book, project=project, whole=whole, landed=landed, progress=progress
        )
    except UserError as error:
        if book is not None:
            raise
        told = tuple(replace(found, severity=Severity.WARNING) for found in error.findings)
        row = CheckRow(
            about="cage", check="the pinned rule book", verdict=Verdict.NOT_CHECKED, where=told[0].sentence
        )
        return None, (row,), told
    if report is None:
        return None, (), ()
    return report, tuple(as_check_row(row) for row in report.rows), report.findings


def as_check_row(row: RuleRow) -> CheckRow:
    """A rule's row as one row of the check of a project."""
    clause = ", ".join(
        part for part in (f"clause {row.clause}" if row.clause else "", page_words(row)) if part
    )
    ways = [row.other_words, row.how, row.assumption, row.note, row.todo, clause]
    part = f" ({row.part})" if row.part else ""
    return CheckRow(
        about=row.about or "cage",
        check=f"rule {row.rule_id}{part}: {row.requirement or row.words}",
        verdict=row.verdict,
        measured=row.measured,
        limit=row.limit,
        unit=row.unit,
        where="; ".join(one for one in ways if one),
        measured_words=row.measured_words,
        limit_words=row.limit_words,
    )


def _book(
    folder: ProjectFolder, project: Project, name: str | None
) -> tuple[Book, tuple[Finding, ...]] | None:
    if name is not None:
        return find_book(name, folder)[0], ()
    return None if project.book is None else pinned_book(folder, project.book)


def _answers(project: Project, book: Book) -> tuple[Mapping[str, ByHand], tuple[Finding, ...]]:
    """The last answer of each rule of this edition, and `HELD-016` where answers are of another."""
    last = {
        one.rule_id: ByHand(verdict=Verdict(one.answer), words=one.words, by=one.by, date=one.date)
        for one in project.answers
        if (one.book_id, one.edition) == (book.book_id, book.edition)
    }
    # what was taken back is no answer
    last = {rule_id: said for rule_id, said in last.items() if said.verdict is not Verdict.NOT_CHECKED}
    others = {f"{one.book_id} {one.edition}" for one in project.answers} - {f"{book.book_id} {book.edition}"}
    if not others:
        return last, ()
    return last, (
        Finding(
            code="HELD-016",
            severity=Severity.NOTE,
            sentence=f"Answers to {', '.join(sorted(others))} do not count for {book.book_id}, edition {book.edition}.",
            todo="Answer its rules anew: another edition may ask another thing.",
            objects=(book.book_id,),
        ),
    )

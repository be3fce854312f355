"""A project held to a rule book: the pinned one, or another to try."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from hoopwright.findings import Finding, Severity, UserError, Verdict
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rows import CheckRow
from hoopwright.jobs.rule_books import confirmed_of, find_book, is_pinned, pinned_book
from hoopwright.jobs.rule_facts.taken import TakenFacts, take_facts
from hoopwright.progress import Progress, silent
from hoopwright.rules.book import Book, Rule
from hoopwright.rules.cases import check_cases
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
    asks_plates = any(_asks_plates(rule) and not is_off(rule, confirmed) for rule in taken.rules)
    known = take_facts(
        folder,
        project,
        before=None if before is None else before.known,
        whole=whole,
        landed=landed,
        fits_plates=asks_plates,
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
        *(_failed(book, row) for row in rows if row.verdict is Verdict.FAIL),
        *_unused(book, rows, answers),
        *_open(book, rows),
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


def check_book_alone(name: str, folder: ProjectFolder | None = None) -> tuple[Book, int]:
    """Read a book and run its cases.

    Returns:
        The book, and how many cases it has.

    Raises:
        UserError: `RULE-...` for a book that cannot be read, with the lines; `HELD-015` for each case that ends
            otherwise than it says.
    """
    book, file = find_book(name, folder)
    wrong = check_cases(book)
    if wrong:
        raise UserError(
            *(
                Finding(
                    code="HELD-015",
                    severity=Severity.STOP,
                    sentence=f"{file.path.name}, line {one.line}: the case '{one.case}' of rule '{one.rule_id}' should "
                    f"end in {one.expect} and ends in {one.ended}: "
                    f"{one.words.strip().rstrip('.') or 'nothing was looked at'}.",
                    todo="Look at the limit and at the case: one of them is not what the book says.",
                    objects=(file.path.name, one.rule_id),
                )
                for one in wrong
            )
        )
    return book, sum(len(rule.cases) for rule in book.rules)


def mixed_editions(book: Book) -> tuple[Finding, ...]:
    """`HELD-023`: a book that is no one edition, and of which ones its lines are."""
    if not book.mixes_editions:
        return ()
    counts = Counter(rule.edition for rule in book.rules)
    named = ", ".join(f"{edition} ({counts[edition]})" for edition in sorted(filter(None, counts)))
    unstated = f"editions that their source does not state ({counts['']})" if counts[""] else ""
    told = ", and of ".join(one for one in (named, unstated) if one)
    return (
        Finding(
            code="HELD-023",
            sentence=f"{book.book_id} is no one edition: its lines are of {told}.",
            todo="Compare each line with the edition that holds for your car; each row says of which it is.",
            objects=(book.book_id,),
        ),
    )


def as_check_row(row: RuleRow) -> CheckRow:
    """A rule's row as one row of the check of a project."""
    clause = ", ".join(part for part in (f"clause {row.clause}" if row.clause else "", _page(row)) if part)
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


def _failed(book: Book, row: RuleRow) -> Finding:
    value = " ".join(one for one in (row.part, row.measured_words) if one)
    limit = row.limit_words or row.requirement or row.words
    at = [row.clause and f"clause {row.clause}", _page(row), book.body, f"edition {row.edition}"]
    by = f" Answered {row.how}." if row.is_by_hand else ""
    return Finding(
        code="HELD-020",
        sentence=f"{row.about or 'The cage'}: {value + ', ' if value else ''}limit {limit} (rule {row.rule_id}, "
        f"{', '.join(one for one in at if one)}).{by}",
        todo=row.todo or "Change it, or ask the body.",
        objects=tuple(one for one in (row.about, row.rule_id) if one),
        point_mm=row.place_mm,
        measured=row.measured,
        limit=row.limit,
        unit=row.unit,
    )


def _page(row: RuleRow) -> str:
    return f"page {row.page}" if row.page else ""


def _unused(book: Book, rows: Iterable[RuleRow], answers: Mapping[str, ByHand]) -> tuple[Finding, ...]:
    """`HELD-017` for answers that the model went over, or that are to a rule that is not there or off."""
    rows = tuple(rows)
    found = []
    for rule_id in answers:
        of_rule = [row for row in rows if row.rule_id == rule_id]
        if any(row.is_by_hand for row in of_rule):
            continue
        why = "the rule is off" if any(row.is_off for row in of_rule) else "the model decides it"
        why = why if of_rule else "there is no such rule"
        found.append(
            Finding(
                code="HELD-017",
                severity=Severity.NOTE,
                sentence=f"The answer by hand to rule {rule_id} is not used: {why}.",
                todo="Nothing, or confirm the rule first.",
                objects=(book.book_id, rule_id),
            )
        )
    return tuple(found)


def _open(book: Book, rows: Iterable[RuleRow]) -> tuple[Finding, ...]:
    """`HELD-021`: how many rules were not checked, so that nobody takes silence for a pass."""
    rows = tuple(rows)
    left = list(dict.fromkeys(row.rule_id for row in rows if row.verdict is Verdict.NOT_CHECKED))
    off = {row.rule_id for row in rows if row.is_off}
    if not left:
        return ()
    told = f", {len(off)} of them off until confirmed" if off else ""
    return (
        Finding(
            code="HELD-021",
            severity=Severity.NOTE,
            sentence=f"{len(left)} of {len(book.rules)} rules of {book.book_id}, edition {book.edition}, are not, or "
            f"not wholly, checked{told}: {', '.join(left[:12])}{' ...' if len(left) > 12 else ''}.",
            todo="'hoopwright rules check PROJECT' says what to give for each; what no model tells is answered by "
            "hand: hoopwright rules answer PROJECT RULE pass 'what was measured or seen'.",
            objects=(book.book_id,),
        ),
    )

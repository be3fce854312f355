"""What a person says of the pinned edition: rules confirmed against the book, and answers by hand."""

from dataclasses import replace

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.rule_books import pinned_book
from hoopwright.rules.book import Book, Provenance, Rule
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.build_records import Answer, BookPin, HandAnswer

ANSWERS: dict[str, Answer] = {
    "pass": "pass",
    "fail": "fail",
    "na": "not applicable",
    "not applicable": "not applicable",
    "not checked": "not checked",
}
"""What a person may type; `not checked` takes an answer back."""


def confirm_rule(folder: ProjectFolder, rule_id: str, *, take_back: bool = False) -> BookPin:
    """Turn on a rule that was only remembered, after comparing it with the book.

    Args:
        folder: The project.
        rule_id: The rule.
        take_back: Turn it off again.

    Raises:
        UserError: `HELD-018` without a pinned book; `HELD-019` for a rule that is not there, or that is not off;
            `HELD-012` and `HELD-013` where the book is not the pinned one any more.
    """
    opened = folder.open()
    pin, book = _pinned(folder, opened.project)
    rule = _rule(book, rule_id)
    if rule.provenance is not Provenance.NOT_VERIFIED:
        raise _no_rule(
            f"Rule '{rule_id}' is on already: its line is known as {rule.provenance.value}.", book, rule_id
        )
    others = tuple(one for one in pin.confirmed if one != rule_id)
    changed = replace(pin, confirmed=others if take_back else (*others, rule_id))
    folder.save(opened, replace(opened.project, book=changed))
    return changed


def answer_rule(
    folder: ProjectFolder, rule_id: str, answer: Answer, words: str, *, by: str, date: str
) -> HandAnswer:
    """Answer a rule that the model cannot check; earlier answers stay on record, the last counts.

    Args:
        folder: The project.
        rule_id: The rule.
        answer: How it ended.
        words: What was measured or seen, and how; taking an answer back needs none.
        by: Who says so; the builder of the car without.
        date: Day, ISO 8601.

    Raises:
        UserError: `HELD-018`, `HELD-019`, `HELD-013`; `HELD-022` without words.
    """
    opened = folder.open()
    _, book = _pinned(folder, opened.project)
    _rule(book, rule_id)
    said = " ".join(words.split())
    if not said and answer == "not checked":
        said = "taken back"
    if not said:
        raise UserError(
            Finding(
                code="HELD-022",
                severity=Severity.STOP,
                sentence=f"The answer to rule '{rule_id}' says nothing of what was measured or seen.",
                todo="Type it in a few words, such as 'tape, 182 mm at both legs'.",
                objects=(rule_id,),
            )
        )
    record = HandAnswer(
        book_id=book.book_id,
        edition=book.edition,
        rule_id=rule_id,
        answer=answer,
        words=said,
        by=" ".join(by.split()) or opened.project.car.builder or "not named",
        date=date,
    )
    folder.record(opened, replace(opened.project, answers=(*opened.project.answers, record)))
    return record


def no_book() -> UserError:
    """What a person is told of a project that is not held to a book yet: `HELD-018`."""
    return UserError(
        Finding(
            code="HELD-018",
            severity=Severity.STOP,
            sentence="The project is not held to a rule book yet.",
            todo="Pin one: 'hoopwright rules pin PROJECT BOOK'; 'hoopwright rules list' has the books.",
        )
    )


def _pinned(folder: ProjectFolder, project: Project) -> tuple[BookPin, Book]:
    if project.book is None:
        raise no_book()
    return project.book, pinned_book(folder, project.book)[0]


def _rule(book: Book, rule_id: str) -> Rule:
    for rule in book.rules:
        if rule.rule_id == rule_id:
            return rule
    raise _no_rule(
        f"There is no rule '{rule_id[:80]}' in {book.book_id}, edition {book.edition}.", book, rule_id
    )


def _no_rule(sentence: str, book: Book, rule_id: str) -> UserError:
    return UserError(
        Finding(
            code="HELD-019",
            severity=Severity.STOP,
            sentence=sentence,
            todo=f"'hoopwright rules show {book.book_id}' lists its rules.",
            objects=(book.book_id, rule_id[:80]),
        )
    )

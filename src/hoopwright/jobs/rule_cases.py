"""A book read by itself, and its own cases run."""

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.rule_books import find_book
from hoopwright.rules.book import Book
from hoopwright.rules.cases import check_cases
from hoopwright.store import ProjectFolder


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

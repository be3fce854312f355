"""One rule typed as in a book, held against one case of it."""

from hoopwright.findings import Verdict
from hoopwright.rules.book import Book
from hoopwright.rules.engine import rows_of
from hoopwright.rules.reading import book_from_text
from hoopwright.rules.rows import RuleRow, overall

MM = 'unit = "mm"'
INCH = 'unit = "in"\nweight_unit = "lb"\nweight_basis = "without driver"'


def book_of(rule: str, case: str = 'expect = "pass"', *, head: str = MM) -> Book:
    """A book of one rule with one case; both are lines of a rule book."""
    text = (
        f'[book]\nid = "test"\nbody = "Test"\nedition = "1"\nprovenance = "read"\n{head}\n'
        f'[[rule]]\nid = "rule"\n{rule}\n[[rule.case]]\n{case}\n'
    )
    if "expect" not in case:
        text += 'expect = "pass"\n'
    return book_from_text(text, "test.toml")


def rows(rule: str, case: str, *, head: str = MM) -> tuple[RuleRow, ...]:
    """The rows that the case of a rule gives."""
    book = book_of(rule, case, head=head)
    return rows_of(book, book.rules[0], book.rules[0].cases[0].facts)


def ends(rule: str, case: str, *, head: str = MM) -> str:
    """How the case of a rule ends: pass, fail, not checked or not applicable."""
    return overall([row.verdict for row in rows(rule, case, head=head)]).value


def advised(rule: str, case: str, *, head: str = MM) -> bool:
    """Whether someone should look although the case passes."""
    found = rows(rule, case, head=head)
    return overall([row.verdict for row in found]) is Verdict.PASS and any(row.is_advisory for row in found)

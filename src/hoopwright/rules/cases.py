"""The cases of a book run as tests."""

from dataclasses import dataclass

from hoopwright.findings import Verdict
from hoopwright.rules.book import Basis, Book
from hoopwright.rules.engine import rows_of
from hoopwright.rules.rows import overall


@dataclass(frozen=True, kw_only=True)
class Disagreement:
    """A case that ended otherwise than it says.

    Args:
        rule_id: The rule.
        case: Name of the case.
        line: Its line in the file.
        expect: How it should have ended.
        ended: How it ended.
        words: What the rows say.
    """

    rule_id: str
    case: str
    line: int
    expect: str
    ended: str
    words: str


def check_cases(book: Book, *, basis: Basis | None = None) -> tuple[Disagreement, ...]:
    """Run every case of a book, of rules that are off too, and return what disagrees.

    Args:
        book: The book.
        basis: Only cases whose figures were read, or only remembered; None runs all.
    """
    found = []
    for rule in book.rules:
        for case in rule.cases:
            if basis is not None and case.basis != basis:
                continue
            rows = rows_of(book, rule, case.facts)
            ended, advised = overall([row.verdict for row in rows]), any(row.is_advisory for row in rows)
            if ended is case.expect and case.is_advisory in (None, advised):
                continue
            found.append(
                Disagreement(
                    rule_id=rule.rule_id,
                    case=case.name,
                    line=case.line,
                    expect=_words(case.expect, case.is_advisory),
                    ended=_words(ended, None if case.is_advisory is None else advised),
                    words="; ".join(
                        f"{row.about} {row.part} {row.measured_words} {row.todo}{row.note}" for row in rows
                    ),
                )
            )
    return tuple(found)


def _words(verdict: Verdict, advised: bool | None) -> str:
    return (
        f"{verdict.value}, {'advised' if advised else 'not advised'}"
        if advised is not None
        else verdict.value
    )

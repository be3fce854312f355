"""Which clauses of a book are checked, asked of a person, off, or not done."""

from dataclasses import dataclass
from enum import StrEnum

from hoopwright.rules.book import Book, Provenance, Rule, Uncovered
from hoopwright.rules.engine import is_off
from hoopwright.rules.kinds.registry import KINDS, LOAD_TEST, QUESTION
from hoopwright.rules.measures import MEASURES
from hoopwright.rules.show import Show


class Covered(StrEnum):
    """What becomes of a clause."""

    CHECKED = "checked"
    ASKED = "not checkable from the model"
    OFF = "off until confirmed"
    NOT_DONE = "not done"


@dataclass(frozen=True, kw_only=True)
class CoverageRow:
    """What becomes of one clause.

    Args:
        clause: As the book numbers it.
        page: As the book counts it.
        rule_id: The rule that holds it; empty for none.
        words: What it demands.
        covered: What becomes of it.
        needs: What a person gives for it, the question that is asked, or why it is not done and what to ask by hand.
        provenance: How the line is known; None for a clause without a rule.
        cases: How many cases it has.
    """

    clause: str
    page: str = ""
    rule_id: str = ""
    words: str
    covered: Covered
    needs: str = ""
    provenance: Provenance | None = None
    cases: int = 0


def coverage(book: Book, *, confirmed: frozenset[str] = frozenset()) -> tuple[CoverageRow, ...]:
    """Every clause of a book, those that are not done last.

    Args:
        book: The book.
        confirmed: Rules that the person compared with the book.
    """
    done = [_row(book, rule, confirmed) for rule in book.rules]
    left = [
        CoverageRow(clause=one.clause, words=one.words, covered=Covered.NOT_DONE, needs=_by_hand(one))
        for one in book.not_done
    ]
    return (*done, *left)


def question_of(rule: Rule, show: Show) -> str:
    """What a person is asked where the model tells nothing; empty for a rule that is checked from the model."""
    measure = MEASURES.get(str(getattr(rule.limits, "of", "")))
    if rule.kind not in (QUESTION, LOAD_TEST) and not (measure is not None and measure.by_hand):
        return ""
    asked = "Have it tested:" if rule.kind == LOAD_TEST else "Measure"
    return rule.question or f"{asked} {KINDS[rule.kind].words(rule.limits, show)}."


def _by_hand(one: Uncovered) -> str:
    return "; ".join(filter(None, (one.why, f"ask by hand: {one.ask}" if one.ask else "")))


def _row(book: Book, rule: Rule, confirmed: frozenset[str]) -> CoverageRow:
    show = Show(unit=book.unit, weight_unit=book.weight_unit)
    question = question_of(rule, show)
    covered = Covered.OFF if is_off(rule, confirmed) else Covered.ASKED if question else Covered.CHECKED
    return CoverageRow(
        clause=rule.clause,
        page=rule.page,
        rule_id=rule.rule_id,
        words=rule.words or KINDS[rule.kind].words(rule.limits, show),
        covered=covered,
        needs=question or KINDS[rule.kind].needs,
        provenance=rule.provenance,
        cases=len(rule.cases),
    )

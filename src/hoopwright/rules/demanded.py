"""Which bars of a cage a book demands, as far as its rules tell."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from hoopwright.cage.member import Role, Side
from hoopwright.findings import Verdict
from hoopwright.rules.book import Book
from hoopwright.rules.engine import NO_ANSWERS, ByHand, exception_to, rows_of, rules_on
from hoopwright.rules.exceptions import holds_for
from hoopwright.rules.facts import BarFacts, Facts
from hoopwright.rules.kinds.members import MembersLimits


def with_demanded(
    book: Book,
    facts: Facts,
    *,
    confirmed: frozenset[str] = frozenset(),
    answers: Mapping[str, ByHand] = NO_ANSWERS,
) -> Facts:
    """Facts with the bars marked that a book demands by number.

    A rule that is off, whose conditions do not hold or are not known to, or that gives way to another, demands nothing.
    Of more bars than a rule asks for nobody but the person knows which one was added freely, so none is marked.

    Args:
        book: The book.
        facts: What is known; what was typed of a bar stays.
        confirmed: Rules that the person compared with the book.
        answers: Answers by hand.
    """
    if facts.bars is None:
        return facts
    demanded = {
        bar.bar_id
        for role, side, least in _demands(book, facts, confirmed, answers)
        for bar in _up_to(least, [one for one in facts.bars if one.role is role and side in ("", one.side)])
    }
    bars = tuple(
        replace(bar, is_required=True) if bar.is_required is None and bar.bar_id in demanded else bar
        for bar in facts.bars
    )
    return replace(facts, bars=bars)


def _up_to(least: int, bars: list[BarFacts]) -> list[BarFacts]:
    return bars if len(bars) <= least else []


def _demands(
    book: Book, facts: Facts, confirmed: frozenset[str], answers: Mapping[str, ByHand]
) -> Iterator[tuple[Role, Side, int]]:
    """How many bars of which role are asked for on which side, by rules that were decided there."""
    on = rules_on(book, confirmed)
    for rule in on.values():
        limits = rule.limits
        if not isinstance(limits, MembersLimits) or not limits.least_count or len(rule.roles) != 1:
            continue
        exception = exception_to(book, rule, facts, on, answers)
        for row in rows_of(book, rule, facts, on, answers):
            is_decided = row.sense == "least" and row.verdict in (Verdict.PASS, Verdict.FAIL)
            if is_decided and not holds_for(row, exception, facts):
                yield rule.roles[0], row.side, limits.least_count

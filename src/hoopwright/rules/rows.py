"""One row of a rule report: one rule held against one thing."""

from dataclasses import dataclass

from hoopwright.cage.member import Side
from hoopwright.findings import Verdict
from hoopwright.rules.book import Provenance
from hoopwright.rules.facts import Place
from hoopwright.rules.kinds.limits import Sense


@dataclass(frozen=True, kw_only=True)
class RuleRow:
    """One rule held against one thing. A pass says no more than that the value meets the typed limit.

    Args:
        rule_id: The rule.
        clause: As the book numbers it.
        page: As the book counts it.
        edition: Of the book, or in which the line was read where the book mixes them.
        kind: Kind of check.
        about: The bar, foot, joint, opening or driver; empty for the whole cage.
        side: Side of the car, for what is counted or left free on one.
        part: Which part of the rule, such as `carbon`; empty where it has one part.
        words: What the book demands, in our own words.
        requirement: The limit in words, from the numbers.
        verdict: How it ended.
        measured: The value, in `unit`; None where it is more or less than a number.
        limit: The limit, in `unit`.
        sense: Whether the value must be at least or at most the limit.
        unit: Unit of the numbers; lengths and areas are in the unit of the book.
        other: The value measured in another way, in `unit`.
        measured_words: The value as a person reads it.
        limit_words: The limit as a person reads it, such as `>= 30°`.
        other_words: The value measured in another way, with that way.
        how: How it was measured.
        assumption: How we measure where the book does not say.
        todo: What to do, or what to give.
        note: What else to know.
        is_advisory: Whether someone should look although it passes.
        is_by_hand: Whether a person answered.
        is_off: Whether the rule is off until it is confirmed.
        provenance: How the line of the book is known.
        place_mm: Where, vehicle frame.
    """

    rule_id: str
    clause: str
    page: str
    edition: str
    kind: str
    about: str = ""
    side: Side = ""
    part: str = ""
    words: str
    requirement: str
    verdict: Verdict
    measured: float | None = None
    limit: float | None = None
    sense: Sense = ""
    unit: str = ""
    other: float | None = None
    measured_words: str = ""
    limit_words: str = ""
    other_words: str = ""
    how: str = ""
    assumption: str = ""
    todo: str = ""
    note: str = ""
    is_advisory: bool = False
    is_by_hand: bool = False
    is_off: bool = False
    provenance: Provenance
    place_mm: Place | None = None


def overall(verdicts: list[Verdict]) -> Verdict:
    """The end of several rows together: fail before not checked before pass."""
    for verdict in (Verdict.FAIL, Verdict.NOT_CHECKED, Verdict.PASS):
        if verdict in verdicts:
            return verdict
    return Verdict.NOT_APPLICABLE

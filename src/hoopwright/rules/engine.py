"""A book held against what is known of a car and its cage."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from hoopwright.cage.member import Role
from hoopwright.findings import Finding, Verdict
from hoopwright.rules.book import Book, Provenance, Rule
from hoopwright.rules.conditions import Holds, held_by_car
from hoopwright.rules.exceptions import with_exception
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.kind import Kind
from hoopwright.rules.kinds.outcome import Outcome
from hoopwright.rules.kinds.registry import KINDS
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.rows import RuleRow
from hoopwright.rules.show import Show
from hoopwright.rules.subjects import subjects_of

OFF_WORDS = "off: not verified, confirm it against the book"


@dataclass(frozen=True, kw_only=True)
class ByHand:
    """What a person answered to a rule.

    Args:
        verdict: How it ended.
        words: What was measured or seen, and how.
        by: Who says so.
        date: Day, ISO 8601.
    """

    verdict: Verdict
    words: str
    by: str
    date: str


NO_ANSWERS: Mapping[str, ByHand] = MappingProxyType({})


def check_book(
    book: Book,
    facts: Facts,
    *,
    confirmed: frozenset[str] = frozenset(),
    answers: Mapping[str, ByHand] = NO_ANSWERS,
) -> tuple[RuleRow, ...]:
    """Every rule of a book held against what is known, in the order of the book.

    A rule that nobody read in the book's own text is off, until its name is in `confirmed`.

    Args:
        book: The book.
        facts: What is known.
        confirmed: Rules that the person compared with the book.
        answers: Answers by hand, by rule; they count where the model tells nothing.
    """
    rules = rules_on(book, confirmed)
    rows: list[RuleRow] = []
    for rule in book.rules:
        if is_off(rule, confirmed):
            rows.append(_off(book, rule))
        else:
            rows += _answered(rule, rows_of(book, rule, facts, rules, answers), answers)
    return tuple(rows)


def is_off(rule: Rule, confirmed: frozenset[str]) -> bool:
    """Whether a rule is off: only remembered, and not confirmed."""
    return rule.provenance is Provenance.NOT_VERIFIED and rule.rule_id not in confirmed


def rules_on(book: Book, confirmed: frozenset[str]) -> Mapping[str, Rule]:
    """Rules by name that may take others out of force: one that is off takes none."""
    return {rule.rule_id: rule for rule in book.rules if not is_off(rule, confirmed)}


def rows_of(
    book: Book,
    rule: Rule,
    facts: Facts,
    rules: Mapping[str, Rule] | None = None,
    answers: Mapping[str, ByHand] = NO_ANSWERS,
) -> tuple[RuleRow, ...]:
    """The rows of one rule, whether it is off or not.

    Args:
        book: The book.
        rule: A rule of it.
        facts: What is known.
        rules: Rules by name that may take this one out of force with `unless`; None takes all of the book.
        answers: Answers by hand to those rules.
    """
    by_id = rules if rules is not None else {one.rule_id: one for one in book.rules}
    kind, show = KINDS[rule.kind], Show(unit=book.unit, weight_unit=book.weight_unit)
    basis = rule.weight_basis or book.weight_basis
    scope = Scope(facts=facts, roles=rule.roles, but=rule.but, basis=basis, show=show)
    held = held_by_car(rule.conditions, facts, basis, show)
    if held.holds is not Holds.YES:
        unknown = held.holds is Holds.UNKNOWN
        verdict = Verdict.NOT_CHECKED if unknown else Verdict.NOT_APPLICABLE
        outcome = Outcome(verdict=verdict, todo=held.why if unknown else "", note="" if unknown else held.why)
        return (_row(book, rule, kind, outcome, show),)
    outcomes = list(_outcomes(rule, kind, scope))
    rows = tuple(_row(book, rule, kind, outcome, show) for outcome in outcomes)
    return with_exception(rows, exception_to(book, rule, facts, by_id, answers), facts, name=rule.unless)


def exception_to(
    book: Book,
    rule: Rule,
    facts: Facts,
    rules: Mapping[str, Rule],
    answers: Mapping[str, ByHand] = NO_ANSWERS,
) -> tuple[RuleRow, ...]:
    """The rows of the rule that takes another out of force; none where there is none, or it is off.

    Args:
        book: The book.
        rule: The rule that gives way.
        facts: What is known.
        rules: Rules by name that may take it out of force.
        answers: Answers by hand to those rules.
    """
    other = rules.get(rule.unless)
    if other is None:
        return ()
    return _answered(other, rows_of(book, other, facts, rules, answers), answers)


def cage_findings(facts: Facts) -> tuple[Finding, ...]:
    """`RULE-009` for each bar without a role, and `RULE-010` for those of none of the known kinds."""
    return (*_without_role(facts), *_of_no_kind(facts))


def _of_no_kind(facts: Facts) -> tuple[Finding, ...]:
    others = [bar for bar in facts.bars or () if bar.role is Role.OTHER]
    if not others:
        return ()
    names = tuple(bar.bar_id for bar in others)
    return (
        Finding(
            code="RULE-010",
            sentence=f"{', '.join(names)}: an '{Role.OTHER.value}', so only rules for every bar, or for all but some "
            "kinds, are held against it; no rule for a main hoop, a backstay or another kind looks at it.",
            todo="Say what kind of bar it is where the book names it, or ask the body what it demands of it.",
            objects=names,
            point_mm=others[0].place_mm,
        ),
    )


def _without_role(facts: Facts) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            code="RULE-009",
            sentence=f"Bar {bar.bar_id} has no role, so rules for bars of a role are not checked for it.",
            todo="Give it a role.",
            objects=(bar.bar_id,),
            point_mm=bar.place_mm,
        )
        for bar in facts.bars or ()
        if bar.role is None
    )


def _outcomes(rule: Rule, kind: Kind, scope: Scope) -> list[Outcome]:
    subjects = subjects_of(rule, kind.about(rule.limits), scope)
    found = list(subjects.outcomes)
    for thing in subjects.things:
        found += kind.check(rule.limits, thing, scope)
    return found


def _answered(rule: Rule, rows: tuple[RuleRow, ...], answers: Mapping[str, ByHand]) -> tuple[RuleRow, ...]:
    """A person's answer in the place of rows that tell nothing; a row that the model decided stays."""
    answer = answers.get(rule.rule_id)
    if answer is None:
        return rows
    how = f"by hand: {answer.words} ({answer.by}, {answer.date})"
    return tuple(
        replace(row, verdict=answer.verdict, how=how, todo="", is_by_hand=True)
        if row.verdict is Verdict.NOT_CHECKED
        else row
        for row in rows
    )


def _off(book: Book, rule: Rule) -> RuleRow:
    show = Show(unit=book.unit, weight_unit=book.weight_unit)
    kind = KINDS[rule.kind]
    row = _row(book, rule, kind, Outcome(verdict=Verdict.NOT_CHECKED, note=OFF_WORDS), show)
    return replace(row, is_off=True, todo=f"Compare it with the book, then confirm rule {rule.rule_id}.")


def _row(book: Book, rule: Rule, kind: Kind, outcome: Outcome, show: Show) -> RuleRow:
    unit = show.in_book(0.0, outcome.unit)[1]
    measured, limit, other = (
        None if value is None else show.in_book(value, outcome.unit)[0]
        for value in (outcome.measured, outcome.limit, outcome.other)
    )
    strict = bool(getattr(rule.limits, "strict", False))
    return RuleRow(
        rule_id=rule.rule_id,
        clause=rule.clause,
        page=rule.page,
        edition=book.edition_of(rule),
        kind=rule.kind,
        about=outcome.about,
        side=outcome.side,
        part=outcome.part,
        words=rule.words,
        requirement=kind.words(rule.limits, show),
        verdict=outcome.verdict,
        measured=measured,
        limit=limit,
        sense=outcome.sense,
        unit=unit,
        other=other,
        measured_words=outcome.measured_words or _shown(outcome.measured, outcome, show),
        limit_words=outcome.limit_words
        or (
            ""
            if outcome.limit is None
            else show.limit(outcome.limit, outcome.unit, outcome.sense, strict=strict)
        ),
        other_words=""
        if outcome.other is None
        else f"{show.measured(outcome.other, outcome.unit)} {outcome.other_how}",
        how=outcome.how,
        assumption=rule.assumption,
        todo=_todo(rule, outcome),
        note=outcome.note,
        is_advisory=outcome.is_advisory,
        provenance=rule.provenance,
        place_mm=outcome.place_mm,
    )


def _shown(measured: float | None, outcome: Outcome, show: Show) -> str:
    if measured is None:
        return ""
    return show.measured(measured, outcome.unit, outcome.limit, outcome.sense)


def _todo(rule: Rule, outcome: Outcome) -> str:
    """What to do; where a rule asks a person something and the model tells nothing, that question too."""
    asked = rule.question if outcome.verdict is Verdict.NOT_CHECKED else ""
    if not asked and outcome.asks:
        how = f"hoopwright rules answer PROJECT {rule.rule_id} pass 'what was measured or seen'"
        asked = f"{outcome.asks} Answer it by hand: {how}"
    return " ".join(text for text in (outcome.todo, asked) if text)

"""What a person should know of a project held to a book: what fails, what is left open, which answers do not count."""

from collections import Counter
from collections.abc import Iterable, Mapping

from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.rules.book import Book
from hoopwright.rules.engine import ByHand
from hoopwright.rules.rows import RuleRow


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


def failed(book: Book, row: RuleRow) -> Finding:
    """`HELD-020`: a row that fails."""
    value = " ".join(one for one in (row.part, row.measured_words) if one)
    limit = row.limit_words or row.requirement or row.words
    at = [row.clause and f"clause {row.clause}", page_words(row), book.body, f"edition {row.edition}"]
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


def unused_answers(book: Book, rows: Iterable[RuleRow], answers: Mapping[str, ByHand]) -> tuple[Finding, ...]:
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


def left_open(book: Book, rows: Iterable[RuleRow]) -> tuple[Finding, ...]:
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


def page_words(row: RuleRow) -> str:
    """The page of the book that a row is from, where the book says."""
    return f"page {row.page}" if row.page else ""

"""The rows of a rule report as lines of the file."""

from dataclasses import replace

from hoopwright.findings import Verdict
from hoopwright.jobs.dossier.amounts import printed
from hoopwright.jobs.rule_checks import BookReport
from hoopwright.papers.dossier import RuleLine
from hoopwright.papers.words import listed
from hoopwright.rules.book import Book, Provenance
from hoopwright.rules.rows import RuleRow

_NAMED = 6


def rule_lines(held: BookReport | None) -> tuple[RuleLine, ...]:
    """One line for each rule and what it was held against; what came out alike stands in one line."""
    if held is None:
        return ()
    said = {row.rule_id for row in held.rows if row.verdict is not Verdict.NOT_APPLICABLE}
    alike: dict[RuleLine, list[str]] = {}
    for row in held.rows:
        # what a rule does not look at is told only of a rule that looks at nothing here
        if row.verdict is not Verdict.NOT_APPLICABLE or row.rule_id not in said:
            alike.setdefault(_line(row, held.book), []).append(row.about or "cage")
    asked = list(dict.fromkeys((line.clause, line.requirement) for line in alike))
    lines = sorted(alike, key=lambda line: asked.index((line.clause, line.requirement)))
    return tuple(replace(line, about=listed(dict.fromkeys(alike[line]), _NAMED)) for line in lines)


def _line(row: RuleRow, book: Book) -> RuleLine:
    """A row without what it is about."""
    asked = row.words or row.requirement
    how = [
        row.how,
        row.other_words,
        row.assumption and f"assumed: {row.assumption}",
        row.note,
        row.todo if row.measured is None else "",
        "off until the line is confirmed against the book" if row.is_off else "",
        "" if row.provenance is Provenance.READ else f"the line is {row.provenance.value}",
        f"edition {row.edition}" if book.mixes_editions else "",
    ]
    return RuleLine(
        clause=row.clause or row.rule_id,
        page=row.page,
        requirement=f"{asked} ({row.part})" if row.part and row.part not in asked else asked,
        limit=printed(row.limit_words or (row.requirement if row.words else "")),
        value=printed(row.measured_words),
        verdict=row.verdict.value,
        how="; ".join(one for one in how if one),
    )

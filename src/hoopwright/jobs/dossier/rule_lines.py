"""The rows of a rule report as lines of the file."""

from hoopwright.jobs.rule_checks import BookReport
from hoopwright.papers.dossier import RuleLine
from hoopwright.rules.rows import RuleRow

_NAMED = 6


def rule_lines(held: BookReport | None) -> tuple[RuleLine, ...]:
    """One line for each rule and what it was held against; what came out alike stands in one line."""
    if held is None:
        return ()
    alike: dict[RuleLine, list[str]] = {}
    for row in held.rows:
        alike.setdefault(_line(row), []).append(row.about or "cage")
    return tuple(
        RuleLine(**{**vars(line), "about": _named(list(dict.fromkeys(about)))})
        for line, about in alike.items()
    )


def _line(row: RuleRow) -> RuleLine:
    """A row without what it is about."""
    asked = row.words if not row.part else f"{row.words} ({row.part})"
    if row.requirement and row.requirement not in asked:
        asked = f"{asked}: {row.requirement}" if asked else row.requirement
    how = [
        row.how,
        row.other_words,
        row.assumption and f"assumed: {row.assumption}",
        row.note,
        row.todo if row.measured is None else "",
        "off until the line is confirmed against the book" if row.is_off else "",
        f"the line is {row.provenance.value}",
    ]
    return RuleLine(
        clause=row.clause or row.rule_id,
        page=row.page,
        requirement=asked,
        limit=row.limit_words or row.requirement,
        value=row.measured_words,
        verdict=row.verdict.value,
        how="; ".join(one for one in how if one),
    )


def _named(about: list[str]) -> str:
    more = f" and {len(about) - _NAMED} more" if len(about) > _NAMED else ""
    return f"{', '.join(about[:_NAMED])}{more}"

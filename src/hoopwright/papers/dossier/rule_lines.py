"""What a rule book asks and what was found, line by line."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.flow import RULED, Column, Part, table_parts

_COLUMNS = (
    Column(head="clause", share=15, bold=True),
    Column(head="page", share=10),
    Column(head="of", share=28, bold=True),
    Column(head="what the book asks", share=38),
    Column(head="limit", share=22),
    Column(head="value", share=22),
    Column(head="ended", share=18, bold=True),
    Column(head="how it was measured, and what was assumed", share=42),
)


@dataclass(frozen=True, kw_only=True)
class RuleLine:
    """One requirement and how it ended.

    Args:
        clause: As the book numbers it.
        page: As the person typed it; empty where not known.
        about: What it was held against: a bar, a foot, the cage.
        requirement: What it asks, in the words of whoever typed the book.
        limit: With its unit.
        value: What was found, with its unit; empty where nothing was.
        verdict: `pass`, `fail`, `not applicable` or `not checked`.
        how: How it was measured and what was assumed.
    """

    clause: str
    page: str
    about: str = ""
    requirement: str
    limit: str
    value: str
    verdict: str
    how: str


def rule_parts(lines: Sequence[RuleLine], width_mm: float) -> tuple[Part, ...]:
    """The lines as a table; where nobody looked there is a line to write on."""
    rows = [
        (one.clause, one.page, one.about, one.requirement, one.limit, _value(one), one.verdict, one.how)
        for one in lines
    ]
    return table_parts(_COLUMNS, rows, width_mm)


def _value(one: RuleLine) -> str:
    return RULED if not one.value and one.verdict == "not checked" else one.value

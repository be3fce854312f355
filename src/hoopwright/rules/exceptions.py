"""Where one rule of a book takes another out of force (`unless`): only for what it holds for itself."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from hoopwright.findings import Verdict
from hoopwright.rules.facts import Facts
from hoopwright.rules.rows import RuleRow, overall

_CAGE = ("", "cage")
_SIDES = ("L", "R")
_AND = " and "
_OF_ALL = ("members", "pattern", "load test")
"""Kinds whose rows are about all of the cage or of a side, whatever words name it."""


def with_exception(
    rows: Sequence[RuleRow], exception: Sequence[RuleRow], facts: Facts, *, name: str
) -> tuple[RuleRow, ...]:
    """Rows that do not pass give way where the exception passes for what they are about.

    An exception holds for a thing where it passes for the thing itself; else for the bar whose foot it is; else for its
    side of the car, or for both sides where the thing is on neither alone; else for the whole cage. The nearest of
    these that ends in a pass or a fail decides.

    Args:
        rows: Of the rule.
        exception: Of the other rule.
        facts: What is known, for the side on which a thing is.
        name: Of the other rule.
    """
    return tuple(
        replace(row, verdict=Verdict.NOT_APPLICABLE, todo="", note=f"rule {name} is met instead")
        if row.verdict in (Verdict.FAIL, Verdict.NOT_CHECKED) and holds_for(row, exception, facts)
        else row
        for row in rows
    )


def holds_for(row: RuleRow, exception: Sequence[RuleRow], facts: Facts) -> bool:
    """Whether an exception holds for what a row is about, as `with_exception` says."""
    if any(other.about == row.about for other in exception) or _AND not in row.about:
        return _holds(row.about, row.side or _side_of(row.about, facts), exception)
    return all(_holds(one, _side_of(one, facts), exception) for one in row.about.split(_AND))


def _holds(about: str, side: str, exception: Sequence[RuleRow]) -> bool:
    for verdict in _nearest_first(about, side, exception):
        if verdict in (Verdict.PASS, Verdict.FAIL):
            return verdict is Verdict.PASS
    return False


def _nearest_first(about: str, side: str, exception: Sequence[RuleRow]) -> Iterator[Verdict]:
    """How the exception ends for a thing, for its bar, for its side and for the cage."""
    if about not in _CAGE:
        yield _end([row for row in exception if about in (row.about, *row.about.split(_AND))])
        bar = about.partition(" foot ")[0]
        yield _end([row for row in exception if row.about == bar])
    sides = {one: _end([row for row in exception if _is_of_side(row, one)]) for one in _SIDES}
    if side in sides:
        yield sides[side]
    elif set(sides.values()) <= {Verdict.PASS, Verdict.FAIL}:
        yield overall(list(sides.values()))
    yield _end([row for row in exception if row.about in _CAGE or (row.kind in _OF_ALL and not row.side)])


def _is_of_side(row: RuleRow, side: str) -> bool:
    """Whether a row is about all of one side; a bar or an opening of that side is one thing there."""
    return row.about == side or (row.kind in _OF_ALL and row.side == side)


def _end(rows: Sequence[RuleRow]) -> Verdict:
    return overall([row.verdict for row in rows])


def _side_of(about: str, facts: Facts) -> str:
    """The side of the car on which a thing is; empty where it is on both, or where nobody knows."""
    if about in _SIDES:
        return about
    for bar in facts.bars or ():
        if bar.bar_id == about:
            return bar.side
    return next((foot.side for foot in facts.feet or () if foot.bar_id == about), "")

"""How long a bend takes in this shop: the time between readings of the log, within a stick."""

import itertools
import statistics
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from hoopwright.bender import LoggedBend
from hoopwright.findings import Finding
from hoopwright.jobs.shop_if_there import shop_if_there

LONGEST_MIN = 60.0
"""A longer time between two bends is a pause: common practice, no source."""
SHORTEST_MIN = 0.25
"""Nobody bends faster: bends that were typed in together; common practice, no source."""
_FEW = 10


@dataclass(frozen=True, kw_only=True)
class LearntMinutes:
    """What the log says of the time of a bend.

    Args:
        per_bend_min: Median of the minutes from one reading to the next of the same stick; None without any.
        readings: How many such times it is from.
        sticks: From how many sticks.
        left_out: Times that were pauses, or bends typed in together.
    """

    per_bend_min: float | None
    readings: int
    sticks: int
    left_out: int


def learnt_minutes(where: str | None = None) -> LearntMinutes:
    """How long a bend takes, from the shop's log; nothing where there is no shop.

    Args:
        where: The shop; the usual one without.

    Raises:
        UserError: `SHOP-020` to `SHOP-023` for a shop that cannot be read.
    """
    with shop_if_there(where) as shop:
        return minutes_of(() if shop is None else shop.bends())


def minutes_of(bends: Iterable[LoggedBend]) -> LearntMinutes:
    """The same from bends in the order of keeping.

    Bends of one project, bar and die follow each other on a stick until a bend is made that was made on it already.
    Trials of no bar do not count. A median is not moved by the few times when somebody was called away.
    """
    times, sticks, left_out = [], 0, 0
    for stick in _sticks(bends):
        between = [
            (later.time - earlier.time).total_seconds() / 60.0 for earlier, later in itertools.pairwise(stick)
        ]
        kept = [minutes for minutes in between if SHORTEST_MIN <= minutes <= LONGEST_MIN]
        left_out += len(between) - len(kept)
        sticks += bool(kept)
        times += kept
    return LearntMinutes(
        per_bend_min=statistics.median(times) if times else None,
        readings=len(times),
        sticks=sticks,
        left_out=left_out,
    )


def _sticks(bends: Iterable[LoggedBend]) -> Iterator[Sequence[LoggedBend]]:
    by_bar: dict[tuple[str, str, str], list[LoggedBend]] = {}
    for bend in bends:
        if not (bend.project and bend.bar):
            continue
        at = (bend.project, bend.bar, bend.die)
        stick = by_bar.setdefault(at, [])
        if any(one.bend_number == bend.bend_number for one in stick):
            yield stick
            by_bar[at] = stick = []
        stick.append(bend)
    yield from by_bar.values()


def learnt_findings(learnt: LearntMinutes) -> tuple[Finding, ...]:
    """That few times, or none, are known."""
    if learnt.per_bend_min is None:
        return (
            Finding(
                code="COST-021",
                sentence="The shop's log has no two bends of one stick with the time between them, so the minutes of "
                "a bend are not learnt.",
                todo="Log bends at the bender, or type the minutes in the rates.",
            ),
        )
    if learnt.readings < _FEW:
        return (
            Finding(
                code="COST-022",
                sentence=f"The minutes of a bend are learnt from only {learnt.readings} times between readings.",
                todo="Hold them against what you know of your shop.",
                measured=float(learnt.readings),
                limit=float(_FEW),
            ),
        )
    return ()

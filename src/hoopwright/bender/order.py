"""In which order the bends are made, and from which end the tube is fed."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar
from hoopwright.bender.sheet import TubeEnd
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import fit_plane

SAME_PLACE_MM = 1.0
FEWEST_FOR_MIDDLE = 4
_TYPED_FEED = re.compile(r"([1-9]\d{0,3})\s*(?:FROM)?\s*([AB])")


@dataclass(frozen=True, kw_only=True)
class Feed:
    """One bend in an order.

    Args:
        bend: Number of the bend counted from end A, from 1.
        fed_from: End that goes through the die first and swings.
    """

    bend: int
    fed_from: TubeEnd


Order = tuple[Feed, ...]


def a_to_b(bends: int) -> Order:
    """All bends from bend 1 on; end A leads."""
    return tuple(Feed(bend=bend, fed_from="A") for bend in range(1, bends + 1))


def b_to_a(bends: int) -> Order:
    """All bends from the last one back; end B leads."""
    return tuple(Feed(bend=bend, fed_from="B") for bend in range(bends, 0, -1))


def middle_outward(bends: int) -> Order:
    """From the lower middle bend to the last with end A leading, then the rest with end B leading.

    Bent tube always leads and straight tube always feeds; the tube is turned end for end once.
    """
    middle = max(1, (bends + 1) // 2)
    towards_b = [Feed(bend=bend, fed_from="A") for bend in range(middle, bends + 1)]
    return (*towards_b, *(Feed(bend=bend, fed_from="B") for bend in range(middle - 1, 0, -1)))


def listed_order(pairs: Iterable[tuple[int, TubeEnd]], bends: int) -> Order:
    """An order that the person lists: bend and end that leads.

    Raises:
        UserError: `SHEET-003` when a bend is missing, twice there or unknown, or an end is not A or B.
    """
    order = tuple(Feed(bend=bend, fed_from=end) for bend, end in pairs)
    check_order(order, bends)
    return order


def order_as_text(order: Sequence[Feed]) -> str:
    """An order as a person types it: `2 from A, 3 from A, 1 from B`."""
    return ", ".join(f"{feed.bend} from {feed.fed_from}" for feed in order)


def order_from_text(text: str, bends: int) -> Order:
    """An order that a person types.

    Raises:
        UserError: `SHEET-003` when it cannot be read or does not make each bend once.
    """
    feeds = []
    for part in text.split(","):
        found = _TYPED_FEED.fullmatch(part.strip().upper())
        feeds.append(
            Feed(bend=int(found[1]) if found else 0, fed_from="B" if found and found[2] == "B" else "A")
        )
    if any(feed.bend == 0 for feed in feeds):
        raise _refused(text, bends)
    check_order(feeds, bends)
    return tuple(feeds)


def check_order(order: Sequence[Feed], bends: int) -> None:
    """Stop on an order that does not make each bend once.

    Raises:
        UserError: `SHEET-003`.
    """
    made = [feed.bend for feed in order]
    ends = {feed.fed_from for feed in order}
    if sorted(made) == list(range(1, bends + 1)) and ends <= {"A", "B"}:
        return
    raise _refused(order_as_text(order) or "nothing", bends)


def _refused(listed: str, bends: int) -> UserError:
    return UserError(
        Finding(
            code="SHEET-003",
            severity=Severity.STOP,
            sentence=f"The order ({listed}) does not make each of the {bends} bends once, fed from A or B.",
            todo="List every bend once, with the end that leads: 2 from A, 3 from A, 1 from B.",
        )
    )


def default_order(bar: Bar) -> Order:
    """Middle outward for hoops (four or more bends, one plane, left and right alike), else A to B."""
    if bar.bend_count >= FEWEST_FOR_MIDDLE and is_hoop(bar):
        return middle_outward(bar.bend_count)
    return a_to_b(bar.bend_count)


def is_hoop(bar: Bar) -> bool:
    """Whether a bent bar lies in one plane and is alike left and right of the centre plane."""
    if bar.bend_count < 1:
        return False
    other_side = bar.nodes[::-1] * np.array([1.0, -1.0, 1.0])
    alike = bool(np.abs(other_side - bar.nodes).max() <= SAME_PLACE_MM)
    return alike and fit_plane(bar.nodes)[1] <= SAME_PLACE_MM

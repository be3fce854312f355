"""How the tube lies at the machine before a bend.

Machine frame: the tube is fed along +x from the tail to the die, up is +z, the bend plane is level. When
the leading end swings clockwise seen from above, the finished leg points to the right (3 o'clock as seen
from the tail), and the bend plane's normal, travel before x travel after from A to B, points up with A
leading and down with B leading; the other hand is the mirror image.

Between bend k and the bend to be made the tube is straight or not yet bent, so that the turn between their
planes about the travel from A to B is the difference of their rotation totals. The tube is turned back by
it: about the feed direction, which is the travel with B leading and its opposite with A leading.
"""

from collections.abc import Collection, Sequence

from hoopwright.bender.machine import Swing
from hoopwright.bender.order import Feed
from hoopwright.geometry import wrap_deg


def reference_bend(feed: Feed, made: Collection[int]) -> tuple[int | None, bool]:
    """The finished bend nearest to the one to be made, and whether it is on the leading side.

    One on the leading side is taken before one in the tail; None when nothing is bent yet.
    """
    before = [bend for bend in made if bend < feed.bend]
    after = [bend for bend in made if bend > feed.bend]
    near_a, near_b = max(before, default=None), min(after, default=None)
    leading, tail = (near_a, near_b) if feed.fed_from == "A" else (near_b, near_a)
    return (leading, True) if leading is not None else (tail, False)


def turn_tube_deg(feed: Feed, reference: int, totals_deg: Sequence[float]) -> float:
    """Turn of the tube that brings it from the reference bend lying as just bent to the next bend.

    Args:
        feed: The bend to be made and the end that leads.
        reference: Number of the finished bend.
        totals_deg: Running rotation of each bend against bend 1.

    Returns:
        Clockwise positive as seen from the tail looking to the die, in (-180, 180].
    """
    between = totals_deg[feed.bend - 1] - totals_deg[reference - 1]
    return wrap_deg(between if feed.fed_from == "A" else -between) + 0.0


def leg_clock(turn_deg: float, swings: Swing) -> float:
    """Hour to which the leg beyond the reference bend points, seen from the tail; 12 is up, in (0, 12]."""
    as_bent = 3.0 if swings == "clockwise" else 9.0
    hour = (as_bent + turn_deg / 30.0) % 12.0
    return 12.0 if hour < 1e-9 or hour > 12.0 - 1e-9 else hour


def bends_in_tail(feed: Feed, made: Collection[int]) -> list[int]:
    """Finished bends that lie behind the die when this bend is made."""
    return sorted(bend for bend in made if (bend > feed.bend) == (feed.fed_from == "A"))

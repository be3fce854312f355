"""One piece: a bar made of one tube, without a joint in it."""

from collections.abc import Iterator

from hoopwright.rules.facts import BarFacts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show


class OnePieceLimits(Limits):
    """A rule that wants a bar in one piece has no keys."""


def words(limits: OnePieceLimits, show: Show) -> str:
    """The requirement in words."""
    return "one piece"


def check(limits: OnePieceLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Tell whether one bar is one tube."""
    if bar.is_one_piece is None:
        yield not_checked(bar.bar_id, "say whether it is one piece", place_mm=bar.place_mm)
        return
    yield Outcome(
        about=bar.bar_id,
        verdict=judged(bar.is_one_piece),
        measured_words="one piece" if bar.is_one_piece else "several pieces",
        limit_words="one piece",
        how="as drawn",
        todo="" if bar.is_one_piece else "Draw and bend it as one bar.",
        place_mm=bar.place_mm,
    )

"""How many whole sticks the tube of a job takes, when each size is bought for it alone."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.progress import Progress, silent
from hoopwright.stock.pieces import CutRules, CutTask, Piece, StickOffer
from hoopwright.stock.planning import plan_cuts

USUAL_KERF_MM = 3.0
"""A band or cold saw with a wide blade; common practice, no source."""
_TIME_LIMIT_S = 5.0


@dataclass(frozen=True, kw_only=True)
class SticksNeeded:
    """Whole sticks of one length.

    Args:
        stick_mm: Length of one.
        count: How many.
        at_least: What no plan is below.
    """

    stick_mm: float
    count: int
    at_least: int

    @property
    def bought_mm(self) -> float:
        """All of them together."""
        return self.count * self.stick_mm


def sticks_needed(
    pieces: Sequence[Piece],
    stick_mm: float,
    *,
    kerf_mm: float = USUAL_KERF_MM,
    what: str = "",
    progress: Progress = silent,
) -> SticksNeeded:
    """The fewest sticks that hold all pieces, as the cutting plan finds them; no spare, no stock at hand.

    Args:
        pieces: Each as it is sawn.
        stick_mm: Length of a stick.
        kerf_mm: What the saw takes between two pieces.
        what: Tube in words, for what is told.
        progress: Told how far it is.

    Raises:
        UserError: `CUTS-001` to `CUTS-005`, such as for a piece that is longer than a stick.
    """
    task = CutTask(
        pieces=tuple(pieces),
        offers=(StickOffer(length_mm=stick_mm),),
        rules=CutRules(kerf_mm=kerf_mm, goal="fewest", time_limit_s=_TIME_LIMIT_S),
        what=what,
    )
    plan = plan_cuts(task, progress=progress)
    return SticksNeeded(stick_mm=stick_mm, count=plan.stick_count, at_least=plan.lower_bound)

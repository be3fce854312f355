"""Which bar is most likely to be spoiled, so that a spare of it is worth a thought."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from hoopwright.bender import BarSheet
from hoopwright.bender.tolerance.sources import HandScatter
from hoopwright.findings import UserError
from hoopwright.jobs.tolerances import ToleranceWishes, tolerance_of_member
from hoopwright.stock import Piece
from hoopwright.store import ProjectFolder

_TRIALS = 100
"""The linear model says the miss; the bars drawn at random beside it are not asked for here."""


@dataclass(frozen=True, kw_only=True)
class SpareProposal:
    """A bar that a spare is proposed of.

    Args:
        bar_id: The bar.
        length_mm: Its blank.
        why: Why this one, in words.
        miss_mm: Usual miss of both ends with the scatter that was taken; None where none could be worked out.
    """

    bar_id: str
    length_mm: float
    why: str
    miss_mm: float | None = None


def propose_spare(
    folder: ProjectFolder, pieces: Sequence[Piece], sheets: Mapping[str, BarSheet]
) -> SpareProposal:
    """The bar whose ends miss most with the usual scatter; without one the longest with the most bends.

    Args:
        folder: The project.
        pieces: Blanks of one tube size.
        sheets: Their sheets, by bar.
    """
    missed = dict(_misses(folder, (piece.name for piece in pieces if sheets[piece.name].steps), sheets))
    if missed:
        name = min(missed, key=lambda bar: (-missed[bar][0], bar))
        length_mm = next(piece.length_mm for piece in pieces if piece.name == name)
        miss_mm, source = missed[name]
        why = f"its ends usually miss by {miss_mm:.1f} mm, the most of this size ({source})"
        return SpareProposal(bar_id=name, length_mm=length_mm, why=why, miss_mm=miss_mm)
    piece = min(pieces, key=lambda one: (-len(sheets[one.name].steps), -one.length_mm, one.name))
    bends = len(sheets[piece.name].steps)
    why = "the longest with the most bends" if bends else "the longest; all of this size are straight"
    return SpareProposal(bar_id=piece.name, length_mm=piece.length_mm, why=why)


def _misses(
    folder: ProjectFolder, names: Iterable[str], sheets: Mapping[str, BarSheet]
) -> Iterable[tuple[str, tuple[float, str]]]:
    for name in names:
        if not sheets[name].calibrated:
            continue
        for own in (True, False):
            wishes = ToleranceWishes(scatter=HandScatter(), from_calibration=own, trials=_TRIALS)
            try:
                found = tolerance_of_member(folder, name, wishes)
            except UserError:
                continue
            source = found.angle_source if own else f"scatter: {found.angle_source}"
            yield name, (found.tolerance.both_ends_miss_mm, source)
            break

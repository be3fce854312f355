"""What tube is to be bought for a cage, in whole sticks."""

from dataclasses import dataclass, replace

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.quantities import Quantities
from hoopwright.jobs.stick_rates import kerf_for
from hoopwright.stock.bought import SticksNeeded, sticks_needed
from hoopwright.stock.pieces import Piece
from hoopwright.stock.rates import Rates
from hoopwright.tubes import TubeSize


@dataclass(frozen=True, kw_only=True)
class BoughtTube:
    """What is to be bought of one size and steel.

    Args:
        tube: The size.
        steel: In the words of the certificate; empty until said.
        needed: How many sticks of which length.
    """

    tube: TubeSize
    steel: str
    needed: SticksNeeded


def bought_for(found: Quantities, rates: Rates) -> tuple[tuple[BoughtTube, ...], tuple[Finding, ...]]:
    """Sticks of each tube whose rate says how long one is; what does not go into such sticks is told.

    Args:
        found: What the cage takes.
        rates: As typed.
    """
    lengths = {(one.tube, one.steel): rates.stick_mm(one.tube, one.steel) for one in found.tubes}
    known = {at: stick_mm for at, stick_mm in lengths.items() if stick_mm is not None}
    return bought_in(found, known, kerf_for(None, rates))


def bought_in(
    found: Quantities, sticks_mm: dict[tuple[TubeSize, str], float], kerf_mm: float
) -> tuple[tuple[BoughtTube, ...], tuple[Finding, ...]]:
    """The same for stick lengths by size and steel; those without one are left out."""
    bought, told = [], []
    for one in found.tubes:
        stick_mm = sticks_mm.get((one.tube, one.steel))
        if stick_mm is None or not one.pieces_mm:
            continue
        pieces = [
            Piece(name=bar_id, length_mm=mm) for bar_id, mm in zip(one.bar_ids, one.pieces_mm, strict=True)
        ]
        try:
            needed = sticks_needed(pieces, stick_mm, kerf_mm=kerf_mm, what=f"tube {one.tube}")
        except UserError as error:
            told += [replace(one, severity=Severity.WARNING) for one in error.findings]
            continue
        bought.append(BoughtTube(tube=one.tube, steel=one.steel, needed=needed))
    return tuple(bought), tuple(told)

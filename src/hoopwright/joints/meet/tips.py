"""The tips of a cut: the outermost places of its edge, from which a tape is pulled."""

from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Vector

SAME_TIP_MM = 0.1
"""A place that stands back less than this from the outermost is a tip too; a tape shows no more."""


@dataclass(frozen=True, kw_only=True)
class Tip:
    """One tip.

    Args:
        around_deg: Where round the tube, from the datum line.
        inward_mm: From the drawn end along the axis, positive into the bar.
    """

    around_deg: float
    inward_mm: float


def tips_of(around_deg: Vector, inward_mm: Vector, *, within_mm: float = SAME_TIP_MM) -> tuple[Tip, ...]:
    """The tips of an edge once round the tube, the outermost first.

    Args:
        around_deg: Generators in even steps, from the datum line; shape (n,).
        inward_mm: Where each is cut, from the drawn end inward; NaN where it is not; shape (n,).
        within_mm: What stands back no more than this from the outermost is a tip too.
    """
    if np.isnan(inward_mm).all():
        return ()
    filled = np.where(np.isnan(inward_mm), np.inf, inward_mm)
    lowest = float(filled.min())
    is_tip = (filled <= np.roll(filled, 1)) & (filled < np.roll(filled, -1)) & (filled <= lowest + within_mm)
    chosen = np.flatnonzero(is_tip)
    if not len(chosen):
        # square all round: every generator is a tip, and the first stands for all
        chosen = np.array([int(np.argmin(filled))])
    ordered = chosen[np.argsort(filled[chosen], kind="stable")]
    return tuple(Tip(around_deg=float(around_deg[k]), inward_mm=float(filled[k])) for k in ordered)


def nearest_tips(first: tuple[Tip, ...], second: tuple[Tip, ...]) -> tuple[Tip, Tip]:
    """The pair of tips, one of each end, that lie nearest to one line along the tube."""
    pairs = [(a, b) for a in first for b in second]
    return min(pairs, key=lambda pair: round(apart_deg(pair[0].around_deg, pair[1].around_deg), 6))


def apart_deg(first_deg: float, second_deg: float) -> float:
    """Between two places round a tube, 0 to 180."""
    return abs((first_deg - second_deg + 180.0) % 360.0 - 180.0)

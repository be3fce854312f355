"""The least gap along a bar, proven between samples too: a distance changes by no more than one goes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, Node, as_node, centreline
from hoopwright.shell.clearance import judged_stretch
from hoopwright.shell.shell import Shell

_SPACING_MM = 4.0
_PROVEN_MM = 0.02


@dataclass(frozen=True, eq=False, kw_only=True)
class LeastGap:
    """The least gap of a bar between its landings.

    Args:
        gap_mm: From the skin to metal; proven to 0.02 mm.
        place_mm: On the centreline, vehicle frame.
        shares: Places looked at, as shares of the judged length, sorted.
        gaps_mm: Gap at each.
    """

    gap_mm: float
    place_mm: Node
    shares: NDArray[np.float64]
    gaps_mm: NDArray[np.float64]


def least_gap(shell: Shell, bar: Bar, landings_mm: Sequence[float]) -> LeastGap:
    """The least gap between the landings, halving every stretch that could still hide a smaller one.

    Args:
        shell: The scan in the vehicle frame.
        bar: A bar that can be.
        landings_mm: Lengths at A and B that are not judged.
    """
    path = centreline(bar)
    low, high = judged_stretch(path, landings_mm)
    half = bar.tube.od_mm / 2.0
    along = np.linspace(low, high, max(2, int(np.ceil((high - low) / _SPACING_MM)) + 1))
    gaps = shell.nearest(path.at(along)).distance_mm - half
    while True:
        # between two places the distance is at least half of (sum less the way between)
        could = (gaps[:-1] + gaps[1:] - np.diff(along)) / 2.0
        hiding = np.flatnonzero(could < gaps.min() - _PROVEN_MM)
        if not len(hiding):
            break
        middle = (along[hiding] + along[hiding + 1]) / 2.0
        found = shell.nearest(path.at(middle)).distance_mm - half
        along = np.insert(along, hiding + 1, middle)
        gaps = np.insert(gaps, hiding + 1, found)
    least = int(np.argmin(gaps))
    return LeastGap(
        gap_mm=float(gaps[least]),
        place_mm=as_node(path.at(along[least : least + 1])[0]),
        shares=(along - low) / (high - low),
        gaps_mm=gaps,
    )

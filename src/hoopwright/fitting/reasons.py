"""Why a fitted bar still stands off the shell, and where."""

from dataclasses import dataclass

import numpy as np
from scipy.signal import find_peaks

from hoopwright.bars import Node, as_node, bend_table, centreline
from hoopwright.fitting.bar_task import BarTask
from hoopwright.fitting.measuring import widest_near
from hoopwright.fitting.offers import Offer
from hoopwright.shell.shell import Shell

WORTH_SAYING_MM = 8.0
_STEP_MM = 5.0
_NEAR_BEND_MM = 40.0
_NEAR_END_MM = 200.0
_AT_CLAMP_MM = 2.0
_MOST = 4


@dataclass(frozen=True, kw_only=True)
class Reason:
    """A place where a bar stands off, and what keeps it there.

    Args:
        gap_mm: Gap there: the greatest of its stretch.
        along_mm: From end A along the centreline.
        place_mm: On the centreline, vehicle frame.
        region: The metal nearest to it.
        sentence: Why, for a person.
    """

    gap_mm: float
    along_mm: float
    place_mm: Node
    region: str
    sentence: str


def why_off(shell: Shell, task: BarTask, offer: Offer) -> tuple[Reason, ...]:
    """The greatest remaining gaps of an offer with their reasons, the greatest first."""
    path = centreline(offer.bar)
    along = np.arange(task.end_a.landing_mm, path.length_mm - task.end_b.landing_mm, _STEP_MM)
    if len(along) < 3:
        return ()
    gaps = shell.nearest(path.at(along)).distance_mm - task.tube.od_mm / 2.0
    padded = np.concatenate([[-np.inf], gaps, [-np.inf]])
    peaks = find_peaks(padded, height=task.gap_mm + WORTH_SAYING_MM, prominence=4.0)[0] - 1
    peaks = peaks[np.argsort(-gaps[peaks])][:_MOST]
    inner = peaks[(along[peaks] > along[0]) & (along[peaks] < along[-1])]
    along[inner] = [widest_near(shell, path, along[peak], _STEP_MM) for peak in inner]
    points = path.at(along[peaks])
    found = shell.nearest(points)
    regions = shell.prepared.regions.of_triangle[found.triangle]
    return tuple(
        Reason(
            gap_mm=float(found.distance_mm[number] - task.tube.od_mm / 2.0),
            along_mm=float(along[peak]),
            place_mm=as_node(points[number]),
            region=shell.region_names[int(regions[number])],
            sentence=_why(task, offer, float(along[peak])),
        )
        for number, peak in enumerate(peaks)
    )


def _why(task: BarTask, offer: Offer, along_mm: float) -> str:
    table = bend_table(offer.bar)
    begin = 0.0
    stretches = []
    for index, straight in enumerate(table.straights_mm):
        begin += straight
        if index < len(table.angles_deg):
            stretches.append((begin, begin + table.arcs_mm[index]))
            begin += table.arcs_mm[index]
    for index, (low, high) in enumerate(stretches):
        if low - _NEAR_BEND_MM <= along_mm <= high + _NEAR_BEND_MM:
            return (
                f"the {task.clr_mm:g} mm radius of bend {index + 1} ({table.angles_deg[index]:.1f}°) "
                "cannot follow the corner"
            )
    leg = sum(along_mm > high for _, high in stretches)
    if offer.bends and table.straights_mm[leg] < task.clamp_mm + _AT_CLAMP_MM:
        return f"straight {leg + 1} is at the clamp length of {task.clamp_mm:g} mm"
    if _near_fixed_end(task, along_mm, offer.length_mm):
        return "the end stays where it was asked; let it slide to come nearer"
    return f"the shell bows away from straight {leg + 1}; one more bend would follow it"


def _near_fixed_end(task: BarTask, along_mm: float, length_mm: float) -> bool:
    ends = ((along_mm, task.end_a), (length_mm - along_mm, task.end_b))
    return any(at < end.landing_mm + _NEAR_END_MM and end.slide is None for at, end in ends)

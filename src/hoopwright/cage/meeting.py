"""Where bars meet: whether ends reach the bars that they land on, and which bars run through each other."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.spatial import cKDTree

from hoopwright.bars import Bar, Node, centreline
from hoopwright.cage.cage import Cage
from hoopwright.cage.member import End
from hoopwright.cage.resolve import bars_of
from hoopwright.geometry import Points

MEETS_MM = 2.0
_SAMPLED_MM = 4.0
_JOINT_SHARE = 1.5


@dataclass(frozen=True, kw_only=True)
class EndMeeting:
    """An end that lands on another bar.

    Args:
        bar_id: The bar that ends.
        end: `A` or `B`.
        on: The bar that it lands on.
        apart_mm: From the end to that bar's axis.
        place_mm: The end, vehicle frame.
    """

    bar_id: str
    end: str
    on: str
    apart_mm: float
    place_mm: Node

    @property
    def meets(self) -> bool:
        """Whether the axes cross, within 2 mm."""
        return self.apart_mm <= MEETS_MM


@dataclass(frozen=True, kw_only=True)
class Clash:
    """Two bars that run through each other away from their joints.

    Args:
        first: One bar.
        second: The other.
        overlap_mm: How far their skins are inside each other.
        place_mm: Where, vehicle frame.
    """

    first: str
    second: str
    overlap_mm: float
    place_mm: Node


def end_meetings(cage: Cage) -> tuple[EndMeeting, ...]:
    """Every end that lands on a bar, with its distance from that bar's axis.

    Raises:
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    bars = bars_of(cage)
    paths = {name: centreline(bar) for name, bar in bars.items()}
    found = []
    for member in cage.members:
        bar = bars[member.member_id]
        for letter, end, place in (
            ("A", member.end_a, bar.nodes_mm[0]),
            ("B", member.end_b, bar.nodes_mm[-1]),
        ):
            if end.kind == "bar" and end.on is not None:
                apart = paths[end.on].distance_to_mm(place)
                found.append(
                    EndMeeting(bar_id=bar.name, end=letter, on=end.on, apart_mm=apart, place_mm=place)
                )
    return tuple(found)


def clashes(cage: Cage) -> tuple[Clash, ...]:
    """Pairs of bars whose skins overlap away from the joints, the deepest first.

    Ends that land on a bar are left out over one and a half times both diameters: there the tube is coped.

    Raises:
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    bars = bars_of(cage)
    ends = {member.member_id: (member.end_a, member.end_b) for member in cage.members}
    found = []
    for first, second in combinations(bars, 2):
        clash = _clash(bars[first], bars[second], ends[first], ends[second])
        if clash is not None:
            found.append(clash)
    return tuple(sorted(found, key=lambda clash: -clash.overlap_mm))


def _clash(
    first: Bar, second: Bar, first_ends: tuple[End, End], second_ends: tuple[End, End]
) -> Clash | None:
    reach = (first.tube.od_mm + second.tube.od_mm) / 2.0
    joint = 2.0 * _JOINT_SHARE * reach
    here, there = _between(first, first_ends, joint), _between(second, second_ends, joint)
    if not len(here) or not len(there):
        return None
    found, partners = cKDTree(there).query(here, distance_upper_bound=reach)
    distance, partner = np.asarray(found), np.asarray(partners)
    nearest = int(np.argmin(distance))
    if not np.isfinite(distance[nearest]) or distance[nearest] > reach - 1.0:
        return None
    forward, left, up = (here[nearest] + there[int(partner[nearest])]) / 2.0
    return Clash(
        first=first.name,
        second=second.name,
        overlap_mm=float(reach - distance[nearest]),
        place_mm=(float(forward), float(left), float(up)),
    )


def _between(bar: Bar, ends: tuple[End, End], joint_mm: float) -> Points:
    """Points along the axis, without the ends that land on another bar; shape (n, 3)."""
    path = centreline(bar)
    low = joint_mm if ends[0].kind == "bar" else 0.0
    high = path.length_mm - (joint_mm if ends[1].kind == "bar" else 0.0)
    if high <= low:
        return np.empty((0, 3))
    return path.at(np.linspace(low, high, max(2, int((high - low) / _SAMPLED_MM))))

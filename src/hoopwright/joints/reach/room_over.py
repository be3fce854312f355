"""Room over the hoop's top and over each joint: how far the metal above is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, Node, centreline
from hoopwright.cage import Cage, Role
from hoopwright.joints.reach.seam import WeldSeam
from hoopwright.shell.clearance import TubeToMeasure, measure_gaps
from hoopwright.shell.shell import Shell

_ABOVE = 0.7071
"""Metal counts as above within 45 degrees of upright."""
_NEAR_JOINT_MM = 60.0
_STEP_MM = 5.0
_HOOPS = (Role.MAIN_HOOP, Role.FRONT_HOOP)


@dataclass(frozen=True, kw_only=True)
class RoomOver:
    """Room between the skin of a tube and the metal above it.

    Args:
        about: A hoop, or a joint.
        bars: Its bars.
        gap_mm: From the skin to the metal.
        region: The metal.
        place_mm: Where, on the axis of the tube, vehicle frame.
    """

    about: str
    bars: tuple[str, ...]
    gap_mm: float
    region: str
    place_mm: Node


def rooms_over(
    shell: Shell, cage: Cage, bars: dict[str, Bar], seams: Sequence[WeldSeam]
) -> tuple[RoomOver, ...]:
    """Room over the top of every hoop and over the tubes near every joint, the least first.

    Only metal within 45 degrees of upright counts, and only within the 150 mm that gaps are told over.
    """
    names = [
        member.member_id for member in cage.members if member.role in _HOOPS and member.member_id in bars
    ]
    hoops = [(f"top of {name}", (name,), bars[name], None) for name in names]
    joints = [
        (seam.name, seam.bars, bars[name], np.array(seam.middle_mm))
        for seam in seams
        for name in seam.bars
        if seam.kind == "bar" and name in bars
    ]
    return _least_of_each(_over(shell, [*hoops, *joints]))


def _over(
    shell: Shell, wanted: Sequence[tuple[str, tuple[str, ...], Bar, np.ndarray | None]]
) -> list[RoomOver]:
    tubes = [_tube(about, bar, near) for about, _, bar, near in wanted]
    found = []
    for (about, bars, _, _), gaps in zip(wanted, measure_gaps(shell, tubes), strict=True):
        for place in gaps.regions:
            way = np.subtract(place.metal_mm, place.axis_mm)
            length = float(np.linalg.norm(way))
            if length > 0.0 and way[2] / length >= _ABOVE:
                found.append(
                    RoomOver(
                        about=about,
                        bars=bars,
                        gap_mm=place.gap_mm,
                        region=place.region,
                        place_mm=place.axis_mm,
                    )
                )
    return found


def _tube(about: str, bar: Bar, near: np.ndarray | None) -> TubeToMeasure:
    """A hoop over half its height, or a tube of which only the stretch near a joint is judged."""
    path = centreline(bar)
    if near is None:
        along = path.even_distances(_STEP_MM)
        up = path.at(along)[:, 2]
        high = along[up >= (up.min() + up.max()) / 2.0]
        return TubeToMeasure(
            name=about,
            path=path,
            od_mm=bar.tube.od_mm,
            landing_a_mm=float(high[0]),
            landing_b_mm=float(along[-1] - high[-1]),
        )
    at = path.nearest_mm(near)
    return TubeToMeasure(
        name=about,
        path=path,
        od_mm=bar.tube.od_mm,
        landing_a_mm=max(0.0, min(at, path.length_mm) - _NEAR_JOINT_MM),
        landing_b_mm=max(0.0, path.length_mm - max(at, 0.0) - _NEAR_JOINT_MM),
    )


def _least_of_each(rooms: Iterable[RoomOver]) -> tuple[RoomOver, ...]:
    least: dict[str, RoomOver] = {}
    for room in sorted(rooms, key=lambda one: one.gap_mm):
        least.setdefault(room.about, room)
    return tuple(least.values())

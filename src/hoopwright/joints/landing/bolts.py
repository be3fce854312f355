"""Bolts through a plate: where, how wide the holes are, and what room they have."""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from hoopwright.geometry import Points, Vector
from hoopwright.joints.landing.panels import PanelHole

CLEARANCE_HOLE_MM = MappingProxyType(
    {
        4.0: 4.5,
        5.0: 5.5,
        6.0: 6.6,
        8.0: 9.0,
        10.0: 11.0,
        12.0: 13.5,
        14.0: 15.5,
        16.0: 17.5,
        20.0: 22.0,
        24.0: 26.0,
    }
)
"""Source: ISO 273, medium series, from memory."""
_EDGE_BOLTS = 2.0
"""From the middle of a hole to the plate's edge, in bolt diameters: common practice, no source."""
_LEG_BOLTS = 1.5
"""From the middle of a hole to the leg's skin, for nut and spanner: common practice, no source."""


@dataclass(frozen=True, kw_only=True, eq=False)
class BoltPattern:
    """The bolts of a plate.

    Args:
        holes: In the plate.
        to_edge_mm: From the middle of a hole to the edge or the bend.
        to_leg_mm: The least from the middle of a hole to the leg's skin.
        leg_needs_mm: What nut and spanner need there.
    """

    holes: tuple[PanelHole, ...]
    to_edge_mm: float
    to_leg_mm: float
    leg_needs_mm: float


def bolt_pattern(
    outline_mm: Points,
    keep_off_mm: tuple[float, ...],
    *,
    count: int,
    bolt_mm: float,
    leg_mm: Vector,
    od_mm: float,
) -> BoltPattern:
    """Bolts evenly round a plate, the first ones at its corners.

    Args:
        outline_mm: Corners of the sole, shape (n, 3).
        keep_off_mm: What is left free at each edge besides the usual edge distance, for bends.
        count: How many bolts.
        bolt_mm: Nominal diameter.
        leg_mm: Where the leg's axis meets the sole.
        od_mm: Of the leg.
    """
    edge_mm = _EDGE_BOLTS * bolt_mm
    inner = _inset(outline_mm, np.array(keep_off_mm) + edge_mm)
    places = _round(inner, count)
    away = np.linalg.norm(places - leg_mm, axis=1) - od_mm / 2.0
    wide = CLEARANCE_HOLE_MM.get(bolt_mm, round(1.1 * bolt_mm, 1))
    return BoltPattern(
        holes=tuple(PanelHole(centre_mm=place, diameter_mm=wide) for place in places),
        to_edge_mm=edge_mm,
        to_leg_mm=float(away.min()),
        leg_needs_mm=_LEG_BOLTS * bolt_mm,
    )


def _inset(outline_mm: Points, by_mm: Vector) -> Points:
    """Corners moved in from both their edges, in the plane of the outline."""
    ahead = np.roll(outline_mm, -1, axis=0) - outline_mm
    ahead = ahead / np.linalg.norm(ahead, axis=1, keepdims=True)
    found = []
    for k in range(len(outline_mm)):
        back, on = -ahead[k - 1], ahead[k]
        sine = float(np.linalg.norm(np.cross(back, on)))
        found.append(outline_mm[k] + on * by_mm[k - 1] / sine + back * by_mm[k] / sine)
    return np.array(found)


def _round(inner_mm: Points, count: int) -> Points:
    """So many places round an outline: at opposite corners for two, else the corners first, then evenly between."""
    corners = len(inner_mm)
    if count <= corners:
        return inner_mm[[0, 2]] if count == 2 and corners == 4 else inner_mm[:count]
    more = [(count - corners) // corners + (k < (count - corners) % corners) for k in range(corners)]
    found = []
    for k in range(corners):
        start, end = inner_mm[k], inner_mm[(k + 1) % corners]
        found += [start + (end - start) * step / (more[k] + 1) for step in range(more[k] + 1)]
    return np.array(found)

"""Strut tops by rays: flat metal near an axle that stands clear of what lies round it.

Common practice, no source: a backstay or strut link stands on the strut top, close to the axle's line.
"""

import numpy as np

from hoopwright.fitting.cabin_places import Seen
from hoopwright.fitting.cabin_rays import CabinRays
from hoopwright.geometry import Points, Vector

_STEP_MM = 15.0
_ABOUT_AXLE_MM = 210.0
_SIDE_SHARES = (0.62, 1.02)
_SKY_SHARE = 0.66
_LEAST_SHARE = 0.30
_TOWER_RADIUS_MM = 45.0
_FLAT_MM = 30.0
_FULL = 0.6
_RING_MM = 110.0
_SAME_TOP_MM = 15.0
_BESIDE_MM = 220.0
_CLEAR_MM = 60.0
_OVER_MM, _UNDER_SKIN_MM = 120.0, 30.0


def strut_top(cabin: CabinRays, side: int, axle_mm: float, sill_mm: float, where: str) -> Seen | None:
    """The flat metal nearest the middle of the highest top near an axle; looked for under a wing too.

    Args:
        cabin: Its rays.
        side: 1 is left, -1 is right.
        axle_mm: Forward place of the axle.
        sill_mm: How far out the inside of the sill lies.
        where: Front or rear, in words.
    """
    forward, left = np.meshgrid(
        np.arange(axle_mm - _ABOUT_AXLE_MM, axle_mm + _ABOUT_AXLE_MM, _STEP_MM),
        np.arange(_SIDE_SHARES[0] * sill_mm, _SIDE_SHARES[1] * sill_mm, _STEP_MM),
    )
    sky = np.column_stack(
        [forward.ravel(), side * left.ravel(), np.full(forward.size, cabin.up_mm(_SKY_SHARE))]
    )
    first = cabin.down(sky)
    first = first[np.isfinite(first[:, 2])]
    place = _top_of(cabin, first, _OVER_MM)
    if place is not None:
        return Seen(place, f"the highest flat metal that stands clear near the {where} axle")
    second = cabin.down(first - [0.0, 0.0, 5.0]) if len(first) else first
    second = second[np.isfinite(second[:, 2])]
    place = _top_of(cabin, second, _UNDER_SKIN_MM)
    if place is None:
        return None
    return Seen(place, f"the highest flat metal near the {where} axle, under an outer skin")


def _top_of(cabin: CabinRays, hits: Points, over_mm: float) -> Vector | None:
    """Middle of the highest flat metal that stands clear, moved onto metal."""
    high = hits[hits[:, 2] > cabin.up_mm(_LEAST_SHARE)]
    patches = [patch for place in high if (patch := _flat_about(hits, place)) is not None]
    for patch in sorted(patches, key=lambda one: -one[2]):
        if _stands_clear(cabin, patch, over_mm):
            near = hits[np.hypot(*(hits[:, :2] - patch[:2]).T) < _RING_MM]
            top = near[np.abs(near[:, 2] - patch[2]) < _FLAT_MM]
            middle = top[:, :2].mean(axis=0)
            level = np.array([one for one in patches if abs(one[2] - patch[2]) < _SAME_TOP_MM])
            return np.asarray(level[np.argmin(np.hypot(*(level[:, :2] - middle).T))])
    return None


def _flat_about(hits: Points, place: Vector) -> Vector | None:
    """A place when metal as wide as a foot lies flat about it."""
    near = hits[np.hypot(*(hits[:, :2] - place[:2]).T) < _TOWER_RADIUS_MM]
    is_flat = np.abs(near[:, 2] - place[2]) < _FLAT_MM
    cells = np.pi * (_TOWER_RADIUS_MM / _STEP_MM) ** 2
    return place if is_flat.sum() > _FULL * cells else None


def _stands_clear(cabin: CabinRays, place: Vector, over_mm: float) -> bool:
    """Whether it falls away both before and behind, which a bonnet or a wing does not."""
    beside = np.array([[_BESIDE_MM, 0.0], [-_BESIDE_MM, 0.0]])
    starts = np.column_stack([place[:2] + beside, np.full(2, place[2] + over_mm)])
    heights = np.nan_to_num(cabin.down(starts)[:, 2], nan=-np.inf)
    return bool((heights < place[2] - _CLEAR_MM).all())

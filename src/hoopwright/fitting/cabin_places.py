"""Places of one side of a cabin by rays: screen corner, hoop foot at the B-pillar, front foot behind the bulkhead.

Common practice, no source: the main hoop stands at the B-pillar beside the sill, the side bar's foot in the front
corner of the floor.
"""

from typing import NamedTuple

import numpy as np
from scipy.ndimage import binary_closing, median_filter

from hoopwright.bars import Node
from hoopwright.fitting.cabin_rays import CabinRays
from hoopwright.geometry import Vector

_BESIDE_WALL_MM = 45.0
_STEP_MM = 15.0
_WINDOW_SHARES = (0.70, 0.74, 0.78)
_CORNER_SHARES = (0.83, 0.85, 0.87, 0.885, 0.90)
_AS_WIDE = 0.85
_BRIDGED = 3
_LEAST_OPENING = 10
_WIDEST_PILLAR = 25
_BEHIND_EDGE_MM = 45.0
_STEEPEST_FLOOR_MM = 150.0
_BEHIND_BULKHEAD_MM = 90.0
_MEDIAN_STATIONS = 7
_BELOW_FLOOR_MM = 60.0
_STEP_IN_FLOOR_MM = 80.0
_AHEAD_MM = 300.0
_UNDER_DASH_SHARE = 0.3
_OVER_FLOOR_MM = 200.0


class Seen(NamedTuple):
    """A place on one side.

    Args:
        place_mm: Where, in the frame of the rays.
        why: What is there, in words.
    """

    place_mm: Vector
    why: str


def screen_corner(cabin: CabinRays, side: int) -> Seen | None:
    """Inside of the A-pillar just behind the front edge of the roof, near the roof."""
    heights = [cabin.up_mm(share) for share in _CORNER_SHARES]
    starts = np.array([[cabin.roof_front_mm - 40.0, 0.0, height] for height in heights])
    hits = cabin.across(starts, side)
    lefts = np.nan_to_num(np.abs(hits[:, 1]), nan=0.0)
    # the header of the roof, seen end-on in a pitched scan, lies farther in than the pillar
    good = hits[(lefts > 300.0) & (lefts > _AS_WIDE * lefts.max())]
    if not len(good):
        return None
    return Seen(np.asarray(good[-1]), "the A-pillar's inside under the front of the roof")


def hoop_foot(cabin: CabinRays, side: int) -> Seen | None:
    """The floor beside the sill at the B-pillar, or at the rear edge of the only opening."""
    stations = np.arange(cabin.roof_front_mm - 150.0, cabin.roof_rear_mm, -_STEP_MM)
    rows = [_is_metal(cabin, side, stations, share) for share in _WINDOW_SHARES]
    pillar = _pillar_mm(cabin, stations, rows)
    why = "the floor beside the sill at the B-pillar"
    if pillar is None:
        edges = [edge for row in rows if (edge := _rear_edge_mm(stations, row)) is not None]
        if not edges:
            return None
        pillar = float(np.median(edges)) - _BEHIND_EDGE_MM
        why = (
            "the floor beside the sill at the rear edge of the door opening, for no opening follows behind it"
        )
    ahead = _before_a_step(cabin, side, pillar)
    if ahead != pillar:
        why += ", moved forward to where the floor is low"
    place = _beside_wall(cabin, side, ahead)
    return None if place is None else Seen(place, why)


def _is_metal(cabin: CabinRays, side: int, stations: Vector, share: float) -> np.ndarray:
    """Where metal stands beside the cabin at a height, small holes of the scan bridged."""
    starts = np.column_stack([stations, np.zeros(len(stations)), np.full(len(stations), cabin.up_mm(share))])
    is_metal = np.isfinite(cabin.across(starts, side)[:, 1])
    wide = np.pad(is_metal, _BRIDGED, mode="edge")
    return np.asarray(binary_closing(wide, np.ones(_BRIDGED, dtype=bool))[_BRIDGED:-_BRIDGED])


def _runs(row: np.ndarray) -> list[tuple[int, int]]:
    """Start and stop of each run of one kind, in order."""
    edges = np.flatnonzero(np.diff(row.astype(int))) + 1
    return list(zip([0, *edges], [*edges, len(row)], strict=True))


def _pillar_mm(cabin: CabinRays, stations: Vector, rows: list[np.ndarray]) -> float | None:
    """Forward place of the middle of the metal between two openings, nearest the roof's middle."""
    found: list[float] = []
    for row in rows:
        runs = _runs(row)
        for before, (start, stop), after in zip(runs, runs[1:], runs[2:], strict=False):
            is_open = min(before[1] - before[0], after[1] - after[0]) >= _LEAST_OPENING
            if row[start] and is_open and 2 <= stop - start <= _WIDEST_PILLAR:
                found.append(float(stations[start:stop].mean()))
    if not found:
        return None
    wanted = 0.5 * (cabin.roof_front_mm + cabin.roof_rear_mm)
    best = min(found, key=lambda place: abs(place - wanted))
    return float(np.median([place for place in found if abs(place - best) < 150.0]))


def _rear_edge_mm(stations: Vector, row: np.ndarray) -> float | None:
    """Forward place of the rear edge of the longest opening, where metal follows."""
    openings = [(start, stop) for start, stop in _runs(row) if not row[start] and stop < len(row)]
    start, stop = max(openings, key=lambda one: one[1] - one[0], default=(0, 0))
    return float(stations[stop]) if stop - start >= 2 * _LEAST_OPENING else None


def _before_a_step(cabin: CabinRays, side: int, forward_mm: float) -> float:
    """The place itself, or the nearest one ahead that is not on a seat shelf or a kick-up of the floor."""
    stations = np.arange(forward_mm, forward_mm + _AHEAD_MM, _STEP_MM)
    starts = np.column_stack(
        [stations, np.full(len(stations), side * 450.0), np.full(len(stations), cabin.up_mm(0.5))]
    )
    floor = cabin.down(starts)[:, 2]
    if not np.isfinite(floor).any():
        return forward_mm
    is_high = floor > np.nanmedian(floor[len(floor) // 2 :]) + _STEP_IN_FLOOR_MM
    low = np.flatnonzero(~is_high)
    if not is_high[0] or not len(low):
        return forward_mm
    return float(stations[low[0]]) + _BESIDE_WALL_MM


def _beside_wall(cabin: CabinRays, side: int, forward_mm: float) -> Vector | None:
    """The floor as near to the side as a tube's foot stands."""
    floor = cabin.down([[forward_mm, side * 450.0, cabin.up_mm(_UNDER_DASH_SHARE)]])[0, 2]
    if not np.isfinite(floor):
        return None
    shifts, heights = np.meshgrid((-25.0, 0.0, 25.0), (50.0, 80.0, 110.0, 140.0, 170.0))
    starts = np.column_stack(
        [forward_mm + shifts.ravel(), np.full(shifts.size, side * 400.0), floor + heights.ravel()]
    )
    walls = np.abs(cabin.across(starts, side)[:, 1])
    if not np.isfinite(walls).any():
        return None
    left = float(np.nanmin(walls)) - _BESIDE_WALL_MM
    place = cabin.down([[forward_mm, side * left, floor + _OVER_FLOOR_MM]])[0]
    return place if np.isfinite(place).all() else None


def front_foot(cabin: CabinRays, side: int, hoop: Node) -> Seen | None:
    """Behind where the floor begins to climb to the bulkhead."""
    stations = np.arange(hoop[0] + 500.0, hoop[0] + 1800.0, _STEP_MM)
    left = np.full(len(stations), side * (hoop[1] - 60.0))
    floor = cabin.down(
        np.column_stack([stations, left, np.full(len(stations), cabin.up_mm(_UNDER_DASH_SHARE))])
    )[:, 2]
    # rays through a hole in the floor say nothing; a thing that stands on it is narrower than the median's window
    is_floor = np.nan_to_num(floor, nan=-np.inf) > hoop[2] - _BELOW_FLOOR_MM
    if not is_floor.any():
        return None
    whole = np.interp(stations, stations[is_floor], floor[is_floor])
    smooth = median_filter(whole, size=_MEDIAN_STATIONS, mode="nearest")
    low = smooth < hoop[2] + _STEEPEST_FLOOR_MM
    if low.all() or not low[0]:
        return None
    place = _beside_wall(cabin, side, float(stations[np.argmin(low)]) - _BEHIND_BULKHEAD_MM)
    return None if place is None else Seen(place, "the floor in the corner behind the bulkhead")

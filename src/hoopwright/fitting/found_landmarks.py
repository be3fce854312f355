"""Landmarks of a first cage found in the scan by rays, for a person to look at: found, not picked.

Common practice, no source: the main hoop stands at the B-pillar beside the sill, the side bar's foot in the front
corner of the floor, the backstay's on the rear strut top, which lies where the wheel house is narrowest.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import median_filter

from hoopwright.bars import Node
from hoopwright.findings import Finding, Severity
from hoopwright.fitting.cabin_rays import CabinRays, look_into_cabin
from hoopwright.geometry import Vector
from hoopwright.shell.shell import Shell

_BESIDE_WALL_MM = 45.0
_STEP_MM = 15.0
_WINDOW_SHARES = (0.70, 0.74, 0.78)
_CORNER_SHARES = (0.83, 0.85, 0.87, 0.885, 0.90)
_AS_WIDE = 0.85
_SIDES_AGREE_MM = 60.0
_STEEPEST_FLOOR_MM = 150.0
_BEHIND_BULKHEAD_MM = 90.0
_MEDIAN_STATIONS = 7
_BELOW_FLOOR_MM = 60.0
_TOWER_RADIUS_MM = 45.0
_FLAT_MM = 30.0


@dataclass(frozen=True, kw_only=True)
class FoundLandmark:
    """A place found in the scan.

    Args:
        place_mm: On the left side, vehicle frame.
        why: What was found there, in words.
        sure: Whether both sides of the shell show it at the same place.
    """

    place_mm: Node
    why: str
    sure: bool


def find_landmarks(shell: Shell) -> dict[str, FoundLandmark]:
    """Landmarks of the left side that the scan shows; what it does not show is left out.

    Args:
        shell: The scan in the vehicle frame.
    """
    cabin = look_into_cabin(shell)
    if cabin is None:
        return {}
    found: dict[str, FoundLandmark | None] = {
        "screen_corner": _of_both(
            [_screen_corner(cabin, side) for side in (1, -1)],
            "the A-pillar's inside under the front of the roof",
        )
    }
    hoops = [_hoop_foot(cabin, side) for side in (1, -1)]
    found["hoop_foot"] = _of_both(hoops, "the floor beside the sill at the B-pillar")
    hoop = found["hoop_foot"]
    if hoop is not None:
        at = hoop.place_mm
        found["front_foot"] = _of_both(
            [_front_foot(cabin, side, at) for side in (1, -1)],
            "the floor in the corner behind the bulkhead",
        )
        found["backstay_foot"] = _of_both(
            [_strut_top(cabin, side, at[0] - 450.0, at[0] - 1500.0, at[1]) for side in (1, -1)],
            "the highest flat metal over the narrowest part of the rear wheel house",
        )
        front = found["front_foot"]
        if front is not None:
            ahead = front.place_mm[0]
            found["front_strut"] = _of_both(
                [_strut_top(cabin, side, ahead + 850.0, ahead + 350.0, at[1]) for side in (1, -1)],
                "the highest flat metal over the narrowest part of the front wheel house",
            )
    return {name: one for name, one in found.items() if one is not None}


def with_found(
    shell: Shell, given: Mapping[str, Node], wanted: Sequence[str]
) -> tuple[dict[str, Node], tuple[Finding, ...]]:
    """Given landmarks, with those that are wanted and missing found in the scan where both sides show them.

    Args:
        shell: The scan in the vehicle frame.
        given: Picked places.
        wanted: Names to look for.

    Returns:
        The places, and a finding for each that was found (`FIT-054`) or is too doubtful to use (`FIT-055`).
    """
    missing = [name for name in wanted if name not in given]
    found = find_landmarks(shell) if missing else {}
    told = tuple(_told(name, found[name]) for name in missing if name in found)
    return {
        **given,
        **{name: found[name].place_mm for name in missing if name in found and found[name].sure},
    }, told


def _told(name: str, found: FoundLandmark) -> Finding:
    at = ",".join(f"{value:.0f}" for value in found.place_mm)
    if found.sure:
        return Finding(
            code="FIT-054",
            severity=Severity.NOTE,
            sentence=f"{name} was found, not picked, at {at}: {found.why}.",
            todo=f"Look at it in the pictures; give --landmark {name}=F,L,U if it is not where you want it.",
            objects=(name,),
            point_mm=found.place_mm,
        )
    return Finding(
        code="FIT-055",
        sentence=f"{name} is perhaps at {at} ({found.why}), but the two sides do not agree, so it was not used.",
        todo=f"Pick it on the left side: --landmark {name}=F,L,U.",
        objects=(name,),
        point_mm=found.place_mm,
    )


def _of_both(sides: list[Vector | None], why: str) -> FoundLandmark | None:
    """The mean of what the two sides show; sure when they agree, left out when neither shows it."""
    seen = [side * [1.0, np.sign(side[1]), 1.0] for side in sides if side is not None]
    if not seen:
        return None
    agree = len(seen) == 2 and float(np.linalg.norm(seen[0] - seen[1])) < _SIDES_AGREE_MM
    forward, left, up = np.mean(seen, axis=0) if agree else seen[0]
    return FoundLandmark(place_mm=(float(forward), float(left), float(up)), why=why, sure=agree)


def _screen_corner(cabin: CabinRays, side: int) -> Vector | None:
    """Inside of the A-pillar just behind the front edge of the roof, near the roof."""
    heights = [cabin.up_mm(share) for share in _CORNER_SHARES]
    starts = np.array([[cabin.roof_front_mm - 40.0, 0.0, height] for height in heights])
    hits = cabin.across(starts, side)
    lefts = np.nan_to_num(np.abs(hits[:, 1]), nan=0.0)
    # the header of the roof, seen end-on in a pitched scan, lies farther in than the pillar
    good = hits[(lefts > 300.0) & (lefts > _AS_WIDE * lefts.max())]
    return np.asarray(good[-1]) if len(good) else None


def _b_pillar_mm(cabin: CabinRays, side: int) -> float | None:
    """Forward place of the middle of the metal between two openings at window height, nearest the roof's middle."""
    stations = np.arange(cabin.roof_front_mm - 150.0, cabin.roof_rear_mm, -_STEP_MM)
    runs: list[tuple[float, float]] = []
    for share in _WINDOW_SHARES:
        starts = np.column_stack(
            [stations, np.zeros(len(stations)), np.full(len(stations), cabin.up_mm(share))]
        )
        is_metal = np.isfinite(cabin.across(starts, side)[:, 1])
        edges = np.flatnonzero(np.diff(is_metal.astype(int))) + 1
        for start, stop in zip([0, *edges], [*edges, len(stations)], strict=True):
            closed = start > 0 and stop < len(stations) and is_metal[start]
            if closed and 2 <= stop - start <= 25:
                runs.append((float(stations[start:stop].mean()), float(stop - start)))
    if not runs:
        return None
    wanted = 0.5 * (cabin.roof_front_mm + cabin.roof_rear_mm)
    best = min(runs, key=lambda run: abs(run[0] - wanted))[0]
    near = [place for place, _ in runs if abs(place - best) < 150.0]
    return float(np.median(near))


def _hoop_foot(cabin: CabinRays, side: int) -> Vector | None:
    forward = _b_pillar_mm(cabin, side)
    return None if forward is None else _beside_wall(cabin, side, forward)


def _beside_wall(cabin: CabinRays, side: int, forward_mm: float) -> Vector | None:
    """The floor as near to the side as a tube's foot stands."""
    floor = cabin.down([[forward_mm, side * 450.0, cabin.up_mm(0.5)]])[0, 2]
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
    place = cabin.down([[forward_mm, side * left, floor + 200.0]])[0]
    return place if np.isfinite(place).all() else None


def _front_foot(cabin: CabinRays, side: int, hoop: Node) -> Vector | None:
    """Behind where the floor begins to climb to the bulkhead."""
    stations = np.arange(hoop[0] + 500.0, hoop[0] + 1800.0, _STEP_MM)
    left = np.full(len(stations), side * (hoop[1] - 60.0))
    floor = cabin.down(np.column_stack([stations, left, np.full(len(stations), cabin.up_mm(0.5))]))[:, 2]
    # rays through a hole in the floor say nothing; a thing that stands on it is narrower than the median's window
    is_floor = np.nan_to_num(floor, nan=-np.inf) > hoop[2] - _BELOW_FLOOR_MM
    if not is_floor.any():
        return None
    whole = np.interp(stations, stations[is_floor], floor[is_floor])
    smooth = median_filter(whole, size=_MEDIAN_STATIONS, mode="nearest")
    low = smooth < hoop[2] + _STEEPEST_FLOOR_MM
    if low.all() or not low[0]:
        return None
    return _beside_wall(cabin, side, float(stations[np.argmin(low)]) - _BEHIND_BULKHEAD_MM)


def _strut_top(cabin: CabinRays, side: int, front_mm: float, rear_mm: float, sill_mm: float) -> Vector | None:
    """Highest flat metal about the station where the side comes in farthest."""
    stations = np.arange(front_mm, rear_mm, -_STEP_MM)
    shares = (0.16, 0.22, 0.28, 0.34, 0.40)
    widths = np.array([
        np.abs(cabin.across(np.column_stack([stations, np.full_like(stations, side * 250.0),
                                             np.full_like(stations, cabin.up_mm(share))]), side)[:, 1])
        for share in shares
    ])  # fmt: skip
    width = np.minimum(np.nan_to_num(widths, nan=900.0), 900.0).mean(axis=0)
    smooth = np.convolve(np.pad(width, 5, mode="edge"), np.full(11, 1.0 / 11.0), mode="valid")
    return _highest_flat(cabin, side, float(stations[np.argmin(smooth)]), sill_mm)


def _highest_flat(cabin: CabinRays, side: int, axle_mm: float, sill_mm: float) -> Vector | None:
    forward, left = np.meshgrid(
        axle_mm + np.arange(-150.0, 151.0, _STEP_MM), np.arange(0.68 * sill_mm, 1.02 * sill_mm, _STEP_MM)
    )
    starts = np.column_stack([forward.ravel(), side * left.ravel(), np.full(forward.size, cabin.up_mm(0.66))])
    hits = cabin.down(starts)
    hits = hits[np.isfinite(hits[:, 2])]
    best: Vector | None = None
    cells = np.pi * (_TOWER_RADIUS_MM / _STEP_MM) ** 2
    for place in hits[hits[:, 2] > cabin.up_mm(0.30)]:
        near = hits[np.hypot(*(hits[:, :2] - place[:2]).T) < _TOWER_RADIUS_MM]
        is_flat = np.abs(near[:, 2] - place[2]) < _FLAT_MM
        if is_flat.sum() > 0.6 * cells and (best is None or place[2] > best[2] + 1.0):
            best = np.append(near[is_flat][:, :2].mean(axis=0), place[2])
    return best

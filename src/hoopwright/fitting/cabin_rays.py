"""Rays inside a cabin: where roof and floor are, and what metal lies across or below."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.geometry import Points
from hoopwright.shell.shell import Shell

_STEP_MM = 20.0
_ROOF_DROP_MM = 200.0
_HALF_HEIGHT = 0.5
_SHORTEST_ROOF_MM = 500.0
_BRIDGED_STATIONS = 3


@dataclass(frozen=True, eq=False, kw_only=True)
class CabinRays:
    """A cabin and its rays.

    Args:
        shell: The scan.
        roof_front_mm: Forward place of the roof's front edge in the middle.
        roof_rear_mm: That of its rear edge.
        floor_mm: Up of the floor in the middle of the cabin.
        roof_mm: Up of the top of the roof.
    """

    shell: Shell
    roof_front_mm: float
    roof_rear_mm: float
    floor_mm: float
    roof_mm: float

    def up_mm(self, height_share: float) -> float:
        """A height between floor (0) and roof (1)."""
        return self.floor_mm + height_share * (self.roof_mm - self.floor_mm)

    def across(self, starts_mm: ArrayLike, side: int) -> Points:
        """First metal to the left (side 1) or right (-1) of places; NaN without any, shape (n, 3)."""
        return self.shell.first_hits(
            np.asarray(starts_mm, dtype=float), np.array([0.0, float(side), 0.0])
        ).place_mm

    def down(self, starts_mm: ArrayLike) -> Points:
        """First metal below places; NaN without any, shape (n, 3)."""
        return self.shell.first_hits(np.asarray(starts_mm, dtype=float), np.array([0.0, 0.0, -1.0])).place_mm


def look_into_cabin(shell: Shell) -> CabinRays | None:
    """Find roof and floor; None when the scan shows no roof or no floor under it."""
    low, high = shell.body_box()
    stations = np.arange(high[0], low[0], -_STEP_MM)
    lefts = (-150.0, 0.0, 150.0)
    tops = np.array([_below(shell, stations, left, float(high[2]) + 50.0) for left in lefts])
    up = np.max(np.nan_to_num(tops, nan=-np.inf), axis=0)
    if not np.isfinite(up).any() or up.max() < low[2] + _HALF_HEIGHT * (high[2] - low[2]):
        return None
    run = _longest_run(up > up.max() - _ROOF_DROP_MM)
    if run is None:
        return None
    front, rear = float(stations[run[0]]), float(stations[run[1]])
    roof = float(up[run[0] : run[1] + 1].max())
    if front - rear < _SHORTEST_ROOF_MM:
        return None
    inside = np.linspace(front, 0.5 * (front + rear), 15)
    floors = np.concatenate(
        [_below(shell, inside, left, 0.5 * (roof + float(low[2]))) for left in (-350.0, 350.0)]
    )
    if np.isfinite(floors).mean() < 0.3:
        return None
    floor = float(np.nanmedian(floors))
    return CabinRays(shell=shell, roof_front_mm=front, roof_rear_mm=rear, floor_mm=floor, roof_mm=roof)


def _below(shell: Shell, stations: np.ndarray, left_mm: float, up_mm: float) -> np.ndarray:
    starts = np.column_stack([stations, np.full(len(stations), left_mm), np.full(len(stations), up_mm)])
    return shell.first_hits(starts, np.array([0.0, 0.0, -1.0])).place_mm[:, 2]


def _longest_run(is_high: np.ndarray) -> tuple[int, int] | None:
    """First and last station of the longest run, small holes bridged."""
    places = np.flatnonzero(is_high)
    if not len(places):
        return None
    runs = np.split(places, np.flatnonzero(np.diff(places) > _BRIDGED_STATIONS) + 1)
    longest = max(runs, key=lambda run: run[-1] - run[0])
    return int(longest[0]), int(longest[-1])

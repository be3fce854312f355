"""Names for regions, from where they are and how they lie."""

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numba import njit

from hoopwright.geometry import Transform
from hoopwright.shell.nearest import nearest_metal
from hoopwright.shell.prepared import PreparedScan
from hoopwright.shell.records import NamedPlace

_NAMED_WITHIN_MM = 50.0


def name_regions(
    prepared: PreparedScan, to_vehicle: Transform, named_places: Sequence[NamedPlace] = ()
) -> tuple[str, ...]:
    """One name for each region: the person's, or side, lie and height, such as `left wall, up 0 to 620`."""
    regions = prepared.regions
    middle = to_vehicle.points(regions.middle_mm)
    normal = to_vehicle.directions(regions.normal)
    # of the metal itself: a box about it in the scan's own axes is taller in a scan that lies askew
    low, high = np.full(regions.count, np.inf), np.full(regions.count, -np.inf)
    _heights(prepared.tree.corners, regions.of_triangle, to_vehicle.rotation[2], low, high)
    seen = np.isfinite(low)
    low = np.where(seen, low + to_vehicle.shift_mm[2], middle[:, 2])
    high = np.where(seen, high + to_vehicle.shift_mm[2], middle[:, 2])
    car_middle = float(np.median(to_vehicle.points(prepared.surfels.middle_mm[::16])[:, 2]))
    names = ["a small part"]
    for at, n, bottom, top in zip(middle[1:], normal[1:], low[1:], high[1:], strict=True):
        names.append(f"{_side(at[1])}{_lie(n, at[2] > car_middle)}, {_height(bottom, top)}")
    counts = Counter(names)
    names = [
        name if counts[name] == 1 else f"{name}, forward {at[0]:.0f}"
        for name, at in zip(names, middle, strict=True)
    ]
    for place in named_places:
        found = nearest_metal(
            prepared.tree, to_vehicle.inverse().points([place.place_mm]), reach_mm=_NAMED_WITHIN_MM
        )
        if found.triangle[0] >= 0:
            names[int(regions.of_triangle[found.triangle[0]])] = place.name
    return tuple(names)


def _height(low_mm: float, high_mm: float) -> str:
    low, high = round(low_mm), round(high_mm)
    return f"up {low}" if low == high else f"up {low} to {high}"


@njit(cache=True, nogil=True)
def _heights(corners, of_triangle, up, low, high):  # type: ignore[no-untyped-def]
    """Lowest and highest corner of each region along `up`."""
    for t in range(len(corners)):
        region = of_triangle[t]
        for corner in range(3):
            at = 0.0
            for axis in range(3):
                at += up[axis] * corners[t, 3 * corner + axis]
            low[region] = min(low[region], at)
            high[region] = max(high[region], at)


def _side(left_mm: float) -> str:
    if abs(left_mm) < 60.0:
        return ""
    return "left " if left_mm > 0.0 else "right "


def _lie(normal: np.ndarray, is_upper: bool) -> str:
    forward, left, up = np.abs(normal)
    if up > 0.85:
        return "roof" if is_upper else "floor"
    if left > 0.85:
        return "wall"
    if forward > 0.85:
        return "cross wall"
    if left > forward:
        return "upper slope" if is_upper else "lower slope"
    return "front or rear slope"

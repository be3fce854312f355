"""Names for regions, from where they are and how they lie."""

from collections import Counter
from collections.abc import Sequence

import numpy as np

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
    corners = np.stack([regions.lowest_mm, regions.highest_mm])
    spread = np.abs(np.diff(np.where(np.isfinite(corners), corners, 0.0), axis=0))[0] / 2.0
    tall = np.abs(to_vehicle.rotation[2]) @ spread.T
    car_middle = float(np.median(to_vehicle.points(prepared.surfels.middle_mm[::16])[:, 2]))
    names = ["a small part"]
    for at, n, half in zip(middle[1:], normal[1:], tall[1:], strict=True):
        names.append(
            f"{_side(at[1])}{_lie(n, at[2] > car_middle)}, up {at[2] - half:.0f} to {at[2] + half:.0f}"
        )
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

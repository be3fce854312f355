"""The workshop floor in a scan of a car: told apart from the car's own floor, and left out."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Plane, Vector, unit_vector
from hoopwright.shell.surfels import Surfels, piece_cells

_BIN_MM = 10.0
_LEAST_SHARE = 0.02
_ROOM_BESIDE_MM = 60.0


def without_workshop_floor(surfels: Surfels, level: Vector, centre: Plane) -> Surfels | None:
    """The scan's body without a workshop floor and what stands free on it; None when there is no floor.

    A workshop floor is a level sheet of metal-less ground with next to nothing below it, that reaches out
    beyond the sides of everything above it. A car's own floor lies between its sides.

    Args:
        surfels: The scan's body.
        level: Unit direction square to floor and roof, either way.
        centre: The centre plane.
    """
    for up in (level, -level):
        floor_mm = _floor_height(surfels, up, centre)
        if floor_mm is not None:
            return _above(surfels, surfels.middle_mm @ up - floor_mm)
    return None


def without_large_floor(surfels: Surfels) -> Surfels | None:
    """The same before anything is known of the scan's axes: a floor larger than the car hides its symmetry."""
    level = _commonest_normal(surfels)
    aside = unit_vector(np.cross(level, np.eye(3)[int(np.argmin(np.abs(level)))]))
    return without_workshop_floor(surfels, level, Plane(aside, 0.0))


def _commonest_normal(surfels: Surfels) -> Vector:
    """The direction that most metal faces, from the scan's flattest discs."""
    step = max(1, len(surfels.normal) // 20_000)
    normal = surfels.normal[::step]
    area = np.where(surfels.flatness[::step] > 0.7, surfels.area_mm2[::step], 0.0)
    starts = normal[:: max(1, len(normal) // 400)]
    agreeing = (np.abs(starts @ normal.T) > np.cos(np.radians(3.0))) @ area
    found: Vector = starts[int(np.argmax(agreeing))]
    for gate_deg in (3.0, 2.0, 1.0, 1.0):
        along = normal @ found
        near = np.abs(along) > np.cos(np.radians(gate_deg))
        found = unit_vector((np.sign(along[near]) * area[near]) @ normal[near])
    return found


def _floor_height(surfels: Surfels, up: Vector, centre: Plane) -> float | None:
    height = surfels.middle_mm @ up
    is_level = (np.abs(surfels.normal @ up) > 0.99) & (surfels.flatness > 0.7)
    low = float(height.min())
    total = float(surfels.area_mm2.sum())
    rows = np.histogram(
        height[is_level], bins=int(np.ptp(height) / _BIN_MM) + 1,
        range=(low, low + (int(np.ptp(height) / _BIN_MM) + 1) * _BIN_MM), weights=surfels.area_mm2[is_level],
    )[0]  # fmt: skip
    rows = rows + np.append(rows[1:], 0.0)
    for row in np.flatnonzero(rows > _LEAST_SHARE * total)[:1]:
        sheet = is_level & (np.abs(height - (low + (row + 1) * _BIN_MM)) <= _BIN_MM)
        floor_mm = float(np.average(height[sheet], weights=surfels.area_mm2[sheet]))
        below = float(surfels.area_mm2[height < floor_mm - 2 * _BIN_MM].sum())
        if below < 0.02 * total and _reaches_out(surfels, height, floor_mm, sheet, centre, up):
            return floor_mm
    return None


def _reaches_out(
    surfels: Surfels, height: Vector, floor_mm: float, sheet: NDArray[np.bool_], centre: Plane, up: Vector
) -> bool:
    """Whether a tenth of the sheet lies outside the outline of what stands above it."""
    along_direction = np.cross(centre.normal, up)
    above = height > floor_mm + _ROOM_BESIDE_MM
    if above.sum() < 100:
        return False
    outside = np.zeros(len(height), dtype=bool)
    for direction in (centre.normal, along_direction):
        place = surfels.middle_mm @ direction
        first, last = np.quantile(place[above], [0.005, 0.995])
        outside |= (place < first - _ROOM_BESIDE_MM) | (place > last + _ROOM_BESIDE_MM)
    area = surfels.area_mm2
    return bool(area[sheet & outside].sum() > 0.1 * area[sheet].sum())


def _above(surfels: Surfels, over_floor_mm: Vector) -> Surfels:
    """The largest connected piece above the floor."""
    keep = over_floor_mm > 1.5 * surfels.cell_mm
    keep &= piece_cells(surfels, keep) == 0
    renumbered = np.append(np.where(keep, np.cumsum(keep) - 1, -1), -1)
    return replace(
        surfels,
        middle_mm=surfels.middle_mm[keep],
        normal=surfels.normal[keep],
        area_mm2=surfels.area_mm2[keep],
        flatness=surfels.flatness[keep],
        cell=surfels.cell[keep],
        of_triangle=renumbered[surfels.of_triangle].astype(np.int32),
    )

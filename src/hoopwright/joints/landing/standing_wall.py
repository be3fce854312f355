"""A wall of the shell as a folded plate lies on it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Plane, Vector, unit_vector
from hoopwright.joints.landing.flat_plate import RIM_MM
from hoopwright.joints.landing.gaps import GOOD_MM
from hoopwright.joints.landing.ground import Ground, Wall
from hoopwright.joints.landing.metal_map import Flat, MetalMap, map_metal
from hoopwright.joints.landing.placing import Placed
from hoopwright.joints.landing.plane_fit import laid_plane
from hoopwright.shell.shell import Shell

_ON_WALL_MM = 3.0
_ROW_RATIO = 0.75
_LEAST_WALL_MM = 10.0
_SLOT_MM = 40.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Standing:
    """A wall as the plate lies on it.

    Args:
        wall: The wall.
        plane: As laid on the metal beside the sole.
        tall_mm: How far the plate goes up it.
    """

    wall: Wall
    plane: Plane
    tall_mm: float


def stand_on(
    shell: Shell,
    sole: Plane,
    wall: Wall,
    others: list[Wall],
    ground: Ground,
    placed: Placed,
    tall_mm: float,
    back_mm: float,
) -> Standing:
    """Lay the plate on a wall: its plane beside the sole, and how far up the metal stays with it."""
    flat = on_wall(sole, wall.plane, ground.sole.origin_mm)
    half = (placed.along_mm[1] - placed.along_mm[0]) / 2.0
    seen = map_metal(
        shell, flat, ground.eyes_mm, along_mm=(-half, half), across_mm=(0.0, tall_mm + 30.0), step_mm=4.0
    )
    beside = np.ones(seen.height_mm.shape, dtype=bool)
    places = seen.flat.places(seen.cells().reshape(-1, 2))
    for other in others:
        beside &= (other.plane.distance_mm(places) > back_mm).reshape(beside.shape)
    plane = _beside(seen, wall.plane, beside, back_mm, tall_mm)
    again = seen.on(on_wall(sole, plane, ground.sole.origin_mm))
    good = beside & (np.abs(again.height_mm) <= _ON_WALL_MM)
    rows = good.sum(axis=0) >= _ROW_RATIO * np.maximum(1, beside.sum(axis=0))
    return Standing(wall=wall, plane=plane, tall_mm=min(tall_mm, _even_up_to_mm(again, rows, back_mm)))


def _even_up_to_mm(seen: MetalMap, rows: NDArray[np.bool_], back_mm: float) -> float:
    """How far up a wall its metal stays with the plate's plane; a slot in the corner is bridged."""
    even = np.flatnonzero(rows & (seen.across_mm > back_mm))
    least = back_mm + _LEAST_WALL_MM
    if not len(even) or seen.across_mm[even[0]] > _SLOT_MM:
        return least
    over = np.flatnonzero(~rows[even[0] :])
    top = np.inf if not len(over) else float(seen.across_mm[even[0] + over[0]] - 0.5 * seen.step_mm)
    return max(top, least)


def _beside(seen: MetalMap, plane: Plane, beside: NDArray[np.bool_], back_mm: float, tall_mm: float) -> Plane:
    """The plane of the metal of a wall between the fold and the plate's upper edge."""
    cells = seen.cells().reshape(-1, 2)
    inside = beside.reshape(-1) & (cells[:, 1] > back_mm + 2.0) & (cells[:, 1] < tall_mm)
    metal = seen.flat.places(cells, seen.height_mm.reshape(-1))[inside]
    return laid_plane(metal[np.isfinite(metal).all(axis=1)], plane, band_mm=GOOD_MM, rim_mm=RIM_MM)


def on_wall(sole: Plane, wall: Plane, foot_mm: Vector) -> Flat:
    """A wall's plane with its first direction along the corner and its second up, from beside the foot."""
    line = unit_vector(np.cross(sole.normal, wall.normal))
    up = np.cross(wall.normal, line)
    at = wall.nearest(foot_mm[None])[0]
    at = at - up * float(sole.distance_mm(at[None])[0] / (up @ sole.normal))
    return Flat(origin_mm=at, along=line, across=up)

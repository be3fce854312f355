"""The metal over a plane, as seen from the bar's side: heights on an even raster, by rays on the whole scan."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Plane, Points, Vector, unit_vector
from hoopwright.shell.shell import Shell

_LIFT_MM = 30.0
_BELOW_MM = 40.0
_SHY_MM = 0.5


@dataclass(frozen=True, kw_only=True, eq=False)
class Flat:
    """A plane with two directions in it.

    Args:
        origin_mm: A place on it, shape (3,).
        along: Unit direction in it, shape (3,).
        across: Unit direction in it square to the other, so that along x across is the normal.
    """

    origin_mm: Vector
    along: Vector
    across: Vector

    @property
    def normal(self) -> Vector:
        """Its unit normal, toward the bar."""
        return np.cross(self.along, self.across)

    @property
    def plane(self) -> Plane:
        """It, without its directions."""
        return Plane.through(self.origin_mm, self.normal)

    def places(self, flat_mm: Points, height_mm: Vector | float = 0.0) -> Points:
        """Places in the car of shape (n, 3), from places in the plane, shape (n, 2), and heights over it."""
        over = np.broadcast_to(np.asarray(height_mm, dtype=np.float64), len(flat_mm))
        return np.asarray(
            self.origin_mm + flat_mm @ np.stack([self.along, self.across]) + over[:, None] * self.normal
        )

    def flat(self, places_mm: Points) -> Points:
        """Places in the plane, shape (n, 2), under places in the car."""
        return np.asarray((places_mm - self.origin_mm) @ np.stack([self.along, self.across]).T)


@dataclass(frozen=True, kw_only=True, eq=False)
class MetalMap:
    """Heights of the metal over a plane.

    Args:
        flat: The plane.
        step_mm: Of the raster.
        along_mm: Raster along, shape (i,).
        across_mm: Raster across, shape (j,).
        height_mm: Of the first metal over the plane, negative below it; NaN where none is seen; shape (i, j).
        hidden: Where other metal stands between the bar and the place, shape (i, j).
    """

    flat: Flat
    step_mm: float
    along_mm: Vector
    across_mm: Vector
    height_mm: Points
    hidden: NDArray[np.bool_]

    def cells(self) -> Points:
        """Every cell's place in the plane, shape (i, j, 2)."""
        return np.stack(np.meshgrid(self.along_mm, self.across_mm, indexing="ij"), axis=-1)

    def on(self, flat: Flat) -> "MetalMap":
        """The same metal over a plane that is hardly turned from this one; heights along the old normal."""
        cells = self.cells().reshape(-1, 2)
        metal = self.flat.places(cells, self.height_mm.reshape(-1))
        return MetalMap(
            flat=self.flat,
            step_mm=self.step_mm,
            along_mm=self.along_mm,
            across_mm=self.across_mm,
            height_mm=flat.plane.distance_mm(metal).reshape(self.height_mm.shape),
            hidden=self.hidden,
        )


def flat_on(plane: Plane, place_mm: Vector, like: Vector) -> Flat:
    """A plane with its origin at the foot of a place, its first direction as near as can be to another."""
    along = like - plane.normal * float(like @ plane.normal)
    if float(np.linalg.norm(along)) < 1e-3:
        along = np.cross(plane.normal, np.eye(3)[1])
    along = unit_vector(along)
    return Flat(origin_mm=plane.nearest(place_mm[None])[0], along=along, across=np.cross(plane.normal, along))


def map_metal(
    shell: Shell,
    flat: Flat,
    eyes_mm: Points,
    *,
    along_mm: tuple[float, float],
    across_mm: tuple[float, float],
    step_mm: float,
) -> MetalMap:
    """Look square at a plane from the bar's side.

    A place counts as seen where the line to it from one of the eyes, up to 30 mm over the plane, is free: what lies
    behind a wall is another room.

    Args:
        shell: The scan in the vehicle frame.
        flat: The plane.
        eyes_mm: Places on the bar, shape (n, 3).
        along_mm: From where to where along.
        across_mm: From where to where across.
        step_mm: Of the raster.
    """
    raster: list[Vector] = [
        np.asarray(low + step_mm * (np.arange(max(1, round((high - low) / step_mm))) + 0.5), dtype=np.float64)
        for low, high in (along_mm, across_mm)
    ]
    cells = np.stack(np.meshgrid(*raster, indexing="ij"), axis=-1)
    lifted = flat.places(cells.reshape(-1, 2), _LIFT_MM)
    seen = np.zeros(len(lifted), dtype=bool)
    for eye in eyes_mm:
        seen |= sees(shell, eye, lifted)
    height = np.full(len(lifted), np.nan)
    hits = shell.first_hits(lifted[seen], -flat.normal, reach_mm=_LIFT_MM + _BELOW_MM)
    height[seen] = np.where(hits.triangle >= 0, _LIFT_MM - hits.distance_mm, np.nan)
    shape = cells.shape[:2]
    return MetalMap(
        flat=flat,
        step_mm=step_mm,
        along_mm=raster[0],
        across_mm=raster[1],
        height_mm=height.reshape(shape),
        hidden=~seen.reshape(shape),
    )


def sees(shell: Shell, eye_mm: Vector, places_mm: Points) -> NDArray[np.bool_]:
    """Whether no metal stands between an eye and each place, shape (n,)."""
    if not len(places_mm):
        return np.zeros(0, dtype=bool)
    way = places_mm - eye_mm
    far = np.linalg.norm(way, axis=1)
    near = far <= 2.0 * _SHY_MM
    way[near] = [0.0, 0.0, 1.0]
    hits = shell.first_hits(
        np.broadcast_to(eye_mm, way.shape), way, reach_mm=np.maximum(far - _SHY_MM, _SHY_MM)
    )
    return np.asarray(near | (hits.triangle < 0))

"""Boxes and cylinders as painted meshes."""

import itertools
import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import unit_vector
from hoopwright.papers.picture import Colour, PaintedMesh

_BOX_FACES = (
    *((0, 1, 3), (0, 3, 2), (4, 6, 7), (4, 7, 5), (0, 4, 5), (0, 5, 1)),
    *((2, 3, 7), (2, 7, 6), (0, 2, 6), (0, 6, 4), (1, 5, 7), (1, 7, 3)),
)


def painted_box(
    axes: NDArray[np.float64], middle_mm: ArrayLike, halves_mm: ArrayLike, colour: Colour
) -> PaintedMesh:
    """A box.

    Args:
        axes: Rows are its own axes, shape (3, 3).
        middle_mm: Its middle, shape (3,).
        halves_mm: Its half sizes, shape (3,).
        colour: Red, green, blue.
    """
    corners = np.array(list(itertools.product((-1.0, 1.0), repeat=3))) * np.asarray(halves_mm)
    return PaintedMesh(
        vertices_mm=np.asarray(middle_mm) + corners @ axes, triangles=np.array(_BOX_FACES), colour=colour
    )


def painted_cylinder(
    start_mm: ArrayLike, end_mm: ArrayLike, radius_mm: float, colour: Colour, *, around: int = 20
) -> PaintedMesh:
    """A cylinder with flat ends.

    Args:
        start_mm: Middle of one end, shape (3,).
        end_mm: Middle of the other.
        radius_mm: Its radius.
        colour: Red, green, blue.
        around: Points round it.
    """
    start, end = np.asarray(start_mm, dtype=np.float64), np.asarray(end_mm, dtype=np.float64)
    along = unit_vector(end - start)
    side = unit_vector(np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))]))
    turn_rad = np.linspace(0.0, 2.0 * math.pi, around, endpoint=False)[:, None]
    rim = radius_mm * (np.cos(turn_rad) * side + np.sin(turn_rad) * np.cross(along, side))
    corner = np.arange(around)
    following = (corner + 1) % around
    first, last = np.full(around, 2 * around), np.full(around, 2 * around + 1)
    triangles = np.concatenate(
        [
            np.stack([corner, following, corner + around], axis=1),
            np.stack([following, following + around, corner + around], axis=1),
            np.stack([following, corner, first], axis=1),
            np.stack([corner + around, following + around, last], axis=1),
        ]
    )
    vertices = np.concatenate([start + rim, end + rim, start[None], end[None]])
    return PaintedMesh(vertices_mm=vertices, triangles=triangles, colour=colour)

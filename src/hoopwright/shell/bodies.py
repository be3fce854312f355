"""Bodies the size of a car that stand apart in one scan."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from hoopwright.geometry import Points
from hoopwright.shell.surfels import Surfels

# a shell is at least this large, longest side first; one side of a car, or a door, is thinner. Common practice,
# no source
_LEAST_MM = (1500.0, 800.0, 500.0)
_LIKE_SIZE = 1.6
_APART_MM = 100.0
_MOST_CELLS = 20_000_000


@dataclass(frozen=True, kw_only=True)
class Body:
    """One body that nothing joins to the others.

    Args:
        size_mm: Longest, middle and shortest side along its own main directions.
        middle_mm: Its middle, scan frame.
    """

    size_mm: tuple[float, float, float]
    middle_mm: tuple[float, float, float]


def cars_apart(surfels: Surfels, *, spacing_mm: float = 0.0) -> tuple[Body, ...]:
    """The car-sized bodies of like size in a scan, the largest first; empty unless there are two or more.

    Bodies that come within about 100 mm of each other, or that a scanned floor joins, count as one.

    Args:
        surfels: The scan, thinned.
        spacing_mm: For a cloud, the distance between neighbouring points.
    """
    pieces = _pieces(surfels.middle_mm, max(_APART_MM, 3.0 * spacing_mm, 2.0 * surfels.cell_mm))
    bodies = sorted((_body(piece) for piece in pieces), key=lambda body: body.size_mm[0], reverse=True)
    cars = [body for body in bodies if all(np.greater_equal(body.size_mm, _LEAST_MM))]
    like = tuple(body for body in cars if cars[0].size_mm[0] < _LIKE_SIZE * body.size_mm[0])
    return like if len(like) > 1 else ()


def _pieces(points: Points, apart_mm: float) -> list[Points]:
    """Points that are joined by filled cells, piece by piece."""
    low, extent = points.min(axis=0), np.ptp(points, axis=0)
    size = max(apart_mm, float((np.prod(extent + apart_mm) / _MOST_CELLS) ** (1 / 3)))
    cells = ((points - low) / size).astype(np.int64)
    filled = np.zeros(cells.max(axis=0) + 1, dtype=bool)
    filled[tuple(cells.T)] = True
    labels, count = ndimage.label(filled, structure=np.ones((3, 3, 3)))
    of_point = labels[tuple(cells.T)]
    return [points[of_point == label] for label in range(1, count + 1)]


def _body(points: Points) -> Body:
    middle = points.mean(axis=0)
    directions = np.linalg.svd(points - middle, full_matrices=False)[2] if len(points) > 3 else np.eye(3)
    sides = np.sort(np.ptp((points - middle) @ directions.T, axis=0))[::-1]
    return Body(
        size_mm=(float(sides[0]), float(sides[1]), float(sides[2])),
        middle_mm=(float(middle[0]), float(middle[1]), float(middle[2])),
    )

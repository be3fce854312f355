"""Bodies the size of a car that stand apart in one scan."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from hoopwright.geometry import Points
from hoopwright.shell.surfels import cell_numbers
from hoopwright.shell.tree import TriangleTree

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


def cars_apart(tree: TriangleTree, *, spacing_mm: float = 0.0) -> tuple[Body, ...]:
    """The car-sized bodies of like size in a scan, the largest first; empty unless there are two or more.

    Bodies that come within about 100 mm of each other, or that a scanned floor joins, count as one.

    Args:
        tree: The scan.
        spacing_mm: For a cloud, the distance between neighbouring points.
    """
    bodies = sorted(_bodies(tree, spacing_mm), key=lambda body: body.size_mm[0], reverse=True)
    cars = [body for body in bodies if all(np.greater_equal(body.size_mm, _LEAST_MM))]
    like = tuple(body for body in cars if cars[0].size_mm[0] < _LIKE_SIZE * body.size_mm[0])
    return like if len(like) > 1 else ()


def _bodies(tree: TriangleTree, spacing_mm: float) -> list[Body]:
    """Every piece that is long enough for a car, from the cells that it fills."""
    low, extent = tree.lowest_mm, tree.highest_mm - tree.lowest_mm
    least = max(_APART_MM, 3.0 * spacing_mm)
    size = max(least, float((np.prod(extent + least) / _MOST_CELLS) ** (1 / 3)))
    shape = np.ceil(extent / size).astype(np.int64) + 1
    filled, _ = cell_numbers(tree, low, size, shape)
    labels, _ = ndimage.label(filled.reshape(shape) > 0, structure=np.ones((3, 3, 3)))
    bodies = []
    for label, box in enumerate(ndimage.find_objects(labels), start=1):
        corner = np.array([part.start for part in box])
        cells = np.argwhere(labels[box] == label)
        if len(cells) > 2 and len(cells) * size > _LEAST_MM[0]:  # fewer have no three directions
            bodies.append(_body(low + (corner + cells + 0.5) * size))
    return bodies


def _body(points: Points) -> Body:
    middle = points.mean(axis=0)
    directions = np.linalg.svd(points - middle, full_matrices=False)[2]
    sides = np.sort(np.ptp((points - middle) @ directions.T, axis=0))[::-1]
    return Body(
        size_mm=(float(sides[0]), float(sides[1]), float(sides[2])),
        middle_mm=(float(middle[0]), float(middle[1]), float(middle[2])),
    )

"""Specks: what a scanner saw floating in the air, too small and too far from all else to be metal of the car."""

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from hoopwright.shell.surfels import cell_numbers
from hoopwright.shell.tree import TriangleTree, kept_triangles

SPECK_MM = 80.0
_GAP_MM = 30.0
_MOST_CELLS = 60_000_000


@dataclass(frozen=True, eq=False, kw_only=True)
class Cleared:
    """A tree without specks.

    Args:
        tree: What is left.
        speck_count: How many specks were left out.
        largest_mm: Longest side of the largest of them; 0 without any.
    """

    tree: TriangleTree
    speck_count: int
    largest_mm: float


def without_specks(tree: TriangleTree, *, spacing_mm: float = 0.0) -> Cleared:
    """Leave out pieces under 80 mm that nothing comes within about 30 mm of.

    Args:
        tree: The scan.
        spacing_mm: For a cloud, the distance between neighbouring points.
    """
    low, extent = tree.lowest_mm, tree.highest_mm - tree.lowest_mm
    size = max(_GAP_MM, 3.0 * spacing_mm, float((np.prod(extent + _GAP_MM) / _MOST_CELLS) ** (1 / 3)))
    shape = np.ceil(extent / size).astype(np.int64) + 1
    filled, of_triangle = cell_numbers(tree, low, size, shape)
    labels, pieces = ndimage.label(filled.reshape(shape) > 0, structure=np.ones((3, 3, 3)))
    boxes = ndimage.find_objects(labels)
    sides = np.array([[(part.stop - part.start) * size for part in box] for box in boxes]).reshape(-1, 3)
    # a piece of metal fills its outermost cells by half on average
    small = np.append(False, sides.max(axis=1) - size < SPECK_MM)
    if pieces <= 1 or not small.any() or small[1:].all():
        return Cleared(tree=tree, speck_count=0, largest_mm=0.0)
    keep = ~small[labels.ravel()[of_triangle]]
    return Cleared(
        tree=kept_triangles(tree, keep),
        speck_count=int(small.sum()),
        largest_mm=float(sides.max(axis=1)[small[1:]].max()),
    )

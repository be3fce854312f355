"""A sheet that is folded round, as a mesh to look at and as a solid."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points
from hoopwright.papers.kernel import require_kernel, strip_solid


@dataclass(frozen=True, kw_only=True, eq=False)
class FoldedSheet:
    """A folded sheet in the car, line by line across it.

    Args:
        corners_mm: Of the section through its thickness along each line, round in order; shape (n, 4, 3).
        pieces: First and last line of each flat and of each fold, in order.
    """

    corners_mm: NDArray[np.float64]
    pieces: Sequence[tuple[int, int]]


def folded_mesh(sheet: FoldedSheet) -> tuple[Points, NDArray[np.int32]]:
    """The sheet as a closed mesh, each face with vertices of its own, wound outward."""
    corners = sheet.corners_mm
    before, after = corners[:-1], corners[1:]
    sides = [
        np.stack([before[:, k], before[:, (k + 1) % 4], after[:, (k + 1) % 4], after[:, k]], axis=1)
        for k in range(4)
    ]
    quads = np.concatenate([*sides, corners[:1, ::-1], corners[-1:]])
    first = 4 * np.arange(len(quads))[:, None]
    triangles = np.concatenate([first + np.array(step) for step in ((0, 1, 2), (0, 2, 3))])
    vertices = quads.reshape(-1, 3)
    a, b, c = (vertices[triangles[:, k]] - corners[0, 0] for k in range(3))
    if float(np.einsum("ij,ij->", a, np.cross(b, c))) < 0.0:
        triangles = triangles[:, ::-1]
    return vertices, triangles.astype(np.int32)


def folded_solid(sheet: FoldedSheet) -> Any:
    """The kernel's solid of a folded sheet.

    Raises:
        UserError: `FILE-101` without the kernel.
        ValueError: Where the kernel makes no solid of it.
    """
    require_kernel()
    return strip_solid(sheet.corners_mm, sheet.pieces)

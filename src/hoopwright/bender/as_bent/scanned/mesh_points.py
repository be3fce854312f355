"""Points on a mesh: its corners lie where it bends, and leave its flat parts empty."""

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points

MOST_POINTS = 200_000


def points_on_mesh(corners_mm: Points, triangles: NDArray[np.int32], *, count: int = MOST_POINTS) -> Points:
    """Points on the triangles, evenly by area, shape (n, 3); the corners themselves where there are no triangles.

    Args:
        corners_mm: Shape (n, 3).
        triangles: Indices into them, shape (m, 3); none for a cloud.
        count: How many points.
    """
    corners = np.asarray(corners_mm, dtype=np.float64)
    if len(triangles) == 0:
        return corners
    rng = np.random.default_rng(0)
    first, second, third = (corners[triangles[:, k]] for k in range(3))
    area = np.linalg.norm(np.cross(second - first, third - first), axis=1)
    area = np.where(np.isfinite(area), area, 0.0)
    if not area.sum() > 0.0:
        return corners
    chosen = rng.choice(len(area), count, p=area / area.sum())
    u, w = rng.random((2, count, 1))
    u, w = np.where(u + w > 1.0, 1.0 - u, u), np.where(u + w > 1.0, 1.0 - w, w)
    points: Points = first[chosen] + u * (second - first)[chosen] + w * (third - first)[chosen]
    return points

"""Volume and centre of a closed surface of triangles."""

import numpy as np

from hoopwright.geometry.vectors import Points, Vector


def solid_volume_mm3(triangles_mm: Points) -> tuple[float, Vector]:
    """Volume and centre of the solid within closed triangles that are wound the same way.

    Args:
        triangles_mm: Corners, shape (n, 3, 3).

    Returns:
        The volume, negative where the triangles are wound inward, and the centre of mass, shape (3,).

    Raises:
        ValueError: Where they enclose nothing.

    Source: sum of the tetrahedra from one point to every triangle; divergence theorem.
    """
    about = triangles_mm.reshape(-1, 3).mean(axis=0)
    corners = triangles_mm - about
    parts = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0
    volume = float(parts.sum())
    if volume == 0.0:
        msg = "the triangles enclose nothing"
        raise ValueError(msg)
    middle = (parts[:, None] * corners.sum(axis=1) / 4.0).sum(axis=0) / volume
    return volume, np.asarray(about + middle)

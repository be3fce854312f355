"""Cutting flat outlines by planes, with the names of their edges kept."""

import numpy as np

from hoopwright.geometry import Plane, Points

_SAME_MM = 1e-6


def clipped(
    outline_mm: Points, edges: tuple[str, ...], plane: Plane, name: str
) -> tuple[Points, tuple[str, ...]]:
    """What of a flat convex outline lies on a plane's positive side.

    Args:
        outline_mm: Corners, shape (n, 3).
        edges: Name of the edge from each corner to the next.
        plane: What it is cut by.
        name: Of the new edge.

    Source: I. E. Sutherland and G. W. Hodgman, Communications of the ACM 17 (1974) 32.
    """
    off = plane.distance_mm(outline_mm)
    corners, names = [], []
    count = len(outline_mm)
    for k in range(count):
        after = (k + 1) % count
        if off[k] >= -_SAME_MM:
            corners.append(outline_mm[k])
            names.append(edges[k] if off[after] >= -_SAME_MM or off[k] > _SAME_MM else name)
        if (off[k] > _SAME_MM and off[after] < -_SAME_MM) or (off[k] < -_SAME_MM and off[after] > _SAME_MM):
            share = off[k] / (off[k] - off[after])
            corners.append(outline_mm[k] + share * (outline_mm[after] - outline_mm[k]))
            names.append(name if off[k] > 0.0 else edges[k])
    return np.array(corners).reshape(-1, 3), tuple(names)


def starting_at(outline_mm: Points, edges: tuple[str, ...], name: str) -> tuple[Points, tuple[str, ...]]:
    """The same outline, shape (n, 3), turned so that the edge of that name is the first."""
    first = edges.index(name)
    return np.roll(outline_mm, -first, axis=0), edges[first:] + edges[:first]

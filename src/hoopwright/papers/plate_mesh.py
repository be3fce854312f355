"""A flat face with its thickness as a closed triangle mesh, to look at."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points, Vector

_LEAST_AREA_MM2 = 1e-9


def prism_mesh(outline_mm: Points, through_mm: Vector) -> tuple[Points, NDArray[np.int32]]:
    """A flat outline drawn out along a vector.

    Args:
        outline_mm: Corners without the first again, in one plane, either way round; shape (n, 3).
        through_mm: From that side to the other, shape (3,).

    Returns:
        Vertices, each face with its own, and triangles wound outward.

    Raises:
        ValueError: For an outline without area, or one that no triangles can be cut off, since it crosses itself.
    """
    outline = np.asarray(outline_mm, dtype=np.float64)
    normal = _area_vector(outline)
    if float(normal @ through_mm) < 0.0:
        outline, normal = outline[::-1], -normal
    count = len(outline)
    cap = np.array(_ears(_in_plane(outline, normal)), dtype=np.int32)
    following = np.roll(np.arange(count), -1)
    sides = np.stack(
        [outline, outline[following], outline[following] + through_mm, outline + through_mm], axis=1
    )
    corners = 2 * count + 4 * np.arange(count)[:, None]
    vertices = np.concatenate([outline, outline + through_mm, sides.reshape(-1, 3)])
    quads = np.concatenate([corners + np.array(step) for step in ((0, 1, 2), (0, 2, 3))])
    return vertices, np.concatenate([cap[:, ::-1], cap + count, quads]).astype(np.int32)


def flat_triangles(outline_mm: Points) -> Points:
    """Triangles of a flat outline, shape (k, 3, 3).

    Args:
        outline_mm: Corners without the first again, in one plane, either way round; shape (n, 3).

    Raises:
        ValueError: For an outline without area, or one that no triangles can be cut off, since it crosses itself.
    """
    outline = np.asarray(outline_mm, dtype=np.float64)
    triangles: Points = outline[np.array(_ears(_in_plane(outline, _area_vector(outline))))]
    return triangles


def _area_vector(outline: Points) -> Vector:
    whole: Vector = np.cross(outline, np.roll(outline, -1, axis=0)).sum(axis=0) / 2.0
    return whole


def _in_plane(outline: Points, normal: Vector) -> Points:
    """The outline as seen against its normal, counterclockwise; shape (n, 2)."""
    length = float(np.linalg.norm(normal))
    if length < _LEAST_AREA_MM2:
        msg = "the outline has no area"
        raise ValueError(msg)
    up = normal / length
    across = np.cross(up, np.eye(3)[int(np.argmin(np.abs(up)))])
    across /= np.linalg.norm(across)
    return np.column_stack([outline @ across, outline @ np.cross(up, across)])


def _ears(flat: Points) -> list[tuple[int, int, int]]:
    """Triangles of a simple polygon, counterclockwise. Source: Meisters, Polygons have ears, 1975."""
    left = list(range(len(flat)))
    found: list[tuple[int, int, int]] = []
    while len(left) > 3:
        ear = next((place for place in range(len(left)) if _is_ear(flat, left, place)), None)
        if ear is None:
            msg = "the outline crosses itself"
            raise ValueError(msg)
        found.append((left[ear - 1], left[ear], left[(ear + 1) % len(left)]))
        del left[ear]
    found.append((left[0], left[1], left[2]))
    return found


def _is_ear(flat: Points, left: Sequence[int], place: int) -> bool:
    a, b, c = (flat[left[(place + step) % len(left)]] for step in (-1, 0, 1))
    if _turn(a, b, c) < 0.0:
        return False
    around = {left[(place + step) % len(left)] for step in (-1, 0, 1)}
    others = (flat[corner] for corner in left if corner not in around)
    return not any(
        _turn(a, b, point) > 0.0 and _turn(b, c, point) > 0.0 and _turn(c, a, point) > 0.0 for point in others
    )


def _turn(a: Vector, b: Vector, c: Vector) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))

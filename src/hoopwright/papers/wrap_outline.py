"""The outline of what stays of a wrap: for a machine that cuts paper, vinyl or thin sheet."""

import numpy as np

from hoopwright.geometry import Points
from hoopwright.papers.wrap_shape import WrapShape


def kept_outline(shape: WrapShape) -> Points:
    """Outline of what stays, its overlap included, counterclockwise; shape (n, 2).

    Where nothing is cut it goes up to the upper edge.
    """
    right = shape.width_mm
    over: list[tuple[float, float]] = []
    at = 0.0
    for piece in (*shape.cuts, *shape.tab_cuts):
        if piece[0, 0] > at + 1e-6:
            over += [(at, shape.upper_mm), (float(piece[0, 0]), shape.upper_mm)]
        over += [(float(x), float(y)) for x, y in piece]
        at = float(piece[-1, 0])
    if at < right - 1e-6:
        over += [(at, shape.upper_mm), (right, shape.upper_mm)]
    corners = [(0.0, shape.lower_mm), (right, shape.lower_mm), *over[::-1]]
    kept = [corners[0]]
    kept += [
        corner
        for corner, before in zip(corners[1:], corners, strict=False)
        if np.hypot(*np.subtract(corner, before)) > 1e-6
    ]
    return np.array(kept)

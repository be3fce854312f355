"""Polygons to triangles."""

from typing import Any

import numpy as np
from numpy.typing import NDArray


def fan_split(
    counts: NDArray[np.integer[Any]], flat: NDArray[np.integer[Any] | np.floating[Any]]
) -> NDArray[np.int32]:
    """Triangles that fan out from the first corner of each polygon.

    Args:
        counts: Corners of each polygon, shape (n,); polygons of fewer than three give nothing.
        flat: All corners, one polygon after the other.

    Returns:
        Shape (m, 3); an index beyond 32 bits becomes -1.
    """
    with np.errstate(all="ignore"):
        bad = ~((flat >= 0) & (flat < 2**31))
        corners = flat.astype(np.int32)
    corners[bad] = -1
    if len(counts) and (counts == 3).all():
        return corners.reshape(-1, 3)
    counts = counts.astype(np.int64)
    starts = np.cumsum(counts) - counts
    fans = np.maximum(counts - 2, 0)
    first = np.repeat(starts, fans)
    step = np.arange(len(first)) - np.repeat(np.cumsum(fans) - fans, fans)
    return np.stack([corners[first], corners[first + step + 1], corners[first + step + 2]], axis=1)

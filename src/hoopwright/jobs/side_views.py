"""A scan as it is seen from its side, drawn so that a person can say which end is the nose."""

from html import escape

import numpy as np

from hoopwright.geometry import Transform
from hoopwright.shell.surfels import Surfels

_ALONG = 90
_WORDS = 4.0
"""Height of the words, in cells."""


def side_view_svg(surfels: Surfels, to_vehicle: Transform, *, nose: str, tail: str) -> str:
    """The scan from its left side with the proposed nose to the left, each end with its name.

    Args:
        surfels: The body, thinned.
        to_vehicle: From the scan to the proposed vehicle axes.
        nose: Name of the end that is proposed as the nose.
        tail: Name of the other end.

    Returns:
        An SVG drawing in the colour of the words around it; a cell is a ninetieth of the length.
    """
    cells = _cells(to_vehicle.points(surfels.middle_mm)[:, [0, 2]])
    long, tall = (int(size) for size in cells.max(axis=0) + 1)
    dots = "".join(f"M{long - 1 - forward} {tall - 1 - up}h1" for forward, up in cells)
    beside = 4.0 * _WORDS
    middle = tall / 2.0
    return (
        f'<svg viewBox="{-beside} -1 {long + 2.0 * beside} {tall + 2}" style="width: 100%; max-height: 220px" '
        f'fill="currentColor" font-size="{_WORDS}">'
        f'<path d="{dots}" stroke="currentColor" stroke-width="1.05" opacity="0.6" transform="translate(0 0.5)"/>'
        f'<text x="-1.5" y="{middle}" text-anchor="end">{escape(f"{nose} ←")}</text>'
        f'<text x="{long + 1.5}" y="{middle}">{escape(f"→ {tail}")}</text></svg>'
    )


def _cells(at_mm: np.ndarray) -> np.ndarray:
    """The cells that hold metal, counted from the tail and from below, shape (n, 2)."""
    low = at_mm.min(axis=0)
    cell_mm = max(float(np.ptp(at_mm[:, 0])) / _ALONG, 1.0)
    return np.unique(np.floor((at_mm - low) / cell_mm).astype(np.int64), axis=0)

"""Where a bar would leave through an opening: the shell's outline is nearer than any metal."""

import numpy as np

from hoopwright.geometry import Points, Vector
from hoopwright.shell.shell import Shell

_OPENING_MM = 10.0
_DOWN = -0.2


def through_openings(
    shell: Shell, points_mm: Points, distance_mm: Vector
) -> tuple[np.ndarray, Vector, Points]:
    """Which places lie in an opening, how far inside the outline, and which way out it is.

    Not downward, where feet stand.

    Args:
        shell: The scan in the vehicle frame.
        points_mm: Shape (n, 3).
        distance_mm: Of each to the nearest metal, shape (n,).

    Returns:
        Whether the outline is clearly nearer than metal, shape (n,); the margin inside the outline, NaN at a section
        without metal; the unit direction outward, shape (n, 3).
    """
    margin, outward = shell.envelope.margin_mm(points_mm)
    return (margin < distance_mm - _OPENING_MM) & ~downward(outward), margin, outward


def downward(outward: Points) -> np.ndarray:
    """Which directions lead down, shape (n,)."""
    down: np.ndarray = outward[:, 2] <= _DOWN
    return down

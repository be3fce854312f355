"""A grid of distances to the metal: for searches only. Numbers that are shown come from the full mesh."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points, Vector
from hoopwright.shell.shell import Shell

_FEWEST = 4


@dataclass(frozen=True, eq=False, kw_only=True)
class DistanceGrid:
    """Values at the corners of cubes, in the vehicle frame.

    Args:
        low_mm: Place of the first corner, shape (3,).
        cell_mm: Edge of a cube.
        values: Shape (nf, nl, nu), float32, mm.
    """

    low_mm: Vector
    cell_mm: float
    values: NDArray[np.float32]

    def corners(self) -> Points:
        """Places of all corners, shape (nf * nl * nu, 3), in the order of the values."""
        return grid_corners(self.low_mm, self.cell_mm, self.values.shape)

    def index(self, points_mm: Points) -> NDArray[np.int64]:
        """The corner nearest to each point, held inside the grid, shape (n, 3)."""
        steps = np.rint((points_mm - self.low_mm) / self.cell_mm).astype(np.int64)
        return np.clip(steps, 0, np.array(self.values.shape) - 1)


def grid_corners(low_mm: Vector, cell_mm: float, shape: tuple[int, ...]) -> Points:
    """Places of the corners of a grid, shape (n, 3)."""
    axes = [low_mm[axis] + cell_mm * np.arange(shape[axis]) for axis in range(3)]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)


def make_grid(
    shell: Shell, low_mm: Vector, high_mm: Vector, *, most_cells: int, smallest_mm: float = 6.0
) -> DistanceGrid:
    """Exact distances at the corners of a grid.

    Args:
        shell: The scan in the vehicle frame.
        low_mm: Lowest corner of the box to cover.
        high_mm: Highest corner.
        most_cells: How many corners at most, about; it sets the cube.
        smallest_mm: Smallest cube.
    """
    span = np.maximum(high_mm - low_mm, 1.0)
    cell = max(smallest_mm, float((np.prod(span) / most_cells) ** (1.0 / 3.0)))
    shape = tuple(int(n) for n in np.maximum(_FEWEST, np.ceil(span / cell).astype(int) + 1))
    found = shell.nearest(grid_corners(low_mm, cell, shape))
    values = found.distance_mm.reshape(shape).astype(np.float32)
    return DistanceGrid(low_mm=low_mm, cell_mm=cell, values=values)

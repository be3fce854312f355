"""A tube of straights and arcs as a few numbers, and how far points lie off its skin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Arc, FilletedPath, Line, Points, Vector, fillet_path, unit_vector


@dataclass(frozen=True, eq=False, kw_only=True)
class TubeModel:
    """A bar as unknowns about a start: nodes, centreline radius, outside radius.

    The ends move across the end straights only: no point on the skin tells where along them a bar ends.

    Args:
        nodes_mm: The start, shape (n, 3).
        clr_mm: Centreline radius at the start; any where there is no bend.
        radius_mm: Outside radius at the start.
        across: Two directions square to each end straight, shape (2, 2, 3).
    """

    nodes_mm: Points
    clr_mm: float
    radius_mm: float
    across: NDArray[np.float64]

    @property
    def bends(self) -> int:
        """How many bends."""
        return len(self.nodes_mm) - 2

    @property
    def size(self) -> int:
        """How many unknowns: two for each end, three for each inner node, the radii."""
        return 4 + 3 * self.bends + (self.bends > 0) + 1

    def nodes(self, values: Vector) -> Points:
        """The nodes that a vector of unknowns, shape (size,), says; shape (bends + 2, 3)."""
        made = self.nodes_mm.copy()
        made[0] += values[:2] @ self.across[0]
        made[-1] += values[2:4] @ self.across[1]
        made[1:-1] += values[4 : 4 + 3 * self.bends].reshape(-1, 3)
        return made

    def clr(self, values: Vector) -> float:
        """The centreline radius that it says, in mm."""
        return self.clr_mm + float(values[-2]) if self.bends else self.clr_mm

    def radius(self, values: Vector) -> float:
        """The outside radius that it says, in mm."""
        return self.radius_mm + float(values[-1])

    def path(self, values: Vector) -> FilletedPath:
        """The axis.

        Raises:
            ValueError: Where bends overlap.
        """
        return fillet_path(self.nodes(values), [self.clr(values)] * self.bends)


def tube_model(nodes_mm: Points, clr_mm: float, radius_mm: float) -> TubeModel:
    """The model that starts at these nodes, shape (bends + 2, 3), with one radius for all bends and one of the skin."""
    return TubeModel(
        nodes_mm=nodes_mm,
        clr_mm=clr_mm,
        radius_mm=radius_mm,
        across=np.array([_square(nodes_mm[1] - nodes_mm[0]), _square(nodes_mm[-1] - nodes_mm[-2])]),
    )


def nearest_pieces(path: FilletedPath, points_mm: Points) -> NDArray[np.intp]:
    """The piece of an axis that is nearest to each point, shape (n,); ends go on."""
    last = len(path.pieces) - 1
    apart = np.empty((len(path.pieces), len(points_mm)))
    for index, piece in enumerate(path.pieces):
        if isinstance(piece, Line):
            along = (points_mm - piece.start_mm) @ piece.direction
            low = -np.inf if index == 0 else 0.0
            high = np.inf if index == last else piece.length_mm
            places = piece.at(np.clip(along, low, high))
        else:
            places = piece.at(_along_arc(piece, points_mm))
        apart[index] = np.einsum("ni,ni->n", points_mm - places, points_mm - places)
    nearest: NDArray[np.intp] = np.argmin(apart, axis=0)
    return nearest


def off_axis_mm(path: FilletedPath, points_mm: Points, pieces: NDArray[np.intp]) -> Vector:
    """Distance of each point to the axis of its piece, carried on beyond both ends of the piece, shape (n,)."""
    made = np.empty(len(points_mm))
    for index, piece in enumerate(path.pieces):
        here = pieces == index
        made[here] = off_piece_mm(piece, points_mm[here])
    return made


def off_piece_mm(piece: Line | Arc, points_mm: Points) -> Vector:
    """Distance of each point to the axis of a piece, carried on beyond both its ends, shape (n,)."""
    offset = points_mm - (piece.start_mm if isinstance(piece, Line) else piece.centre_mm)
    square = np.einsum("ni,ni->n", offset, offset)
    if isinstance(piece, Line):
        along = offset @ piece.direction
        off: Vector = np.sqrt(np.maximum(square - along * along, 0.0))
    else:
        height = offset @ np.cross(piece.outward, piece.direction)
        off = np.hypot(np.sqrt(np.maximum(square - height * height, 0.0)) - piece.radius_mm, height)
    return off


def same_axis(first: Line | Arc, second: Line | Arc) -> bool:
    """Whether two pieces carried on beyond their ends are the same, to the last digit."""
    if isinstance(first, Line) and isinstance(second, Line):
        return np.array_equal(first.start_mm, second.start_mm) and np.array_equal(
            first.direction, second.direction
        )
    if isinstance(first, Arc) and isinstance(second, Arc):
        return (
            first.radius_mm == second.radius_mm
            and np.array_equal(first.centre_mm, second.centre_mm)
            and np.array_equal(first.outward, second.outward)
        )
    return False


def along_mm(path: FilletedPath, points_mm: Points, pieces: NDArray[np.intp]) -> Vector:
    """Distance of each point along the axis from its start, shape (n,); negative and beyond the length at the ends."""
    made, starts = np.empty(len(points_mm)), path.starts_mm
    for index, piece in enumerate(path.pieces):
        here = pieces == index
        if isinstance(piece, Line):
            made[here] = starts[index] + (points_mm[here] - piece.start_mm) @ piece.direction
        else:
            made[here] = starts[index] + _along_arc(piece, points_mm[here])
    return made


def _along_arc(arc: Arc, points_mm: Points) -> Vector:
    offset = points_mm - arc.centre_mm
    middle_rad = arc.length_mm / arc.radius_mm / 2.0
    turned_rad = np.arctan2(offset @ arc.direction, offset @ arc.outward) - middle_rad
    turned_rad = (turned_rad + np.pi) % (2.0 * np.pi) - np.pi
    along: Vector = (np.clip(turned_rad, -middle_rad, middle_rad) + middle_rad) * arc.radius_mm
    return along


def _square(direction: Vector) -> NDArray[np.float64]:
    way = unit_vector(direction)
    first = np.eye(3)[int(np.argmin(np.abs(way)))]
    first = unit_vector(first - way * float(first @ way))
    return np.array([first, np.cross(way, first)])

"""The bar as it is meant: nodes, radius and tube. Everything else is derived."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.geometry import FilletedPath, Plane, Points, fillet_path, mirror_points
from hoopwright.tubes import TubeSize

Node = tuple[float, float, float]
CENTRE_PLANE_NORMAL = (0.0, 1.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Bar:
    """A bar from end A (first node) to end B (last node).

    Args:
        name: What the bar is called on sheets.
        nodes_mm: Ends, and between them the points where the axes of neighbouring straights cross;
            forward, left, up; at least two.
        clr_mm: Centreline radius of its bends.
        tube: Tube size.
    """

    name: str
    nodes_mm: tuple[Node, ...]
    clr_mm: float
    tube: TubeSize

    @property
    def bend_count(self) -> int:
        """How many bends: the nodes between the ends."""
        return len(self.nodes_mm) - 2

    @property
    def nodes(self) -> Points:
        """The nodes as an array, shape (n, 3), mm."""
        return np.array(self.nodes_mm, dtype=np.float64).reshape(-1, 3)

    def with_nodes(self, nodes_mm: ArrayLike) -> "Bar":
        """The same bar through other nodes, shape (n, 3)."""
        return replace(self, nodes_mm=as_nodes(nodes_mm))


def as_nodes(points_mm: ArrayLike | Iterable[ArrayLike]) -> tuple[Node, ...]:
    """Points of shape (n, 3) as the tuple that a bar holds."""
    points = np.asarray(points_mm, dtype=np.float64).reshape(-1, 3)
    return tuple((float(f), float(le), float(u)) for f, le, u in points)


def as_node(point_mm: ArrayLike) -> Node:
    """A point of shape (3,) as a bar holds it."""
    forward, left, up = np.asarray(point_mm, dtype=np.float64)
    return float(forward), float(left), float(up)


def centreline(bar: Bar) -> FilletedPath:
    """The bar's axis with its true arcs.

    Raises:
        ValueError: Where the bar cannot be; `check_shape` says it in words.
    """
    return fillet_path(bar.nodes, [bar.clr_mm] * bar.bend_count)


def developed_mm(bar: Bar) -> float:
    """Length along the centreline, in mm: straights and arcs."""
    return centreline(bar).length_mm


def mirrored(bar: Bar, name: str, plane: Plane | None = None) -> Bar:
    """The bar of the other side; the mirror is the centre plane (left = 0) unless given.

    Straights and angles stay; every rotation but 180 changes its sign.
    """
    mirror = plane or Plane(np.array(CENTRE_PLANE_NORMAL), 0.0)
    return replace(bar, name=name, nodes_mm=as_nodes(mirror_points(bar.nodes, mirror)))


def reversed_bar(bar: Bar) -> Bar:
    """The same bar with ends A and B exchanged; rotations keep their sign."""
    return replace(bar, nodes_mm=bar.nodes_mm[::-1])

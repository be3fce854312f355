"""What is asked of one bar: its ends, its tube, its limits, and how its nodes may lie."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, Node
from hoopwright.geometry import Plane, Vector
from hoopwright.geometry.capsules import Capsule
from hoopwright.tubes import TubeSize

Moves = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class FitEnd:
    """One end of a bar to fit.

    Args:
        place_mm: Where it starts from, vehicle frame.
        slide: Direction in which it may slide, or None to stay.
        low_mm: How far it may slide against the direction.
        high_mm: How far along it.
        landing_mm: Length at this end that is not judged.
    """

    place_mm: Node
    slide: Node | None = None
    low_mm: float = 0.0
    high_mm: float = 0.0
    landing_mm: float = 100.0


@dataclass(frozen=True, kw_only=True)
class BarTask:
    """A bar to fit.

    Args:
        name: What it is called in findings.
        tube: Its tube.
        clr_mm: Its centreline radius.
        end_a: End A.
        end_b: End B.
        gap_mm: Gap that it must keep outside its landings.
        clamp_mm: Straight that the clamp needs.
        least_bend_deg: Smallest bend worth making.
        greatest_bend_deg: Greatest bend of the die.
        may_reverse: Whether a bend may turn against the one before it.
        rough_mm: Places that the bar should pass near, from A to B, without its ends; empty to find a way.
        plane: A place and a normal that all nodes keep to, or None. A plane through both ends.
        symmetric: Whether the bar is its own mirror image in the centre plane; B is then A's mirror.
        keep_clear: Room of the driver that the bar's skin stays out of.
    """

    name: str
    tube: TubeSize
    clr_mm: float
    end_a: FitEnd
    end_b: FitEnd
    gap_mm: float = 10.0
    clamp_mm: float = 60.0
    least_bend_deg: float = 3.0
    greatest_bend_deg: float = 120.0
    may_reverse: bool = False
    rough_mm: tuple[Node, ...] = ()
    plane: tuple[Node, Node] | None = None
    symmetric: bool = False
    keep_clear: tuple[Capsule, ...] = ()

    @property
    def landings_mm(self) -> tuple[float, float]:
        """Lengths at the ends that are not judged."""
        return self.end_a.landing_mm, self.end_b.landing_mm

    def on_plane(self, nodes_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Nodes of shape (n, 3), brought onto the bar's plane where it has one."""
        return nodes_mm if self.plane is None else Plane.through(*self.plane).nearest(nodes_mm)

    def bar(self, nodes_mm: NDArray[np.float64]) -> Bar:
        """The bar through nodes of shape (n, 3)."""
        return Bar(name=self.name, nodes_mm=(), clr_mm=self.clr_mm, tube=self.tube).with_nodes(nodes_mm)


@dataclass(frozen=True, eq=False, kw_only=True)
class Freedom:
    """How the nodes of a bar with some number of bends may lie: base + sum of number x move.

    Args:
        base_mm: Nodes when all numbers are zero, shape (nodes, 3).
        moves: Shape (numbers, nodes, 3).
        low_mm: Least of each number, shape (numbers,).
        high_mm: Greatest.
    """

    base_mm: NDArray[np.float64]
    moves: Moves
    low_mm: Vector
    high_mm: Vector

    def nodes(self, numbers: Vector) -> NDArray[np.float64]:
        """The nodes at some numbers, shape (nodes, 3)."""
        placed: NDArray[np.float64] = self.base_mm + np.tensordot(numbers, self.moves, axes=1)
        return placed


def freedom_of(task: BarTask, start_mm: NDArray[np.float64], reach_mm: float | Sequence[float]) -> Freedom:
    """How a bar through these nodes may change.

    Args:
        task: What is asked.
        start_mm: Nodes to start from, ends included, shape (n, 3).
        reach_mm: How far an inner node may go from its start along each direction; one for all, or one each.
    """
    count = len(start_mm)
    base = start_mm.astype(np.float64).copy()
    base[0], base[-1] = task.end_a.place_mm, task.end_b.place_mm
    half = (count - 1) // 2 if task.symmetric else count - 2
    twin = np.array([1.0, -1.0, 1.0])
    if task.symmetric:
        base[-1] = base[0] * twin
    reach = np.broadcast_to(np.asarray(reach_mm, dtype=np.float64), (max(0, count - 2),))
    moves: list[Moves] = []
    bounds: list[tuple[float, float]] = []
    for index in range(1, half + 1):
        middle = task.symmetric and index == count - 1 - index
        for direction in _directions(task, middle):
            moves.append(_move(count, index, direction, twin if task.symmetric and not middle else None))
            bounds.append((-reach[index - 1], reach[index - 1]))
    for index, end in ((0, task.end_a), (count - 1, task.end_b)):
        if end.slide is not None and not (task.symmetric and index):
            along = np.array(end.slide) / np.linalg.norm(end.slide)
            moves.append(_move(count, index, along, twin if task.symmetric else None))
            bounds.append((end.low_mm, end.high_mm))
    if task.symmetric:
        for index in range(half + 1, count - 1):
            base[index] = base[count - 1 - index] * twin
        if count % 2:
            base[count // 2, 1] = 0.0
    shaped = np.array(moves).reshape(len(moves), count, 3)
    low_high = np.array(bounds).reshape(-1, 2)
    return Freedom(base_mm=base, moves=shaped, low_mm=low_high[:, 0], high_mm=low_high[:, 1])


def _directions(task: BarTask, middle: bool) -> Sequence[Vector]:
    if task.plane is None:
        axes = list(np.eye(3))
    else:
        normal = np.array(task.plane[1]) / np.linalg.norm(task.plane[1])
        side = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
        side /= np.linalg.norm(side)
        axes = [side, np.cross(normal, side)]
    return [axis for axis in axes if abs(axis[1]) < 0.5] if middle else axes


def _move(count: int, index: int, direction: Vector, twin: Vector | None) -> Moves:
    move = np.zeros((count, 3))
    move[index] = direction
    if twin is not None:
        move[count - 1 - index] = direction * twin
    return move

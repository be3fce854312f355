"""A rigid body of balls moved past the metal and past capsules that stand in the car."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Capsule, Points, Vector
from hoopwright.shell.grid import DistanceGrid, grid_corners
from hoopwright.shell.moving_kernel import clearances, pose_between, room_at, way_is_free
from hoopwright.shell.nearest import nearest_metal
from hoopwright.shell.shell import Shell
from hoopwright.shell.tree import TriangleTree, boxed_tree

REACH_MM = 120.0
"""How far capsules are told apart from nothing; a clearance to them is never more."""
SLACK_MM = 0.5
_BUCKET_MM = 100.0
_AROUND_MM = 60.0
_MOST_CELLS = 600_000
_SMALLEST_MM = 10.0
_COARSE = 4
_FAR_MM = 90.0

Pose = NDArray[np.float64]
"""Shift of the body's middle in mm and its turn as a unit quaternion (x, y, z, w), shape (7,)."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Surroundings:
    """Metal and capsules that a body is moved past, vehicle frame.

    Args:
        tree: The body's metal; what stands round the car in the scan is not in it.
        grid: Distances to it, exact at the corners.
        metal_box: Lowest and highest place of the metal, shape (6,).
        capsules: What stands in the car.
        packed: The same as the kernel takes it.
    """

    tree: TriangleTree
    grid: DistanceGrid
    metal_box: Vector
    capsules: tuple[Capsule, ...] = ()
    packed: tuple[Any, ...] = field(repr=False, default=())

    def with_capsules(self, capsules: Sequence[Capsule]) -> "Surroundings":
        """The same metal with these capsules, and no others, in the car."""
        return replace(self, capsules=tuple(capsules), packed=_packed(self, capsules))


@dataclass(frozen=True, eq=False, kw_only=True)
class BallBody:
    """Balls fixed to each other.

    Args:
        balls: Place at rest in the vehicle frame, radius, how many of the following balls may be passed over when
            this one has room, and how far apart those lie; shape (n, 6).
        middle_mm: What it turns about, shape (3,).
        at_rest_mm: Clearance that each ball needs while it is near its place at rest; infinite for the usual one.
        near_mm: How far from its place at rest a ball is near it.
        gap_mm: Clearance that it needs elsewhere.
    """

    balls: NDArray[np.float64]
    middle_mm: Vector
    at_rest_mm: Vector
    near_mm: float
    gap_mm: float

    @property
    def farthest_mm(self) -> float:
        """From its middle to the farthest centre of a ball."""
        return float(np.linalg.norm(self.balls[:, :3] - self.middle_mm, axis=1).max())

    @property
    def packed(self) -> tuple[Any, ...]:
        """As the kernel takes it."""
        return (self.balls, self.middle_mm, self.at_rest_mm)


@dataclass(frozen=True, eq=False, kw_only=True)
class BallClearances:
    """Clearances of every ball at one pose.

    Args:
        metal_mm: From its skin to the metal, shape (n,); exact within 150 mm.
        capsule_mm: From its skin to the nearest capsule, never more than `REACH_MM`.
        triangle: Nearest triangle in the tree's order, -1 where it was not asked for.
        capsule: Number of the nearest capsule, -1 beyond the reach.
        moved_mm: How far it is from its place at rest.
        needed_mm: The clearance that it needs there.
    """

    metal_mm: Vector
    capsule_mm: Vector
    triangle: NDArray[np.int64]
    capsule: NDArray[np.int64]
    moved_mm: Vector
    needed_mm: Vector

    @property
    def least_mm(self) -> Vector:
        """To metal or a capsule, whichever is nearer, shape (n,)."""
        return np.minimum(self.metal_mm, self.capsule_mm)


def make_surroundings(
    shell: Shell, low_mm: Vector, high_mm: Vector, *, most_cells: int = _MOST_CELLS
) -> Surroundings:
    """The metal of a shell as a body is moved past it.

    Args:
        shell: The scan in the vehicle frame.
        low_mm: Lowest corner of where most of the moving is; farther off, the distance to the box of all metal counts.
        high_mm: Its highest corner.
        most_cells: How many corners the grid has at most, about.
    """
    keep = shell.body.of_triangle >= 0
    corners = shell.to_vehicle.points(shell.prepared.tree.corners[keep].reshape(-1, 3))
    tree = boxed_tree(
        np.ascontiguousarray(corners.reshape(-1, 9).astype(np.float32)), shell.prepared.tree.order[keep]
    )
    box = np.concatenate([tree.lowest_mm, tree.highest_mm])
    low, high = np.maximum(low_mm, box[:3] - _AROUND_MM), np.minimum(high_mm, box[3:] + _AROUND_MM)
    span = np.maximum(high - low, 1.0)
    cell = max(_SMALLEST_MM, float((np.prod(span) / most_cells) ** (1.0 / 3.0)))
    shape = tuple(int(n) for n in np.maximum(2, np.ceil(span / cell).astype(int) + 1))
    grid = DistanceGrid(low_mm=low, cell_mm=cell, values=_distances(tree, low, cell, shape))
    return Surroundings(tree=tree, grid=grid, metal_box=box).with_capsules(())


def _distances(
    tree: TriangleTree, low: Vector, cell_mm: float, shape: tuple[int, ...]
) -> NDArray[np.float32]:
    """Distances at the corners of a grid; far from metal the bound that a corner of a coarser grid gives."""
    coarse = tuple(-(-n // _COARSE) + 1 for n in shape)
    places = grid_corners(low, _COARSE * cell_mm, coarse)
    known = nearest_metal(tree, places).distance_mm.reshape(coarse)
    nearest = [np.rint(np.arange(n) / _COARSE).astype(np.int64) for n in shape]
    steps = [cell_mm * (np.arange(n) - _COARSE * k) for n, k in zip(shape, nearest, strict=True)]
    off = np.sqrt(steps[0][:, None, None] ** 2 + steps[1][:, None] ** 2 + steps[2] ** 2)
    values = known[np.ix_(*nearest)] - off
    near = values < _FAR_MM
    at = np.stack(np.nonzero(near), axis=1)
    values[near] = nearest_metal(
        tree, low + cell_mm * at, reach_mm=_FAR_MM + _COARSE * cell_mm * 2.0
    ).distance_mm
    exact: NDArray[np.float32] = values.astype(np.float32)
    return exact


def region_triangles(shell: Shell) -> NDArray[np.int64]:
    """Number in the shell's own tree of each triangle of `Surroundings.tree`, shape (t,)."""
    return np.flatnonzero(shell.body.of_triangle >= 0)


def at_rest() -> Pose:
    """The pose in which a body lies at its place."""
    return np.array([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0])


def room(around: Surroundings, body: BallBody, pose: Pose) -> float:
    """Smallest clearance less what is needed, in mm; below 0 the pose is refused, and how far is not told."""
    return float(room_at(around.packed, _tree(around), body.packed, pose, body.gap_mm, body.near_mm))


def free_share(around: Surroundings, body: BallBody, start: Pose, end: Pose) -> float:
    """Share of the motion from pose to pose up to which all is free; 1 for all of it.

    Between the poses looked at no ball is nearer than its need less `SLACK_MM`.
    """
    return float(
        way_is_free(
            around.packed, _tree(around), body.packed, start, end, body.gap_mm, body.near_mm,
            min(SLACK_MM, 0.5 * body.gap_mm) if body.gap_mm > 0.0 else SLACK_MM, body.farthest_mm,
        )
    )  # fmt: skip


def measure(around: Surroundings, body: BallBody, pose: Pose) -> BallClearances:
    """Clearances of every ball at a pose, on the full mesh."""
    found = np.empty((len(body.balls), 6))
    clearances(
        around.packed,
        _tree(around),
        body.packed,
        np.ascontiguousarray(pose),
        body.gap_mm,
        body.near_mm,
        True,
        found,
    )
    return BallClearances(
        metal_mm=found[:, 0],
        capsule_mm=found[:, 1],
        triangle=found[:, 2].astype(np.int64),
        capsule=found[:, 3].astype(np.int64),
        moved_mm=found[:, 4],
        needed_mm=found[:, 5],
    )


def nearest_places(
    around: Surroundings,
    points_mm: Points,
    there: BallClearances,
    balls: NDArray[np.int64],
    *,
    to_capsule: bool,
) -> Points:
    """Where the metal, or the axis of the nearest capsule, is nearest to some of the balls, shape (n, 3)."""
    if not to_capsule:
        return nearest_metal(around.tree, points_mm).place_mm
    ends = around.packed[4][there.capsule[balls]]
    start, axis = ends[:, :3], ends[:, 3:6] - ends[:, :3]
    length2 = np.maximum((axis**2).sum(axis=1), 1e-12)
    share = np.clip(((points_mm - start) * axis).sum(axis=1) / length2, 0.0, 1.0)
    places: Points = start + share[:, None] * axis
    return places


def between(start: Pose, end: Pose, share: float) -> Pose:
    """The pose at a share of the motion from one to another."""
    pose: Pose = pose_between(start, end, share)
    return pose


def placed(points_mm: Points, middle_mm: Vector, pose: Pose) -> Points:
    """Points of a body at rest, shape (n, 3), as they lie at a pose."""
    turned: Points = (points_mm - middle_mm) @ turn_matrix(pose[3:]).T + middle_mm + pose[:3]
    return turned


def turn_matrix(quaternion: Vector) -> NDArray[np.float64]:
    """Rotation matrix, shape (3, 3), of a unit quaternion (x, y, z, w)."""
    x, y, z, w = quaternion
    return np.array([
        [1.0 - 2.0 * (y * y + z * z), 2.0 * (x * y - z * w), 2.0 * (x * z + y * w)],
        [2.0 * (x * y + z * w), 1.0 - 2.0 * (x * x + z * z), 2.0 * (y * z - x * w)],
        [2.0 * (x * z - y * w), 2.0 * (y * z + x * w), 1.0 - 2.0 * (x * x + y * y)],
    ])  # fmt: skip


def _tree(around: Surroundings) -> tuple[Any, ...]:
    return (around.tree.corners, around.tree.boxes)


def _packed(around: Surroundings, capsules: Sequence[Capsule]) -> tuple[Any, ...]:
    """Arrays of the kernel: the grid, and for every bucket of 100 mm the capsules within reach of it."""
    rows = np.array([[*one.start_mm, *one.end_mm, one.radius_mm] for one in capsules]).reshape(-1, 7)
    ends = rows[:, :6].reshape(-1, 3)
    low = ends.min(axis=0) - REACH_MM - 100.0 if len(ends) else np.zeros(3)
    high = ends.max(axis=0) + REACH_MM + 100.0 if len(ends) else np.zeros(3)
    shape = np.maximum(1, np.ceil((high - low) / _BUCKET_MM)).astype(np.int64)
    lists: list[list[int]] = [[] for _ in range(int(np.prod(shape)))]
    middles = [low[k] + _BUCKET_MM * (np.arange(shape[k]) + 0.5) for k in range(3)]
    places = np.stack(np.meshgrid(*middles, indexing="ij"), axis=-1).reshape(-1, 3)
    half = _BUCKET_MM * np.sqrt(3.0) / 2.0
    for number, row in enumerate(rows):
        start, axis = row[:3], row[3:6] - row[:3]
        length2 = max(float(axis @ axis), 1e-12)
        share = np.clip((places - start) @ axis / length2, 0.0, 1.0)
        away = np.linalg.norm(places - start - share[:, None] * axis, axis=1) - row[6]
        for bucket in np.flatnonzero(away <= REACH_MM + half):
            lists[bucket].append(number)
    starts = np.cumsum([0, *(len(one) for one in lists)]).astype(np.int64)
    items = np.array([c for one in lists for c in one], dtype=np.int64)
    grid = around.grid
    return (
        grid.values, np.ascontiguousarray(grid.low_mm, dtype=np.float64), float(grid.cell_mm),
        around.metal_box, np.ascontiguousarray(rows), starts, items, low, _BUCKET_MM, shape, REACH_MM,
    )  # fmt: skip

"""The room round a bar to fit, as the search needs it: distances on a grid, and a rough way."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.fitting.bar_task import BarTask
from hoopwright.fitting.free_space import free_space, room_on_the_way, rooms_of, shortest_way
from hoopwright.fitting.no_room import check_ends_reach_room, check_way_stays_inside, no_way
from hoopwright.geometry import Points
from hoopwright.shell.grid import DistanceGrid, make_grid
from hoopwright.shell.shell import Shell

_MARGIN_MM = 260.0
_CELLS = 220_000


@dataclass(frozen=True, eq=False, kw_only=True)
class Ground:
    """What all searches for one bar share.

    Args:
        grid: Values to search on.
        way_mm: Rough way from A to B, shape (n, 3).
    """

    grid: DistanceGrid
    way_mm: Points


def survey(shell: Shell, task: BarTask) -> Ground:
    """Measure the room round a bar and find its rough way.

    Raises:
        UserError: `FIT-031` when there is no room along the way, `FIT-038` when the gap is wider than the car,
            `FIT-039` when the picked way leaves the car, `FIT-049` for an end too deep in metal.
    """
    check_way_stays_inside(shell, task)
    reach = task.gap_mm + task.tube.od_mm / 2.0
    ends = np.array([task.end_a.place_mm, task.end_b.place_mm])
    given = np.array([ends[0], *task.rough_mm, ends[1]])
    grid = make_grid(shell, *_box(shell, task, given), most_cells=_CELLS)
    vote = dense(given if task.rough_mm else np.linspace(ends[0], ends[1], 15))[2:-2]
    found = _room_at(shell, grid, vote, reach)
    if found is None:
        raise no_way(shell, task, grid, lambda near: _room_at(shell, grid, vote, near) is not None)
    rooms, room = found
    check_ends_reach_room(shell, task, grid, rooms == room)
    way = given
    if not task.rough_mm:
        # a room hangs together, so that there is a way between any two of its places
        through = shortest_way(grid, rooms == room, ends[0], ends[1], hug_mm=reach)
        if through is None:
            raise no_way(shell, task, grid, lambda _: False)
        way = np.array([ends[0], *through, ends[1]])
    return Ground(grid=free_space(grid, rooms, room, reach), way_mm=way)


def _box(shell: Shell, task: BarTask, given_mm: Points) -> tuple[Points, Points]:
    """Low and high corner of the room that is measured."""
    low, high = given_mm.min(axis=0), given_mm.max(axis=0)
    margin = _MARGIN_MM if task.rough_mm else 420.0
    body_low, body_high = shell.body_box()
    low, high = np.maximum(low - margin, body_low - 30.0), np.minimum(high + margin, body_high + 30.0)
    return np.minimum(low, given_mm.min(axis=0) - 30.0), np.maximum(high, given_mm.max(axis=0) + 30.0)


def _room_at(
    shell: Shell, grid: DistanceGrid, vote_mm: Points, reach_mm: float
) -> tuple[NDArray[np.int32], int] | None:
    """The rooms at a distance from metal and the one that the way lies in; None when it lies in none."""
    rooms = rooms_of(shell, grid, reach_mm)
    room = room_on_the_way(grid, rooms, vote_mm)
    return (rooms, room) if room else None


def dense(way_mm: Points) -> Points:
    """Sixty places evenly along a way of shape (n, 3)."""
    steps = np.linalg.norm(np.diff(way_mm, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, along[-1], 60)
    return np.column_stack([np.interp(at, along, way_mm[:, axis]) for axis in range(3)])

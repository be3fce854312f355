"""The room that a bar may lie in: reachable from the inside without passing a skin or leaving the outline."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from hoopwright.fitting.openings import downward, through_openings
from hoopwright.geometry import Points
from hoopwright.shell.grid import DistanceGrid
from hoopwright.shell.shell import Shell

_SHARE = 0.75


def rooms_of(shell: Shell, grid: DistanceGrid, reach_mm: float) -> NDArray[np.int32]:
    """Connected rooms in which an axis keeps about `reach_mm` from metal and lies inside the shell's outline.

    Returns:
        Number of the room at each corner of the grid, of the grid's shape; 0 where there is none.
    """
    distance = grid.values.reshape(-1).astype(np.float64)
    wide = np.flatnonzero(distance >= _SHARE * reach_mm)
    is_open, margin, outward = through_openings(shell, grid.corners()[wide], distance[wide])
    leaves = is_open & (margin < reach_mm)
    outside = ~(margin >= 0.0) & ~downward(outward)
    free = np.zeros(len(distance), dtype=bool)
    free[wide[~leaves & ~outside]] = True
    rooms, _ = ndimage.label(free.reshape(grid.values.shape))
    return np.asarray(rooms, dtype=np.int32)


def room_on_the_way(grid: DistanceGrid, rooms: NDArray[np.int32], way_mm: Points) -> int:
    """The room that most of a rough way, shape (n, 3), lies in or next to; 0 when it meets none."""
    at = grid.index(way_mm)
    near = max(1, round(60.0 / grid.cell_mm))
    votes: dict[int, float] = {}
    for f, le, u in at:
        part = rooms[
            max(0, f - near) : f + near + 1,
            max(0, le - near) : le + near + 1,
            max(0, u - near) : u + near + 1,
        ]
        found, counts = np.unique(part[part > 0], return_counts=True)
        for room, count in zip(found, counts, strict=True):
            votes[int(room)] = votes.get(int(room), 0.0) + float(count) / part.size
    return max(votes, key=lambda room: votes[room], default=0)


def free_space(grid: DistanceGrid, rooms: NDArray[np.int32], room: int, reach_mm: float) -> DistanceGrid:
    """Distances where an axis may be; elsewhere how far it is from there, negative, so that a search finds back.

    A corner too near to metal lies on the room's side of it when it is in the free ball about a corner of the room:
    there its distance counts as it is, so that a bar close to a wall is judged between true distances.

    Args:
        grid: Distances to the metal.
        rooms: As `rooms_of` gives them.
        room: The number of one of them.
        reach_mm: Distance that an axis keeps from metal.
    """
    inside = rooms == room
    away, nearest = ndimage.distance_transform_edt(~inside, return_indices=True)
    away = away * grid.cell_mm
    this_side = (away < grid.values[tuple(nearest)]) & (grid.values < _SHARE * reach_mm)
    kept = inside | this_side
    values = np.where(kept, grid.values, np.minimum(grid.values, _SHARE * reach_mm) - away)
    return replace(grid, values=values.astype(np.float32))


def shortest_way(
    grid: DistanceGrid, allowed: NDArray[np.bool_], from_mm: Points, to_mm: Points, *, hug_mm: float
) -> Points | None:
    """A way from place to place through allowed corners that stays near the metal; None when there is none.

    Args:
        grid: Distances.
        allowed: Which corners may be passed, shape of the grid.
        from_mm: Shape (3,).
        to_mm: Shape (3,).
        hug_mm: Distance from the metal beyond which a corner costs more.
    """
    numbers = np.full(allowed.size, -1)
    flat = np.flatnonzero(allowed.reshape(-1))
    numbers[flat] = np.arange(len(flat))
    price = 1.0 + np.clip(grid.values.reshape(-1)[flat] - hug_mm, 0.0, 400.0) / 40.0
    graph = _graph(numbers.reshape(allowed.shape), price, grid.cell_mm)
    places = grid.corners()[flat]
    ends = [int(np.argmin(np.linalg.norm(places - end, axis=1))) for end in (from_mm, to_mm)]
    # scipy's stubs know no sparse array here
    _, before = dijkstra(graph, directed=False, indices=ends[0], return_predecessors=True)  # type: ignore[call-overload]
    if ends[0] != ends[1] and before[ends[1]] < 0:
        return None
    way = [ends[1]]
    while way[-1] != ends[0]:
        way.append(int(before[way[-1]]))
    return places[way[::-1]]


def _graph(numbers: NDArray[np.int64], price: NDArray[np.float64], cell_mm: float) -> csr_array:
    rows, columns, weights = [], [], []
    for step in np.ndindex(3, 3, 3):
        move = np.array(step) - 1
        if tuple(move) <= (0, 0, 0):
            continue
        here = tuple(slice(max(0, -m), n - max(0, m)) for m, n in zip(move, numbers.shape, strict=True))
        there = tuple(slice(max(0, m), n + min(0, m)) for m, n in zip(move, numbers.shape, strict=True))
        a, b = numbers[here].reshape(-1), numbers[there].reshape(-1)
        both = (a >= 0) & (b >= 0)
        a, b = a[both], b[both]
        rows.append(a)
        columns.append(b)
        weights.append(cell_mm * float(np.linalg.norm(move)) * (price[a] + price[b]) / 2.0)
    count = len(price)
    return csr_array(
        (np.concatenate(weights), (np.concatenate(rows), np.concatenate(columns))), shape=(count, count)
    )

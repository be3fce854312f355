"""Lines in which planes cut the shell, for drawings."""

from collections import defaultdict

import numpy as np

from hoopwright.geometry import Plane, Points
from hoopwright.shell.shell import Shell

_JOIN_MM = 0.05
_SHORTEST_MM = 80.0
_STRAY_MM = 2.0


def section_lines(shell: Shell, plane: Plane) -> tuple[Points, ...]:
    """Where a plane of the vehicle frame cuts the body, as lines; pieces under 80 mm are left out.

    Args:
        shell: The scan in the vehicle frame; a cloud has no section.
        plane: In the vehicle frame.
    """
    if shell.prepared.is_cloud:
        return ()
    rotation, shift = shell.to_vehicle.rotation, shell.to_vehicle.shift_mm
    corners = shell.prepared.tree.corners.reshape(-1, 3)
    side = (corners @ (plane.normal @ rotation)).reshape(-1, 3) - (
        plane.offset_mm - float(plane.normal @ shift)
    )
    cut = (side.min(axis=1) < 0.0) & (side.max(axis=1) >= 0.0) & (shell.body.of_triangle >= 0)
    segments = _segments(shell.prepared.tree.corners[cut].reshape(-1, 3, 3).astype(np.float64), side[cut])
    lines = _chained(shell.to_vehicle.points(segments.reshape(-1, 3)).reshape(-1, 2, 3))
    return tuple(_thinned(line) for line in lines if _length(line) >= _SHORTEST_MM)


def mesh_outline(corners_mm: Points, plane: Plane) -> tuple[Points, ...]:
    """Where a plane cuts a mesh, as lines; none is left out.

    Args:
        corners_mm: Corners of its triangles, shape (n, 3, 3).
        plane: In the same frame.
    """
    side = corners_mm @ plane.normal - plane.offset_mm
    cut = (side.min(axis=1) < 0.0) & (side.max(axis=1) >= 0.0)
    return tuple(_chained(_segments(corners_mm[cut], side[cut])))


def _segments(corners: np.ndarray, side: np.ndarray) -> np.ndarray:
    """The two places where each cut triangle's edges meet the plane, shape (m, 2, 3)."""
    ends = []
    below = side < 0.0
    for a, b in ((0, 1), (1, 2), (2, 0)):
        crosses = below[:, a] != below[:, b]
        # the same way along an edge from either triangle, so that neighbours meet in the same place
        swap = below[:, b]
        low, high = (
            np.where(swap[:, None], corners[:, b], corners[:, a]),
            np.where(swap[:, None], corners[:, a], corners[:, b]),
        )
        at_low, at_high = np.where(swap, side[:, b], side[:, a]), np.where(swap, side[:, a], side[:, b])
        share = np.divide(-at_low, at_high - at_low, out=np.zeros(len(side)), where=crosses)
        ends.append(np.where(crosses[:, None], low + share[:, None] * (high - low), np.nan))
    stacked = np.stack(ends, axis=1)
    order = np.argsort(np.isnan(stacked[:, :, 0]), axis=1, kind="stable")[:, :2]
    return np.take_along_axis(stacked, order[:, :, None], axis=1)


def _chained(segments: np.ndarray) -> list[Points]:
    """Segments joined end to end into lines."""
    keys = np.round(segments / _JOIN_MM).astype(np.int64)
    at: dict[tuple[int, ...], list[int]] = defaultdict(list)
    for index, (first, second) in enumerate(keys):
        at[tuple(first)].append(index)
        at[tuple(second)].append(index)
    used = np.zeros(len(segments), dtype=bool)
    lines = []
    for start in range(len(segments)):
        if used[start]:
            continue
        used[start] = True
        back = _walk(start, 0, keys, segments, at, used)
        ahead = _walk(start, 1, keys, segments, at, used)
        lines.append(np.array([*reversed(back), *segments[start], *ahead]))
    return lines


def _walk(
    start: int,
    end: int,
    keys: np.ndarray,
    segments: np.ndarray,
    at: dict[tuple[int, ...], list[int]],
    used: np.ndarray,
) -> list[np.ndarray]:
    """Places beyond one end of a segment, as far as unused segments go on."""
    places: list[np.ndarray] = []
    key = tuple(keys[start, end])
    while True:
        following = next((index for index in at[key] if not used[index]), None)
        if following is None:
            return places
        used[following] = True
        far = 1 if tuple(keys[following, 0]) == key else 0
        places.append(segments[following, far])
        key = tuple(keys[following, far])


def _length(line: Points) -> float:
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())


def _thinned(line: Points) -> Points:
    """The line with as few points as keep it within 2 mm (Douglas and Peucker, Cartographica 10 (1973) 112)."""
    keep = np.zeros(len(line), dtype=bool)
    keep[[0, -1]] = True
    todo = [(0, len(line) - 1)]
    while todo:
        first, last = todo.pop()
        if last - first < 2:
            continue
        chord = line[last] - line[first]
        length = float(np.linalg.norm(chord))
        inner = line[first + 1 : last] - line[first]
        if length > 0.0:
            stray = np.linalg.norm(inner - np.outer(inner @ chord / length**2, chord), axis=1)
        else:
            stray = np.linalg.norm(inner, axis=1)
        worst = int(np.argmax(stray))
        if stray[worst] > _STRAY_MM:
            middle = first + 1 + worst
            keep[middle] = True
            todo += [(first, middle), (middle, last)]
    return line[keep]

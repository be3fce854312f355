"""Finding the arcs in an outline that is given by points."""

import math

import numpy as np

from hoopwright.geometry import Points, Vector

_LEAST_STEPS = 4
_ON_MM = 0.002
_WIDEST_STEP_DEG = 31.0
_LONGEST_ARC_DEG = 190.0
_LARGEST_MM = 2000.0
Bulged = tuple[float, float, float]


def with_bulges(outline_mm: Points) -> list[Bulged]:
    """The outline as corners with the bulge of the step that follows: 0 is straight, else tan(arc / 4).

    Four or more steps with the same length and turn whose points and middles lie within 0.002 mm of one circle
    become one arc.

    Args:
        outline_mm: Closed outline without its first point again, shape (n, 2).
    """
    points = np.asarray(outline_mm, dtype=np.float64)
    count = len(points)
    start = _corner(points)
    order = [(start + k) % count for k in range(count)]
    corners: list[Bulged] = []
    at = 0
    while at < count:
        steps, turn_rad = _arc_from(points, order, at)
        x, y = points[order[at]]
        bulge = math.tan(turn_rad / 4.0) if steps else 0.0
        corners.append((float(x), float(y), bulge))
        at += max(steps, 1)
    return corners


def _corner(points: Points) -> int:
    """A point to start from that lies within no arc: the end of the longest step."""
    steps = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    return (int(np.argmax(steps)) + 1) % len(points)


def _arc_from(points: Points, order: list[int], at: int) -> tuple[int, float]:
    """How many steps from a point lie on one arc, and the arc's turn; no steps where there is none."""
    ring = [*order, order[0]]
    last = len(ring) - 1
    best = (0, 0.0)
    for end in range(at + _LEAST_STEPS, last + 1):
        turn_rad = _turn_on_circle(points[ring[at : end + 1]])
        if turn_rad is None:
            break
        best = (end - at, turn_rad)
    return best


def _turn_on_circle(run: Points) -> float | None:
    """Turn of the arc through a run of points, counterclockwise positive; None where it is no arc."""
    steps = np.diff(run, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    headings = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turns = np.diff(headings)
    widest = math.radians(_WIDEST_STEP_DEG)
    if (
        np.ptp(lengths) > 0.01 * lengths.mean() + _ON_MM
        or np.abs(turns).max() > widest
        or np.abs(turns).min() < 1e-4
    ):
        return None
    if np.ptp(turns) > 0.02 * abs(float(turns.mean())):
        return None
    turn_rad = float(turns.mean()) * len(steps)
    if abs(turn_rad) > math.radians(_LONGEST_ARC_DEG):
        return None
    centre, radius = _circle(run)
    off = np.abs(np.linalg.norm(run - centre, axis=1) - radius).max()
    return turn_rad if off < _ON_MM and radius < _LARGEST_MM else None


def _circle(run: Points) -> tuple[Vector, float]:
    """Circle through points by least squares. Source: I. Kasa, IEEE Trans. Instrum. Meas. 25, 1976."""
    middle = run.mean(axis=0)
    near = run - middle
    matrix = np.column_stack([2.0 * near, np.ones(len(near))])
    solved = np.linalg.lstsq(matrix, (near**2).sum(axis=1), rcond=None)[0]
    centre = solved[:2]
    return centre + middle, math.sqrt(float(solved[2] + centre @ centre))

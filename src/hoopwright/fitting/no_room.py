"""Why no bar can be fitted where it was asked: a gap wider than the car, a way out of it, an end deep in metal."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from hoopwright.bars import as_node, centreline, check_shape
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.fitting.bar_task import BarTask, FitEnd
from hoopwright.fitting.openings import downward, through_openings
from hoopwright.geometry import Points, Vector
from hoopwright.shell.grid import DistanceGrid
from hoopwright.shell.shell import Shell

_OUTSIDE_MM = 30.0
"""Picks are made on the skin, and the corner between two legs lies outside of the bend."""
_EVERY_MM = 10.0
_SLIDE_STEP_MM = 10.0
_HALVINGS = 6


def check_way_stays_inside(shell: Shell, task: BarTask) -> None:
    """Raises UserError `FIT-039` when the picked way leaves the car, with where and through what."""
    if not task.rough_mm:
        return
    points, along = _way(task)
    margin, outward = shell.envelope.margin_mm(points)
    landed = (along < task.end_a.landing_mm) | (along > along[-1] - task.end_b.landing_mm)
    out = (np.nan_to_num(margin, nan=0.0) < -_OUTSIDE_MM) & ~downward(outward) & ~landed
    if not out.any():
        return
    first = int(np.argmax(out))
    inside = np.flatnonzero(np.nan_to_num(margin[: first + 1], nan=0.0) >= 0.0)
    leaves = int(inside[-1]) if len(inside) else first
    run = np.flatnonzero(~out[first:])
    last = first + int(run[0]) if len(run) else len(out)
    farthest = float(-margin[first:last].min())
    raise UserError(
        Finding(
            code="FIT-039",
            severity=Severity.STOP,
            sentence=f"Bar {task.name}: the picked way leaves the car {_through(shell, points[leaves], points[first])} "
            f"on {_side_out(outward[first])}, {along[leaves]:.0f} mm from end A at {_at(points[leaves])}, and goes "
            f"{farthest:.0f} mm outside of its outline.",
            todo="Pick the way inside the car there: along the pillar, the rail or the sill beside the opening.",
            objects=(task.name,),
            point_mm=as_node(points[leaves]),
            measured=farthest,
            limit=_OUTSIDE_MM,
            unit="mm",
        )
    )


def check_ends_reach_room(
    shell: Shell, task: BarTask, grid: DistanceGrid, in_room: NDArray[np.bool_]
) -> None:
    """Stop on an end from which the bar cannot come into the room.

    Args:
        shell: The scan in the vehicle frame.
        task: What is asked.
        grid: Distances to the metal.
        in_room: Which corners of the grid the axis may pass, of the grid's shape.

    Raises:
        UserError: `FIT-049` for an end with no room for the bar within its landing.
    """
    tree = cKDTree(grid.corners()[np.flatnonzero(in_room.reshape(-1))])
    half = task.tube.od_mm / 2.0
    for letter, end in (("A", task.end_a), ("B", task.end_b)):
        places = _slid(end)
        if letter == "B" and task.symmetric:
            continue
        away, _ = tree.query(places)
        # the room is known to a corner of the grid
        least = float(np.min(away)) - grid.cell_mm
        if least <= end.landing_mm:
            continue
        gap = float(shell.nearest(np.array([end.place_mm])).distance_mm[0]) - half
        raise UserError(
            Finding(
                code="FIT-049",
                severity=Severity.STOP,
                sentence=f"Bar {task.name}: end {letter} at {_at(np.array(end.place_mm))} lies in metal, behind "
                f"it or too near to it ({gap:.0f} mm from skin to metal): room for a {task.tube.od_mm:g} mm tube at "
                f"{task.gap_mm:g} mm begins {least:.0f} mm away, its landing is {end.landing_mm:g} mm.",
                todo="Move the end toward the inside, or say what it lands on (--end-a, --end-b): "
                "that leaves it a landing.",
                objects=(task.name,),
                point_mm=end.place_mm,
                measured=least,
                limit=end.landing_mm,
                unit="mm",
            )
        )


def no_way(shell: Shell, task: BarTask, grid: DistanceGrid, has_way: Callable[[float], bool]) -> UserError:
    """`FIT-038` for a gap wider than the car, else `FIT-031` with the gap that the way has room for.

    Args:
        shell: The scan in the vehicle frame.
        task: What is asked.
        grid: Distances about the way.
        has_way: Whether there is a way at a distance from metal to the axis.
    """
    half = task.tube.od_mm / 2.0
    corners, distance = grid.corners(), grid.values.reshape(-1).astype(np.float64)
    is_open, margin, _ = through_openings(shell, corners, distance)
    room = np.where(is_open, margin, distance)
    room[~(margin >= 0.0)] = -np.inf
    widest = int(np.argmax(room))
    most = float(room[widest]) - half
    if not task.gap_mm <= most:
        return _stop(
            "FIT-038",
            f"Bar {task.name}: a gap of {task.gap_mm:g} mm is wider than the car: the most that a "
            f"{task.tube.od_mm:g} mm tube can have about its way is {most:.0f} mm, at {_at(corners[widest])}.",
            "Ask for a smaller gap; lengths are in mm unless a unit is typed.",
            task,
            most,
        )
    low, high = 0.0, half + task.gap_mm
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if has_way(middle) else (low, middle)
    best = max(0.0, low - half)
    return _stop(
        "FIT-031",
        f"Bar {task.name}: no room was found along its way in which a {task.tube.od_mm:g} mm tube keeps "
        f"{task.gap_mm:g} mm from the metal on all sides; about {best:.0f} mm is the most that was found.",
        "Check the ends and the picks, ask for a smaller gap, or pick the way through the car.",
        task,
        best,
    )


def _stop(code: str, sentence: str, todo: str, task: BarTask, best_mm: float) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=sentence,
            todo=todo,
            objects=(task.name,),
            measured=best_mm,
            limit=task.gap_mm,
            unit="mm",
        )
    )


def _way(task: BarTask) -> tuple[Points, Vector]:
    """Points along the picked way, as the bar through the picks where there is one, and how far along they are."""
    given = np.array([task.end_a.place_mm, *task.rough_mm, task.end_b.place_mm])
    bar = task.bar(given)
    if not stopping(check_shape(bar)):
        path = centreline(bar)
        along = np.linspace(0.0, path.length_mm, max(2, int(path.length_mm / _EVERY_MM)))
        return path.at(along), along
    steps = np.linalg.norm(np.diff(given, axis=0), axis=1)
    corners = np.concatenate([[0.0], np.cumsum(steps)])
    along = np.linspace(0.0, corners[-1], max(2, int(corners[-1] / _EVERY_MM)))
    return np.column_stack([np.interp(along, corners, given[:, axis]) for axis in range(3)]), along


def _slid(end: FitEnd) -> Points:
    place = np.array([end.place_mm])
    if end.slide is None:
        return place
    steps = np.arange(end.low_mm, end.high_mm + _SLIDE_STEP_MM, _SLIDE_STEP_MM)
    slid: Points = place + np.multiply.outer(steps, np.array(end.slide))
    return slid


def _through(shell: Shell, inside: Vector, outside: Vector) -> str:
    way = outside - inside
    length = float(np.linalg.norm(way))
    if length < 1e-6 or shell.prepared.is_cloud:
        return "through an opening or the skin"
    hit = shell.first_hits(inside[None], way / length, reach_mm=np.array([length]))
    triangle = int(hit.triangle[0])
    if triangle < 0:
        return "through an opening"
    return f"through '{shell.region_names[int(shell.prepared.regions.of_triangle[triangle])]}'"


def _side_out(outward: Vector) -> str:
    names = ("the front", "the left side", "the top")
    opposite = ("the rear", "the right side", "the underside")
    axis = int(np.argmax(np.abs(outward)))
    return names[axis] if outward[axis] > 0.0 else opposite[axis]


def _at(place: Vector) -> str:
    return ", ".join(f"{value:.0f}" for value in place)

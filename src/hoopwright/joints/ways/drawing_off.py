"""Taking a part off its place: the last stretch of its way in, backwards.

Straight ways are tried first, then a tilt and a straight way, then a tree of small motions that goes as far as each
contact lets it. Method of the tree: S. LaValle, Rapidly-exploring random trees, 1998.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hoopwright.joints.ways.carried import Carried
from hoopwright.joints.ways.poses import DRAWN_OFF_MM, even_ways, quaternion, tilts, turned_about
from hoopwright.joints.ways.sliding import slid
from hoopwright.joints.ways.smooth import motion_mm
from hoopwright.shell.moving import Pose, Surroundings, at_rest, free_share, room, turn_matrix

_MOST = 6
_REACHES_MM = (15.0, 50.0, 150.0, 350.0)
_STEPS = 8
_CLEAR_MM = 100.0
_REACHED_MM = (0.0, 100.0, 300.0)


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnOff:
    """A way off the place.

    Args:
        poses: From the place to where the part is free of its landings.
        straight: Whether it comes away straight, without being turned.
    """

    poses: tuple[Pose, ...]
    straight: bool

    @property
    def end(self) -> Pose:
        """Where it is free."""
        return self.poses[-1]


def ways_off(around: Surroundings, carried: Carried, *, seed: int, trials: int) -> tuple[DrawnOff, ...]:
    """Ways off the place, the simplest first.

    Args:
        around: Metal, and the bars that are in.
        carried: The part.
        seed: Of the random numbers.
        trials: How often the tree of small motions is grown at most.
    """
    found = _straight(around, carried, at_rest(), ())
    if any(_far(carried, one) >= _CLEAR_MM for one in found):
        return tuple(sorted(found, key=lambda one: -_far(carried, one))[:_MOST])
    found = [*_wandering(around, carried, seed, trials), *found]
    if len(found) < _MOST:
        found += _tilted(around, carried)
    return tuple(found[:_MOST])


def _tilted(around: Surroundings, carried: Carried) -> list[DrawnOff]:
    """Ways off by a tilt and then straight."""
    found = list[DrawnOff]()
    for pivot, turn in tilts(carried.part, carried.body.middle_mm):
        tilted = turned_about(carried.body.middle_mm, pivot, turn, np.zeros(3))
        if free_share(around, carried.body, at_rest(), tilted) >= 1.0:
            found += _straight(around, carried, tilted, (at_rest(),))
    return found


def _far(carried: Carried, off: DrawnOff) -> float:
    return motion_mm(carried.body, off.poses[0], off.end)


def _straight(
    around: Surroundings, carried: Carried, start: Pose, before: tuple[Pose, ...]
) -> list[DrawnOff]:
    """Straight ways from a pose to where all of the part has the usual clearance."""
    found = []
    if before and room(around, carried.free_body, start) >= 0.0:
        return [DrawnOff(poses=(*before, start), straight=False)]
    for way in even_ways():
        farthest: Pose | None = None
        for far in DRAWN_OFF_MM:
            end = start.copy()
            end[:3] += far * way
            if free_share(around, carried.body, start, end) < 1.0:
                break
            if room(around, carried.free_body, end) >= 0.0:
                farthest = end
        if farthest is not None:
            found.append(DrawnOff(poses=(*before, start, farthest), straight=not before))
    return found


def _wandering(around: Surroundings, carried: Carried, seed: int, trials: int) -> list[DrawnOff]:
    """Ways found by a tree of small motions that slide along what they touch."""
    body, found = carried.body, list[DrawnOff]()
    poses, parents = [at_rest()], [-1]
    for wanted in _wanted(carried, seed, trials):
        near = _nearest(np.array(poses), wanted, body.farthest_mm)
        for pose in slid(around, body, poses[near], wanted, _STEPS):
            poses.append(pose)
            parents.append(near)
            near = len(poses) - 1
            far = motion_mm(body, poses[0], pose)
            if far >= _REACHED_MM[len(found)] and room(around, carried.free_body, pose) >= 0.0:
                found.append(_traced(around, carried, poses, parents))
                break
        if len(found) == len(_REACHED_MM):
            break
    found.reverse()
    return found


def _traced(around: Surroundings, carried: Carried, poses: list[Pose], parents: list[int]) -> DrawnOff:
    way, at = [poses[-1]], len(poses) - 1
    while parents[at] >= 0:
        at = parents[at]
        way.append(poses[at])
    way.reverse()
    start = 0
    # straight where it goes straight
    while start < len(way) - 2:
        for end in range(len(way) - 1, start + 1, -1):
            if free_share(around, carried.body, way[start], way[end]) >= 1.0:
                del way[start + 1 : end]
                break
        start += 1
    return DrawnOff(poses=tuple(way), straight=False)


def _wanted(carried: Carried, seed: int, trials: int) -> Iterator[Pose]:
    """Random poses near the place: small ones as often as large ones."""
    random = np.random.default_rng(seed)
    body = carried.body
    ends = carried.part.places_mm[[0, -1]]
    for _ in range(trials):
        reach = _REACHES_MM[int(random.integers(len(_REACHES_MM)))]
        shift = random.uniform(-reach, reach, 3)
        turn_deg = float(np.degrees(random.uniform(0.0, 2.0 * reach / max(body.farthest_mm, 1.0))))
        turn = quaternion(random.normal(size=3), min(turn_deg, 60.0))
        pivot = (body.middle_mm, *ends)[int(random.integers(3))]
        about = turn_matrix(turn) @ (body.middle_mm - pivot) - (body.middle_mm - pivot)
        yield np.concatenate([about + shift, turn])


def _nearest(poses: np.ndarray, wanted: Pose, farthest_mm: float) -> int:
    turned_rad = 2.0 * np.arccos(np.clip(np.abs(poses[:, 3:] @ wanted[3:]), 0.0, 1.0))
    away = np.linalg.norm(poses[:, :3] - wanted[:3], axis=1) + farthest_mm * turned_rad
    return int(np.argmin(away))

"""A motion toward a wanted pose that slides along what it touches instead of stopping there.

Each small step is the one nearest to what is wanted that takes no ball nearer to anything than its room, to first
order. Source of the solution: C. Lawson and R. Hanson, Solving Least Squares Problems (1974), chapter 23, least
distance programming.
"""

from collections.abc import Iterator

import numpy as np
from scipy.optimize import nnls

from hoopwright.geometry import Points, Vector
from hoopwright.joints.ways.poses import product, quaternion
from hoopwright.shell.moving import (
    BallBody,
    BallClearances,
    Pose,
    Surroundings,
    between,
    free_share,
    measure,
    nearest_places,
    placed,
)

_STEP_MM = 12.0
_LEAST_MM = 0.3
_SHARE = 0.95
_MOST_CONTACTS = 40


def slid(around: Surroundings, body: BallBody, start: Pose, wanted: Pose, steps: int) -> Iterator[Pose]:
    """Poses on the way from one pose toward another, each free and freely reached from the one before."""
    pose = start
    for _ in range(steps):
        step = _limited(_difference(pose, wanted, body.farthest_mm))
        if np.linalg.norm(step) < _LEAST_MM:
            return
        there = measure(around, body, pose)
        allowed = _allowed(around, body, pose, there, step)
        following = _moved(pose, allowed, body.farthest_mm)
        share = free_share(around, body, pose, following)
        if share < 1.0:
            share *= _SHARE
        if share * np.linalg.norm(allowed) < _LEAST_MM:
            return
        pose = between(pose, following, share)
        yield pose


def _difference(start: Pose, end: Pose, farthest_mm: float) -> Vector:
    """Shift and turn from one pose to another, the turn as the arc of the farthest ball; shape (6,), mm."""
    x, y, z, w = product(end[3:], start[3:] * [-1.0, -1.0, -1.0, 1.0])
    size = float(np.linalg.norm((x, y, z)))
    turned_rad = 2.0 * np.arctan2(size, abs(w))
    axis = np.array([x, y, z]) * (np.sign(w) or 1.0) / max(size, 1e-12)
    return np.concatenate([end[:3] - start[:3], axis * turned_rad * farthest_mm])


def _limited(step: Vector) -> Vector:
    size = float(np.linalg.norm(step))
    return step if size <= _STEP_MM else step * (_STEP_MM / size)


def _moved(pose: Pose, step: Vector, farthest_mm: float) -> Pose:
    turned_rad = float(np.linalg.norm(step[3:])) / farthest_mm
    turn = (
        quaternion(step[3:], float(np.degrees(turned_rad)))
        if turned_rad > 1e-9
        else np.array([0.0, 0.0, 0.0, 1.0])
    )
    return np.concatenate([pose[:3] + step[:3], product(turn, pose[3:])])


def _allowed(around: Surroundings, body: BallBody, pose: Pose, there: BallClearances, step: Vector) -> Vector:
    """The step nearest to the wanted one that no contact forbids."""
    places = placed(body.balls[:, :3], body.middle_mm, pose)
    rows, rooms = [], []
    for clearance, to_capsule in ((there.metal_mm, False), (there.capsule_mm, True)):
        spare = clearance - there.needed_mm
        near = np.flatnonzero(spare < 1.5 * _STEP_MM)
        near = near[np.argsort(spare[near], kind="stable")][:_MOST_CONTACTS]
        if not len(near):
            continue
        away = places[near] - nearest_places(around, places[near], there, near, to_capsule=to_capsule)
        size = np.linalg.norm(away, axis=1)
        sure = size > 1e-6
        rows.append(
            _rows(
                away[sure] / size[sure, None],
                places[near][sure] - body.middle_mm - pose[:3],
                body.farthest_mm,
            )
        )
        rooms.append(np.maximum(spare[near][sure], 0.0))
    if not rows:
        return step
    a, room = np.concatenate(rows), np.concatenate(rooms)
    short = -_SHARE * room - a @ step
    if (short <= 0.0).all():
        return step
    stacked = np.vstack([a.T, short])
    weights, _ = nnls(stacked, np.array([0.0] * 6 + [1.0]))
    rest = stacked @ weights - np.array([0.0] * 6 + [1.0])
    if abs(rest[6]) < 1e-9:
        return np.zeros(6)
    allowed: Vector = _limited(step - rest[:6] / rest[6])
    return allowed


def _rows(normals: Points, arms: Points, farthest_mm: float) -> np.ndarray:
    """How fast each ball leaves what it is near, for a unit of each part of a step; shape (n, 6)."""
    return np.hstack([normals, np.cross(arms, normals) / farthest_mm])

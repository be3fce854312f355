"""Poses to begin with: near the place, and outside the car."""

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Vector, unit_vector
from hoopwright.joints.ways.body import Part
from hoopwright.joints.ways.openings import ShellOpening
from hoopwright.shell.moving import Pose, turn_matrix

TILTS_DEG = (3.0, 7.0, 15.0, 30.0)
DRAWN_OFF_MM = (4.0, 8.0, 15.0, 30.0, 60.0, 120.0, 220.0, 350.0)
_ROLLS = 6
_OUTSIDE_MM = 150.0


def quaternion(axis: Sequence[float] | Vector, angle_deg: float) -> Vector:
    """The turn about a direction by the right-hand rule as a unit quaternion (x, y, z, w)."""
    half_rad = math.radians(angle_deg) / 2.0
    return np.array([*(math.sin(half_rad) * unit_vector(axis)), math.cos(half_rad)])


def turned_about(middle_mm: Vector, pivot_mm: Vector, turn: Vector, shift_mm: Vector) -> Pose:
    """The pose of a body that is turned about a pivot of its rest place and then shifted."""
    about = turn_matrix(turn) @ (middle_mm - pivot_mm) - (middle_mm - pivot_mm)
    return np.concatenate([about + shift_mm, turn])


def even_ways() -> NDArray[np.float64]:
    """The 26 directions to the neighbours of a cube, unit length, shape (26, 3)."""
    steps = np.stack(np.meshgrid(*[[-1.0, 0.0, 1.0]] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    steps = steps[np.abs(steps).sum(axis=1) > 0.0]
    ways: NDArray[np.float64] = steps / np.linalg.norm(steps, axis=1)[:, None]
    return ways


def own_axes(part: Part) -> NDArray[np.float64]:
    """Directions along which a part is longest, next and least; rows, shape (3, 3), right-handed."""
    spread = part.places_mm - part.places_mm.mean(axis=0)
    axes = np.linalg.svd(spread, full_matrices=False)[2]
    # signs that do not hang on rounding
    largest = np.abs(axes).argmax(axis=1)
    axes = axes * np.sign(axes[np.arange(3), largest])[:, None]
    axes[2] = np.cross(axes[0], axes[1])
    found: NDArray[np.float64] = axes
    return found


def tilts(part: Part, middle_mm: Vector) -> Iterator[tuple[Vector, Vector]]:
    """Pivot and turn of small tilts: about its middle and its ends, about its own axes, small ones first."""
    pivots = [middle_mm, part.places_mm[0], part.places_mm[np.flatnonzero(part.radius_mm > 0.0)[-1]]]
    axes = own_axes(part)
    for angle in TILTS_DEG:
        for pivot in pivots:
            for axis in (*axes[1:], axes[0]):
                for sense in (1.0, -1.0):
                    yield pivot, quaternion(axis, sense * angle)


def outside_poses(part: Part, middle_mm: Vector, opening: ShellOpening) -> list[Pose]:
    """Poses before an opening, clear of the car: turned as at its place, and pointing in, in several rolls."""
    reach = float(np.linalg.norm(part.places_mm - middle_mm, axis=1).max()) + float(part.radius_mm.max())
    outward = np.array(opening.outward)
    stand = np.array(opening.middle_mm) + (reach + _OUTSIDE_MM) * outward
    axes, poses = own_axes(part), [np.array([0.0, 0.0, 0.0, 1.0])]
    for leading in (axes[0], -axes[0], axes[1], -axes[1]):
        turn = _turn_between(leading, -outward)
        poses += [product(quaternion(outward, 360.0 * roll / _ROLLS), turn) for roll in range(_ROLLS)]
    return [np.concatenate([stand - middle_mm, turn]) for turn in poses]


def _turn_between(start: Vector, end: Vector) -> Vector:
    """The shortest turn that takes one unit direction to another."""
    axis = np.cross(start, end)
    if np.linalg.norm(axis) < 1e-9:
        axis = np.cross(start, np.eye(3)[int(np.argmin(np.abs(start)))])
        return quaternion(axis, 0.0 if float(start @ end) > 0.0 else 180.0)
    return quaternion(axis, math.degrees(math.atan2(float(np.linalg.norm(axis)), float(start @ end))))


def product(second: Vector, first: Vector) -> Vector:
    """One turn after another."""
    x, y, z, w = second
    a, b, c, d = first
    return np.array([
        w * a + x * d + y * c - z * b,
        w * b - x * c + y * d + z * a,
        w * c + x * b - y * a + z * d,
        w * d - x * a - y * b - z * c,
    ])  # fmt: skip

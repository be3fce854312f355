"""What a bar is bent for, as numbers: its ends in their places, its gaps, its shape."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hoopwright.bars.many import Many, Places, places_along
from hoopwright.bender.bend_job import BendJob
from hoopwright.geometry import Points, Vector

Gap = Callable[[Points], Vector]
"""Gap from the tube's skin to the nearest metal for places on the axis, (p, 3) mm to (p,) mm."""

SPACING_MM = 25.0
_PROBE_MM = 0.05
_SHORT_OVER_MM = 100.0
_MORE_MM = 0.2
"""Asked beyond the limit: the least gap lies between two places, and a shortage is only weighed, not forbidden."""


@dataclass(frozen=True, kw_only=True)
class Goal:
    """What counts how much when the bends to come are solved again; all common practice, no source.

    An end that is `end_mm` off weighs as much as a bar that is `shape_mm` off all along (root mean square), or as
    100 mm of tube that come `short_mm` nearer to the metal than they may.

    Args:
        end_mm: For the places of the ends.
        shape_mm: For the whole bar against the drawn one.
        short_mm: For the gap under the limit, or under the drawn gap where that is less.
        gap_mm: The limit of the gap.
        landings_mm: Length at end A and at end B that is not judged for gaps.
    """

    end_mm: float = 1.0
    shape_mm: float = 5.0
    short_mm: float = 1.0
    gap_mm: float = 0.0
    landings_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, eq=False, kw_only=True)
class Target:
    """The drawn bar, ready to hold bent ones against.

    Args:
        goal: What counts how much.
        drawn: Places along the drawn bar.
        judged: Which of them are judged for gaps, shape (p,).
        wanted_mm: Gap wanted at each judged place.
        gap: The gap function, or None without a shell.
    """

    goal: Goal
    drawn: Places
    judged: np.ndarray
    wanted_mm: Vector
    gap: Gap | None


def make_target(job: BendJob, goal: Goal, gap: Gap | None, spacing_mm: float = SPACING_MM) -> Target:
    """The drawn bar of a job as a target."""
    drawn = places_along(job.bar, spacing_mm)
    near, far = goal.landings_mm
    judged = (drawn.along_mm >= near) & (drawn.along_mm <= drawn.along_mm[-1] - far)
    wanted = np.zeros(0)
    if gap is not None and judged.any():
        wanted = np.minimum(goal.gap_mm + _MORE_MM, gap(drawn.points_mm[judged]))
    return Target(goal=goal, drawn=drawn, judged=judged, wanted_mm=wanted, gap=gap)


def residuals(target: Target, points_mm: Points) -> Vector:
    """What is missed at places of shape (p, 3), each over what it may weigh.

    Returns:
        Residuals without a unit, shape (m,); half the sum of their squares is the goal's value.
    """
    return np.concatenate([_of_places(target, points_mm[None])[0], _shortages(target, points_mm)])


def residuals_and_slopes(target: Target, points_mm: Points, moves: Many) -> tuple[Vector, Many]:
    """Residuals, and how they change.

    Args:
        target: The target.
        points_mm: Places, shape (p, 3).
        moves: How the places move per unit of each unknown, shape (k, p, 3).

    Returns:
        Residuals, shape (m,), and slopes, shape (m, k).
    """
    zero = _of_places(target, target.drawn.points_mm[None])
    slopes = _of_places(target, target.drawn.points_mm + moves) - zero
    short, short_slopes = _shortages_and_slopes(target, points_mm, moves)
    values = np.concatenate([_of_places(target, points_mm[None])[0], short])
    return values, np.concatenate([slopes, short_slopes], axis=1).T


def goal_score(target: Target, points_mm: Points) -> float:
    """The stated goal at places of shape (p, 3): half the sum of the residuals' squares. 0 for the drawn bar."""
    return 0.5 * float(np.sum(residuals(target, points_mm) ** 2))


def _of_places(target: Target, points_mm: Many) -> Many:
    off = points_mm - target.drawn.points_mm
    weights = np.sqrt(target.drawn.weights / target.drawn.weights.sum()) / target.goal.shape_mm
    shape = (off * weights[:, None]).reshape(len(off), -1)
    ends = off[:, (0, -1)].reshape(len(off), -1) / target.goal.end_mm
    joined: Many = np.concatenate([ends, shape], axis=1)
    return joined


def _shortages(target: Target, points_mm: Points) -> Vector:
    if target.gap is None or not len(target.wanted_mm):
        return np.zeros(0)
    return _weight(target) * np.maximum(0.0, target.wanted_mm - target.gap(points_mm[target.judged]))


def _shortages_and_slopes(target: Target, points_mm: Points, moves: Many) -> tuple[Vector, Many]:
    short = _shortages(target, points_mm)
    slopes = np.zeros((len(moves), len(short)))
    near = np.flatnonzero(short > 0.0)
    if target.gap is None or not len(near):
        return short, slopes
    places = points_mm[target.judged][near]
    probes = np.concatenate([places + _PROBE_MM * axis for axis in (*np.eye(3), *-np.eye(3))])
    gaps = target.gap(probes).reshape(6, len(near))
    uphill = (gaps[:3] - gaps[3:]).T / (2.0 * _PROBE_MM)
    gains = np.einsum("kpa,pa->kp", moves[:, target.judged][:, near], uphill)
    slopes[:, near] = -gains * _weight(target)[near]
    return short, slopes


def _weight(target: Target) -> Vector:
    weight: Vector = np.sqrt(target.drawn.weights[target.judged] / _SHORT_OVER_MM) / target.goal.short_mm
    return weight

"""The tube of straights and arcs that lies best on the points, and how sure its numbers are.

Source: Gauss-Newton on the distances to the skin, points farther off than some times the scatter left out; the
covariance is the scatter squared times the inverse of J'J at the solution.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.as_bent.scanned.tube_model import (
    TubeModel,
    along_mm,
    nearest_pieces,
    off_axis_mm,
    off_piece_mm,
    same_axis,
    tube_model,
)
from hoopwright.geometry import FilletedPath, Points, Vector

MOST_POINTS = 30_000
FIRST_POINTS = 6_000
_STEPS = 8
_TRIM_SD = 4.0
_FIRST_SHARE = 0.5
_STEP_MM = 1e-3
_BEYOND_MM = 60.0
_LEAST_SD_MM = 0.02
_USUAL_NOISE_MM = 0.5
_DIE_RATIO, _DIE_SD_RATIO = 6.0, 3.0
_CLR_RATIOS = np.geomspace(1.5, 24.0, 41)
"""Centreline radius over outside radius that are tried: 0.75 to 12 diameters."""


@dataclass(frozen=True, eq=False, kw_only=True)
class TubeFit:
    """A fitted tube.

    Args:
        model: The unknowns.
        values: Their values.
        covariance: Of the values, shape (size, size).
        noise_mm: Scatter of the points about the skin.
        path: The axis; its ends are where the start had them.
        on_skin: Which of the points that were given lie on the skin, shape (n,).
    """

    model: TubeModel
    values: Vector
    covariance: NDArray[np.float64]
    noise_mm: float
    path: FilletedPath
    on_skin: NDArray[np.bool_]

    @property
    def radius_mm(self) -> float:
        """Outside radius."""
        return self.model.radius(self.values)

    @property
    def clr_mm(self) -> float:
        """Centreline radius."""
        return self.model.clr(self.values)


def fit_tube(
    points_mm: Points,
    nodes_mm: Points,
    radius_mm: float,
    rng: np.random.Generator,
    *,
    most_points: int = MOST_POINTS,
) -> TubeFit:
    """Fit nodes, centreline radius and outside radius to points.

    Args:
        points_mm: All points, shape (n, 3); what is not on the tube is left out.
        nodes_mm: Where the nodes are about, shape (m, 3).
        radius_mm: About the outside radius.
        rng: Chooses points where there are more than needed.
        most_points: How many are fitted in the end.

    Raises:
        ValueError: Where no arcs fit between the nodes.
    """
    near = _near(points_mm, nodes_mm, radius_mm)
    used = near[rng.permutation(len(near))[:most_points]]
    model = tube_model(nodes_mm, _first_clr(points_mm[used], nodes_mm, radius_mm), radius_mm)
    values, limit = np.zeros(model.size), _FIRST_SHARE * radius_mm
    for last in (False, False, True):
        points = points_mm[used if last else used[:FIRST_POINTS]]
        path = model.path(values)
        pieces = nearest_pieces(path, points)
        off = off_axis_mm(path, points, pieces) - model.radius(values)
        kept = (np.abs(off) < limit) & _within(path, points, pieces)
        values, slopes, left = _descend(model, values, points[kept], pieces[kept])
        scatter = max(1.4826 * float(np.median(np.abs(left))), _LEAST_SD_MM)
        limit = max(_TRIM_SD * scatter, 0.1)
    noise = float(np.sqrt(np.mean(left**2)))
    path = model.path(values)
    pieces = nearest_pieces(path, points_mm)
    off = off_axis_mm(path, points_mm, pieces) - model.radius(values)
    square = slopes.T @ slopes + np.diag(_usual_die(model)[0])
    covariance = np.asarray(noise**2 * np.linalg.pinv(square), dtype=np.float64)
    return TubeFit(
        model=model,
        values=values,
        covariance=covariance,
        noise_mm=noise,
        path=path,
        on_skin=(np.abs(off) < limit) & _within(path, points_mm, pieces),
    )


def _near(points: Points, nodes: Points, radius: float) -> NDArray[np.intp]:
    """Points that may be on the skin: near to a leg, or to a bend that cuts the corner between two."""
    near = np.zeros(len(points), bool)
    for start, end in itertools.pairwise(nodes):
        leg = end - start
        share = np.clip((points - start) @ leg / float(leg @ leg), -0.2, 1.2)
        off = points - start - share[:, None] * leg
        near |= np.einsum("ni,ni->n", off, off) < (4.0 * radius) ** 2
    return np.flatnonzero(near)


def _first_clr(points: Points, nodes: Points, radius: float) -> float:
    """The centreline radius with most points near to the skin, of a row of likely ones."""
    if len(nodes) < 3:
        return radius * 6.0
    some = points[:: max(1, len(points) // 3000)]
    best, most = None, -1
    for ratio in _CLR_RATIOS:
        model = tube_model(nodes, float(ratio) * radius, radius)
        try:
            path = model.path(np.zeros(model.size))
        except ValueError:
            break
        off = off_axis_mm(path, some, nearest_pieces(path, some)) - radius
        count = int((np.abs(off) < 0.15 * radius).sum())
        if count > most:
            best, most = model.clr_mm, count
    if best is None:
        msg = "no arcs fit between the nodes"
        raise ValueError(msg)
    return best


def _within(path: FilletedPath, points: Points, pieces: NDArray[np.intp]) -> NDArray[np.bool_]:
    along = along_mm(path, points, pieces)
    kept: NDArray[np.bool_] = (along > -_BEYOND_MM) & (along < path.length_mm + _BEYOND_MM)
    return kept


def _descend(
    model: TubeModel, values: Vector, points: Points, pieces: NDArray[np.intp]
) -> tuple[Vector, NDArray[np.float64], Vector]:
    """Gauss-Newton with each point on its piece; values, slopes and what is left."""
    groups = [points[pieces == index] for index in range(2 * model.bends + 1)]
    weights, middle = _usual_die(model)
    now = _left(model, groups, values)
    slopes = _slopes(model, groups, values, now)
    for _ in range(_STEPS):
        pull = slopes.T @ now + weights * (values - middle)
        step = np.linalg.lstsq(slopes.T @ slopes + np.diag(weights), -pull, rcond=1e-12)[0]
        cost = float(now @ now + weights @ (values - middle) ** 2)
        for _ in range(8):
            ahead = _or_none(model, groups, values + step)
            if ahead is not None and float(ahead @ ahead + weights @ (values + step - middle) ** 2) <= cost:
                break
            step = step / 2.0
        else:
            break
        assert ahead is not None  # noqa: S101 - asked in the loop
        values, now = values + step, ahead
        if float(np.abs(step).max()) < 1e-3:
            break
        slopes = _slopes(model, groups, values, now)
    return values, slopes, now


def _left(model: TubeModel, groups: Sequence[Points], values: Vector) -> Vector:
    path = model.path(values)
    radius = model.radius(values)
    return np.concatenate(
        [off_piece_mm(piece, group) - radius for piece, group in zip(path.pieces, groups, strict=True)]
    )


def _usual_die(model: TubeModel) -> tuple[Vector, Vector]:
    """Weight and middle of each unknown before the points: only the centreline radius is held, and loosely.

    Dies are about three diameters, give or take one and a half; common practice, no source. Small bends alone would
    leave the radius open.
    """
    weights, middle = np.zeros(model.size), np.zeros(model.size)
    if model.bends:
        weights[-2] = (_USUAL_NOISE_MM / (_DIE_SD_RATIO * model.radius_mm)) ** 2
        middle[-2] = _DIE_RATIO * model.radius_mm - model.clr_mm
    return weights, middle


def _slopes(model: TubeModel, groups: Sequence[Points], values: Vector, now: Vector) -> NDArray[np.float64]:
    """Change of what is left with each unknown; only the pieces that an unknown moves are measured again."""
    ends = np.cumsum([0, *map(len, groups)])
    here, radius = model.path(values).pieces, model.radius(values)
    slopes = np.zeros((len(now), model.size))
    for index in range(model.size - 1):
        step = np.zeros(model.size)
        step[index] = _STEP_MM
        for k, piece in enumerate(model.path(values + step).pieces):
            if not same_axis(piece, here[k]):
                part = slice(ends[k], ends[k + 1])
                slopes[part, index] = (off_piece_mm(piece, groups[k]) - radius - now[part]) / _STEP_MM
    slopes[:, -1] = -1.0
    return slopes


def _or_none(model: TubeModel, groups: Sequence[Points], values: Vector) -> Vector | None:
    try:
        return _left(model, groups, values)
    except ValueError:
        return None

"""The last step of a fit, on exact distances: sequential linear programs for the mean gap.

Each round takes the nearest metal at each sample as a plane and asks for the least mean gap with every sample at or
above the gap. Source of the method: R. E. Griffith and R. A. Stewart, Management Science 7 (1961), 379-392.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from hoopwright.fitting.bar_task import BarTask, Freedom
from hoopwright.fitting.openings import through_openings
from hoopwright.fitting.search_kernel import sample_bars
from hoopwright.geometry import Points, Vector
from hoopwright.geometry.capsules import distance_to_capsules_mm
from hoopwright.shell.shell import Shell

SAMPLES = 220
_STEP_MM = 0.02
_PRICE = 60.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Polished:
    """A bar after polishing.

    Args:
        numbers: Its free numbers.
        mean_mm: Mean gap at the even samples.
        short_mm: By how much the worst sample or straight falls short; 0 when all holds.
    """

    numbers: Vector
    mean_mm: float
    short_mm: float

    @property
    def merit(self) -> float:
        """What is made least."""
        return self.mean_mm + _PRICE * self.short_mm


def polish(
    shell: Shell,
    task: BarTask,
    freedom: Freedom,
    numbers: Vector,
    *,
    extra: NDArray[np.float64],
    rounds: int = 40,
    trust_mm: float = 12.0,
) -> Polished:
    """Make the mean gap least from a start, on exact distances.

    Args:
        shell: The scan.
        task: What is asked.
        freedom: How the nodes may lie.
        numbers: Where to start.
        extra: Shares of the judged length, besides the even ones, at which the gap must hold too.
        rounds: At most so many.
        trust_mm: First step.
    """
    exact = _Exact(shell, task, freedom, extra)
    best = exact.judge(numbers)
    trust = trust_mm
    for _ in range(rounds):
        step = exact.step(best.numbers, trust)
        if step is None:
            break
        tried = exact.judge(best.numbers + step)
        if tried.merit < best.merit - 1e-4:
            trust = min(30.0, trust * (1.6 if np.abs(step).max() > 0.9 * trust else 1.0))
            best = tried
        else:
            trust *= 0.4
        if trust < 0.02:
            break
    return best


class _Exact:
    """One task on exact distances."""

    def __init__(self, shell: Shell, task: BarTask, freedom: Freedom, extra: NDArray[np.float64]) -> None:
        self.shell, self.task, self.freedom = shell, task, freedom
        self.shares = np.concatenate([np.linspace(0.0, 1.0, SAMPLES), extra])
        order = np.argsort(self.shares, kind="stable")
        self.is_even = order < SAMPLES
        self.shares = self.shares[order]
        self.has_capsules = bool(task.keep_clear)

    def sample(self, rows: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Samples (m, s, 3), and spare (m, k) that must not be negative: straights, bends."""
        nodes = len(self.freedom.base_mm)
        points = np.empty((len(rows), len(self.shares), 3))
        straights, angles = np.empty((len(rows), nodes - 1)), np.empty((len(rows), nodes - 2))
        sample_bars(
            np.ascontiguousarray(rows), self.freedom.base_mm, self.freedom.moves, self.task.clr_mm,
            self.shares, np.array(self.task.landings_mm), points, straights, angles,
        )  # fmt: skip
        if nodes == 2:
            return points, np.empty((len(rows), 0))
        degrees = np.degrees(angles)
        # a degree counts like four millimetres, so that all of it is of one size
        spare = [
            straights - self.task.clamp_mm,
            4.0 * (degrees - self.task.least_bend_deg),
            4.0 * (self.task.greatest_bend_deg - degrees),
        ]
        if not self.task.may_reverse and nodes > 3:
            spare.append(self._forward_turns(rows))
        return points, np.concatenate(spare, axis=1)

    def _forward_turns(self, rows: NDArray[np.float64]) -> NDArray[np.float64]:
        """Cosine of each rotation in tenths of mm: negative for a reverse bend."""
        nodes = self.freedom.base_mm + np.tensordot(rows, self.freedom.moves, axes=1)
        legs = np.diff(nodes, axis=1)
        legs /= np.maximum(np.linalg.norm(legs, axis=2, keepdims=True), 1e-9)
        normals = np.cross(legs[:, :-1], legs[:, 1:])
        normals /= np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-9)
        turns: NDArray[np.float64] = 10.0 * np.einsum("mij,mij->mi", normals[:, :-1], normals[:, 1:])
        return turns

    def gaps(self, points: Points) -> tuple[Vector, Vector, Points]:
        """Gap to metal, room to what must be kept clear (an opening, the driver), and the way from the metal."""
        found = self.shell.nearest(points)
        half = self.task.tube.od_mm / 2.0
        away = (points - found.place_mm) / np.maximum(found.distance_mm, 1e-9)[:, None]
        leaves, margin, outward = through_openings(self.shell, points, found.distance_mm)
        gap = found.distance_mm - half
        room = np.where(leaves, margin - half, gap)
        away[leaves] = -outward[leaves]
        if self.has_capsules:
            kept = distance_to_capsules_mm(points, self.task.keep_clear) - half + self.task.gap_mm
            room = np.minimum(room, kept)
        return gap, room, away

    def judge(self, numbers: Vector) -> Polished:
        points, spare = self.sample(numbers[None])
        if not np.isfinite(points).all():
            return Polished(numbers=numbers, mean_mm=np.inf, short_mm=np.inf)
        gap, room, _ = self.gaps(points[0])
        short = max(0.0, float((self.task.gap_mm - room).max()), float(-spare.min(initial=0.0)))
        return Polished(numbers=numbers, mean_mm=float(gap[self.is_even].mean()), short_mm=short)

    def step(self, numbers: Vector, trust_mm: float) -> Vector | None:
        """The step of one linear program within the trust and the bounds; None when it has no answer."""
        count = len(numbers)
        if count == 0:
            return None
        rows = np.concatenate([numbers[None], numbers + _STEP_MM * np.eye(count)])
        points, spare = self.sample(rows)
        if not np.isfinite(points).all():
            return None
        gap, room, away = self.gaps(points[0])
        moved = points[1:] - points[0]
        slopes = np.einsum("dsi,si->sd", moved, away) / _STEP_MM
        if self.has_capsules:
            slopes = self._with_capsules(points, room, gap, slopes)
        spare_slopes = (spare[1:] - spare[0]).T / _STEP_MM
        # last number: how much the worst falls short
        cost = np.concatenate([slopes[self.is_even].mean(axis=0), [_PRICE]])
        below = np.concatenate([slopes, spare_slopes])
        limit = np.concatenate([room - self.task.gap_mm, spare[0]])
        low = np.maximum(self.freedom.low_mm - numbers, -trust_mm)
        high = np.minimum(self.freedom.high_mm - numbers, trust_mm)
        reach = np.abs(below) @ np.maximum(np.abs(low), np.abs(high))
        near = limit < reach + 0.1
        found = linprog(
            cost,
            A_ub=np.column_stack([-below[near], -np.ones(int(near.sum()))]),
            b_ub=limit[near],
            bounds=[*zip(np.minimum(low, 0.0), np.maximum(high, 0.0), strict=True), (0.0, None)],
            method="highs",
        )
        if found.x is None:
            return None
        step: Vector = np.asarray(found.x[:-1])
        return step

    def _with_capsules(
        self,
        points: NDArray[np.float64],
        room: Vector,
        gap: Vector,
        slopes: NDArray[np.float64],
    ) -> NDArray[np.float64]:
        """Slopes of the room where the driver is nearer than metal, by differences."""
        base = distance_to_capsules_mm(points[0], self.task.keep_clear)
        by_driver = np.flatnonzero(
            np.isclose(base - self.task.tube.od_mm / 2.0 + self.task.gap_mm, room) & (room < gap)
        )
        for index in by_driver:
            there = distance_to_capsules_mm(points[1:, index], self.task.keep_clear)
            slopes[index] = (there - base[index]) / _STEP_MM
        return slopes

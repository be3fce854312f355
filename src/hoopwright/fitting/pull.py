"""Pull a bar to a stated gap inside the shell, by sequential least squares on exact distances.

Each round measures the nearest metal along the true centreline, takes it as a plane there, and solves a small
least-squares problem: come near the wanted gap everywhere, stay at or above it, keep the clamp's straights.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, minimize

from hoopwright.bars import Bar, as_nodes, centreline, check_shape
from hoopwright.findings import stopping
from hoopwright.fitting.openings import through_openings
from hoopwright.geometry import Line, Points, Vector
from hoopwright.geometry.capsules import Capsule, distance_to_capsules_mm
from hoopwright.shell.clearance import judged_stretch
from hoopwright.shell.shell import Shell

_SAMPLES = 90
_ROUNDS = 24
_STEP_MM = 0.05
_FAR_MM = 60.0
_AS_SQUARE_MM = 0.5


@dataclass(frozen=True, kw_only=True)
class Slide:
    """One way in which a bar may be changed: nodes that move together.

    Args:
        directions: How each node moves per mm, shape (nodes, 3), as tuples.
        low_mm: Farthest that it may go one way from the start.
        high_mm: Farthest the other way.
    """

    directions: tuple[tuple[float, float, float], ...]
    low_mm: float = -400.0
    high_mm: float = 400.0


def moves(count: int, by_node: Mapping[int, Vector]) -> tuple[tuple[float, float, float], ...]:
    """Directions of a slide: those of some nodes, the others stay."""
    rows = np.zeros((count, 3))
    for index, direction in by_node.items():
        rows[index] = direction
    return as_nodes(rows)


@dataclass(frozen=True, kw_only=True)
class PullResult:
    """What came of it.

    Args:
        bar: The best bar found.
        smallest_gap_mm: Its smallest judged gap at the samples.
        mean_gap_mm: Mean of its judged gaps.
        held: Whether every judged sample holds the wanted gap.
    """

    bar: Bar
    smallest_gap_mm: float
    mean_gap_mm: float
    held: bool


def pull_inside(
    shell: Shell,
    bar: Bar,
    slides: Sequence[Slide],
    *,
    gap_mm: float,
    clamp_mm: float,
    landing_a_mm: float = 0.0,
    landing_b_mm: float = 0.0,
    both_sides: bool = False,
    keep_clear: Sequence[Capsule] = (),
) -> PullResult:
    """Move a bar along its slides until it lies at the wanted gap.

    Args:
        shell: The scan in the vehicle frame.
        bar: Where to start from: a bar that can be bent.
        slides: The ways in which it may be changed.
        gap_mm: Gap to come to and to keep.
        clamp_mm: Straight to keep between bends.
        landing_a_mm: Length at end A that is not judged.
        landing_b_mm: The same at end B.
        both_sides: Whether the mirror image must hold the gap on its own side too.
        keep_clear: Room of the drivers that the bar's skin stays out of, on either side.
    """
    task = _Task(shell, bar, slides, gap_mm, clamp_mm, (landing_a_mm, landing_b_mm), both_sides, keep_clear)
    place = np.zeros(len(slides))
    trust = 30.0
    best, best_score = task.judge(place), task.score(place)
    for _ in range(_ROUNDS):
        step = task.improved(place, trust)
        score = task.score(place + step)
        if score < best_score - 1e-6:
            place, best_score, best = place + step, score, task.judge(place + step)
            trust = min(40.0, trust * 1.5)
        else:
            trust *= 0.4
        if trust < 0.05:
            break
    return best


class _Task:
    """One bar with its slides against one shell."""

    def __init__(
        self,
        shell: Shell,
        bar: Bar,
        slides: Sequence[Slide],
        gap_mm: float,
        clamp_mm: float,
        landings_mm: tuple[float, float],
        both_sides: bool,
        keep_clear: Sequence[Capsule],
    ) -> None:
        self.keep_clear = keep_clear
        self.shell, self.start, self.landings_mm = shell, bar, landings_mm
        self.gap_mm, self.clamp_mm, self.both_sides = gap_mm, clamp_mm, both_sides
        self.moves = np.array([slide.directions for slide in slides]).reshape(
            len(slides), len(bar.nodes_mm), 3
        )
        self.bounds = np.array([(slide.low_mm, slide.high_mm) for slide in slides]).reshape(-1, 2)

    def bar(self, place: Vector) -> Bar:
        return self.start.with_nodes(self.start.nodes + np.tensordot(place, self.moves, axes=1))

    def samples(self, place: Vector) -> tuple[Points, Vector] | None:
        """Judged samples of the centreline (of both sides), and the straights less the clamp."""
        bar = self.bar(place)
        if stopping(check_shape(bar)):
            return None
        path = centreline(bar)
        points = path.at(np.linspace(*judged_stretch(path, self.landings_mm), _SAMPLES))
        if self.both_sides:
            points = np.concatenate([points, points * [1.0, -1.0, 1.0]])
        straights = np.array([piece.length_mm for piece in path.pieces[1:-1] if isinstance(piece, Line)])
        return points, straights - self.clamp_mm

    def gaps(self, points: Points) -> tuple[Vector, Points]:
        """Gap at samples, and the direction from the metal to each; in an opening the outline counts."""
        found = self.shell.nearest(points)
        away = (points - found.place_mm) / np.maximum(found.distance_mm, 1e-9)[:, None]
        is_open, margin, outward = through_openings(self.shell, points, found.distance_mm)
        distance = np.where(is_open, margin, found.distance_mm)
        return distance - self.start.tube.od_mm / 2.0, np.where(is_open[:, None], -outward, away)

    def rooms(self, points: Points) -> Vector:
        """Room from the skin at samples to the nearest driver; none asked for without drivers."""
        if not self.keep_clear:
            return np.empty(0)
        return distance_to_capsules_mm(points, self.keep_clear) - self.start.tube.od_mm / 2.0

    def score(self, place: Vector) -> float:
        """Mean excess over the wanted gap, with a steep price for every mm below it or below the clamp."""
        sampled = self.samples(place)
        if sampled is None:
            return np.inf
        gaps = self.gaps(sampled[0])[0] - self.gap_mm
        short = np.maximum(0.0, -np.concatenate([gaps, self.rooms(sampled[0])]))
        missing = np.maximum(0.0, -sampled[1])
        excess = np.minimum(np.maximum(gaps, 0.0), 3.0 * _FAR_MM)
        return float(excess.mean() + 50.0 * short.max() + 5.0 * short.sum() + 20.0 * missing.sum())

    def judge(self, place: Vector) -> PullResult:
        sampled = self.samples(place)
        if sampled is None:
            return PullResult(bar=self.bar(place), smallest_gap_mm=-np.inf, mean_gap_mm=np.inf, held=False)
        gaps = self.gaps(sampled[0])[0]
        clear = self.rooms(sampled[0]).min(initial=np.inf) >= -0.05
        return PullResult(
            bar=self.bar(place),
            smallest_gap_mm=float(gaps.min()),
            mean_gap_mm=float(gaps.mean()),
            held=bool(clear and gaps.min() >= self.gap_mm - 0.05 and (sampled[1] >= -0.05).all()),
        )

    def improved(self, place: Vector, trust_mm: float) -> Vector:
        """The step of one round, within the trust and the bounds."""
        sampled = self.samples(place)
        if sampled is None or not len(place):
            return np.zeros(len(place))
        points, spare = sampled
        # what is no gap to metal has a slope only
        spare = np.concatenate([spare, self.rooms(points)])
        gaps, away = self.gaps(points)
        slopes, spare_slopes = self._slopes(place, points, spare, away)
        excess = gaps - self.gap_mm
        # makes the squares a sum of sizes, so that a leg does not leave its wall to gain in a corner
        weight = 1.0 / np.sqrt(1.0 + np.maximum(excess, 0.0) / _AS_SQUARE_MM)
        low = np.maximum(self.bounds[:, 0] - place, -trust_mm)
        high = np.minimum(self.bounds[:, 1] - place, trust_mm)
        rows = np.concatenate([slopes, spare_slopes])
        room = np.concatenate([excess, spare])
        # what cannot be mended within this step is asked to get no worse than half mended
        room = np.maximum(room, -0.5 * trust_mm * np.abs(rows).sum(axis=1))

        def cost(step: Vector) -> float:
            rest = weight * (excess + slopes @ step)
            return 0.5 * float(rest @ rest) / len(rest) + 0.5e-4 * float(step @ step)

        def cost_slope(step: Vector) -> Vector:
            rest = weight * (excess + slopes @ step)
            slope: Vector = slopes.T @ (weight * rest) / len(rest) + 1e-4 * step
            return slope

        found = minimize(
            cost,
            np.zeros(len(place)),
            jac=cost_slope,
            method="SLSQP",
            bounds=Bounds(low, np.maximum(low, high)),
            constraints=[LinearConstraint(rows, lb=-room)],
            options={"maxiter": 60, "ftol": 1e-9},
        )
        step: Vector = np.asarray(found.x, dtype=np.float64)
        return step if np.isfinite(step).all() else np.zeros(len(place))

    def _slopes(
        self, place: Vector, points: Points, spare: Vector, away: Points
    ) -> tuple[np.ndarray, np.ndarray]:
        """Change of gaps, and of spare straights and rooms, per mm of each slide, by differences on the exact path."""
        slopes, spare_slopes = np.zeros((len(points), len(place))), np.zeros((len(spare), len(place)))
        for index in range(len(place)):
            moved = place.copy()
            moved[index] += _STEP_MM
            sampled = self.samples(moved)
            if sampled is not None:
                slopes[:, index] = np.einsum("ij,ij->i", sampled[0] - points, away) / _STEP_MM
                moved_spare = np.concatenate([sampled[1], self.rooms(sampled[0])])
                spare_slopes[:, index] = (moved_spare - spare) / _STEP_MM
        return slopes, spare_slopes

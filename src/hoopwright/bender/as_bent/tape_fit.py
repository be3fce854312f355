"""The bends that fit a few tape distances best, given how a bender usually scatters, and how sure that is.

Source: textbook Gaussian maximum a posteriori estimate: the prior enters the least squares as further readings, and
the covariance is the inverse of J'J at the solution.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, BendTable, bend_table, nodes_from_table
from hoopwright.bender.as_bent.bent_bar import BendErrors, TakenFrom, bar_with, table_with
from hoopwright.bender.as_bent.distances import BarDistance, bar_distances
from hoopwright.bender.as_bent.scatter import Kind, Scatter, covariance_deg2, kinds_of
from hoopwright.bender.as_bent.tape_entries import TapeEntry, chosen
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Vector

CONTRADICT_SD = 3.0
_STEP = 1e-3
_TILT_DEG = 0.2
_DESCENTS, _HALVINGS = 12, 6


@dataclass(frozen=True, eq=False, kw_only=True)
class Unknowns:
    """What may have come out otherwise, as one vector: angles, then rotations and straights where asked.

    Args:
        bends: How many bends.
        rotations: Whether rotations from bend 2 on are among them.
        straights: Whether straights are among them.
    """

    bends: int
    rotations: bool
    straights: bool

    @property
    def size(self) -> int:
        """How many numbers."""
        return self.bends + (self.bends - 1) * self.rotations + (self.bends + 1) * self.straights

    def errors(self, values: Vector) -> BendErrors:
        """The vector as errors of the bar."""
        n, at = self.bends, self.bends
        turned = np.zeros(n)
        if self.rotations:
            turned[1:], at = values[at : at + n - 1], at + n - 1
        lengths = values[at : at + n + 1] if self.straights else np.zeros(n + 1)
        return BendErrors(
            angles_deg=tuple(map(float, values[:n])),
            rotations_deg=tuple(map(float, turned)),
            straights_mm=tuple(map(float, lengths)),
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class TapeFit:
    """A bar as bent, from a tape.

    Args:
        bar: The bar that the distances say, where the drawn one lies.
        errors: How its bends came out, less the sheet.
        covariance: Of the unknowns, in degrees and mm.
        unknowns: What the rows of the covariance are.
        kinds: Bends that are made alike.
        distances: All that a tape can take on this bar.
        measured: Indices of those that were taken.
        residuals_mm: Taken less what the bar found has.
        slopes: Change of every distance with each unknown, shape (distances, unknowns).
        scatter: The prior.
    """

    bar: Bar
    errors: BendErrors
    covariance: NDArray[np.float64]
    unknowns: Unknowns
    kinds: tuple[Kind, ...]
    distances: tuple[BarDistance, ...]
    measured: tuple[int, ...]
    residuals_mm: tuple[float, ...]
    slopes: NDArray[np.float64]
    scatter: Scatter

    @property
    def angle_sds_deg(self) -> tuple[float, ...]:
        """Standard deviation of each angle."""
        return tuple(float(sd) for sd in np.sqrt(np.diag(self.covariance)[: self.unknowns.bends]))


def fit_tape(
    bar: Bar,
    entries: Sequence[TapeEntry],
    *,
    scatter: Scatter | None = None,
    rotations: bool = False,
    straights: bool = False,
    taken_from: Sequence[TakenFrom] = (),
) -> TapeFit:
    """Estimate the bends of a finished bar from tape distances.

    Args:
        bar: The bar as drawn, with its finished radius.
        entries: What the tape read.
        scatter: The prior; the usual one without.
        rotations: Whether rotations may be off.
        straights: Whether straights may be off.
        taken_from: Which straight gives the tube of each bend; see `bent_bar.table_with`.

    Raises:
        UserError: `ASBENT-001` to `ASBENT-004`, `BAR-...` for a bar that cannot be bent.
    """
    scatter = scatter or Scatter()
    table = bend_table(bar)
    if bar.bend_count == 0:
        raise _straight(bar)
    distances = bar_distances(bar)
    found = chosen(bar, table, entries, distances)
    unknowns = Unknowns(bends=bar.bend_count, rotations=rotations and bar.bend_count > 1, straights=straights)
    kinds = kinds_of(bar, table)
    prior = _prior(unknowns, kinds, scatter)
    model = _Model(bar=bar, table=table, unknowns=unknowns, taken_from=tuple(taken_from))
    tape = np.array([entry.tape_mm for entry in entries])
    sds = np.array([distance.sd_mm for distance in found])
    values = _solve(model, found, tape, sds, prior)
    residuals = tape - model.lengths(found, values)
    _refuse_contradiction(bar, model, found, tape, sds, prior, residuals)
    slopes = model.slopes(distances, values)
    at = tuple(distances.index(distance) for distance in found)
    weighted = slopes[list(at)] / sds[:, None]
    errors = unknowns.errors(values)
    return TapeFit(
        bar=bar_with(bar, errors, taken_from),
        errors=errors,
        covariance=np.linalg.inv(np.linalg.inv(prior) + weighted.T @ weighted),
        unknowns=unknowns,
        kinds=kinds,
        distances=distances,
        measured=at,
        residuals_mm=tuple(map(float, residuals)),
        slopes=slopes,
        scatter=scatter,
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class _Model:
    bar: Bar
    table: BendTable
    unknowns: Unknowns
    taken_from: tuple[TakenFrom, ...]

    def lengths(self, distances: Sequence[BarDistance], values: Vector) -> Vector:
        made = table_with(self.table, self.unknowns.errors(values), self.taken_from)
        bar = self.bar.with_nodes(nodes_from_table(made))
        return np.array([distance.measure(bar) for distance in distances])

    def slopes(self, distances: Sequence[BarDistance], values: Vector) -> NDArray[np.float64]:
        columns = []
        for index in range(self.unknowns.size):
            step = np.zeros(self.unknowns.size)
            step[index] = _STEP
            ahead = self.lengths(distances, values + step)
            columns.append((ahead - self.lengths(distances, values - step)) / (2.0 * _STEP))
        return np.column_stack(columns)


def _prior(unknowns: Unknowns, kinds: Sequence[Kind], scatter: Scatter) -> NDArray[np.float64]:
    n = unknowns.bends
    made = np.zeros((unknowns.size, unknowns.size))
    made[:n, :n] = covariance_deg2(kinds, n, scatter)
    turned = (n - 1) * unknowns.rotations
    variances = [scatter.rotation_deg**2] * turned + [scatter.straight_mm**2] * ((n + 1) * unknowns.straights)
    made[range(n, unknowns.size), range(n, unknowns.size)] = variances
    return made


def _solve(
    model: _Model,
    found: Sequence[BarDistance],
    tape: Vector,
    sds: Vector,
    prior: NDArray[np.float64],
) -> Vector:
    """Damped Gauss-Newton on tape and prior together, from the drawn bar and from bars that lean either way.

    A greatest height is that of the higher shoulder, so that there can be a bottom on each side.
    """
    weight = np.asarray(np.linalg.inv(prior), dtype=np.float64)
    tilt = np.zeros(model.unknowns.size)
    tilt[: model.unknowns.bends] = np.linspace(_TILT_DEG, -_TILT_DEG, model.unknowns.bends)
    ends = [_descend(model, found, tape, sds, weight, start) for start in (0.0 * tilt, tilt, -tilt)]
    return min(ends, key=lambda end: end[1] + 1e-6 * bool(end is not ends[0]))[0]


def _descend(
    model: _Model,
    found: Sequence[BarDistance],
    tape: Vector,
    sds: Vector,
    weight: NDArray[np.float64],
    values: Vector,
) -> tuple[Vector, float]:
    """The nearest bottom, and how deep it is."""

    def cost(at: Vector) -> float:
        off = (tape - model.lengths(found, at)) / sds
        return float(off @ off + at @ weight @ at)

    now = cost(values)
    for _ in range(_DESCENTS):
        slopes = model.slopes(found, values) / sds[:, None]
        off = (tape - model.lengths(found, values)) / sds
        step = np.linalg.solve(slopes.T @ slopes + weight, slopes.T @ off - weight @ values)
        for _ in range(_HALVINGS):
            try:
                ahead = cost(values + step)
            except UserError:
                ahead = np.inf
            if ahead <= now:
                break
            step = step / 2.0
        else:
            break
        values, before, now = values + step, now, ahead
        if before - now < 1e-10 * (1.0 + now):
            break
    return values, now


def _refuse_contradiction(
    bar: Bar,
    model: _Model,
    found: Sequence[BarDistance],
    tape: Vector,
    sds: Vector,
    prior: NDArray[np.float64],
    residuals: Vector,
) -> None:
    score = np.abs(residuals) / sds
    if float(score.max()) <= CONTRADICT_SD:
        return
    left = {}
    for index in range(len(found)) if len(found) > 1 else ():
        rest = [k for k in range(len(found)) if k != index]
        some = [found[k] for k in rest]
        values = _solve(model, some, tape[rest], sds[rest], prior)
        off = np.abs(tape[rest] - model.lengths(some, values)) / sds[rest]
        left[index] = (float(off.max()), float(model.lengths([found[index]], values)[0]))
    raise UserError(_contradiction(bar, found, tape, left, residuals))


def _contradiction(
    bar: Bar,
    found: Sequence[BarDistance],
    tape: Vector,
    left: dict[int, tuple[float, float]],
    residuals: Vector,
) -> Finding:
    worst = int(np.argmax(np.abs(residuals)))
    fitting = [index for index, (score, _) in left.items() if score <= CONTRADICT_SD]
    names = ", ".join(distance.key for distance in found)
    if fitting:
        said = "; ".join(
            f"without '{found[k].key}' (typed {tape[k]:.1f}) the others fit, and say {left[k][1]:.1f} for it"
            for k in fitting
        )
    else:
        said = f"'{found[worst].key}' is {abs(float(residuals[worst])):.1f} mm off at best"
    return Finding(
        code="ASBENT-004",
        severity=Severity.STOP,
        sentence=f"Bar {bar.name}: the distances ({names}) contradict each other, or the bar is not the drawn one: "
        f"{said}.",
        todo=f"Measure {' or '.join(repr(found[k].key) for k in fitting) or 'all of them'} again; if they stand, a "
        "straight or a rotation is off: let it be found too (--also straights or --also rotations).",
        objects=(bar.name, *(distance.key for distance in found)),
        measured=float(residuals[worst]),
        limit=CONTRADICT_SD * found[worst].sd_mm,
        unit="mm",
    )


def _straight(bar: Bar) -> UserError:
    return UserError(
        Finding(
            code="ASBENT-005",
            severity=Severity.STOP,
            sentence=f"Bar {bar.name} is straight: a tape tells nothing of bends that are not there.",
            objects=(bar.name,),
        )
    )

"""Weighted linear least squares for a handful of readings, saying which numbers they fix at all."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_RANK_TOLERANCE = 1e-9


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One equation: coefficients @ unknowns = value, give or take sd.

    Args:
        sample: Which sample it comes from, in words.
        coefficients: One for each unknown.
        value: What was read.
        sd: Standard deviation of the value.
    """

    sample: str
    coefficients: tuple[float, ...]
    value: float
    sd: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Solution:
    """What readings say about the unknowns.

    Args:
        values: Shape (n,); the shortest solution where an unknown is not fixed.
        covariance: From the stated standard deviations alone, shape (n, n).
        fixed: Which unknowns the readings fix, shape (n,).
        spare: Readings beyond those needed.
        misfit: Root of chi-squared over `spare`; 0 without spare readings.
    """

    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    fixed: NDArray[np.bool_]
    spare: int
    misfit: float

    @property
    def all_fixed(self) -> bool:
        """Whether every unknown is fixed."""
        return bool(self.fixed.all())

    @property
    def scaled_covariance(self) -> NDArray[np.float64]:
        """The covariance, shape (k, k), scaled up where the readings agree worse than their stated scatter."""
        scaled: NDArray[np.float64] = self.covariance * max(1.0, self.misfit) ** 2
        return scaled

    def sd_of(self, coefficients: Sequence[float]) -> float:
        """Standard deviation of a linear combination of the unknowns, stated scatter alone."""
        row = np.asarray(coefficients)
        return math.sqrt(max(0.0, float(row @ self.covariance @ row)))


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """How a sample fits to what the other samples say.

    Args:
        sample: Which sample.
        off: Reading less what the others predict, of its worst reading.
        score: `off` over its standard deviation, without sign.
    """

    sample: str
    off: float
    score: float


def solve(readings: Sequence[Reading], unknowns: int) -> Solution:
    """Least squares of the readings, each weighted by its standard deviation.

    Args:
        readings: May be none, and may leave unknowns open.
        unknowns: How many unknowns.

    Source: textbook weighted least squares by singular values; covariance (A' W A)^-1 on the row space.
    """
    if not readings:
        nothing = np.zeros((unknowns, unknowns))
        return Solution(
            values=np.zeros(unknowns),
            covariance=nothing,
            fixed=np.zeros(unknowns, bool),
            spare=0,
            misfit=0.0,
        )
    weights = np.array([1.0 / reading.sd for reading in readings])
    matrix = np.array([reading.coefficients for reading in readings]) * weights[:, None]
    target = np.array([reading.value for reading in readings]) * weights
    # Columns of like size, so that one tolerance tells a real singular value from rounding.
    norms = np.linalg.norm(matrix, axis=0)
    scale = np.where(norms > 0.0, norms, 1.0)
    left, singular, right = np.linalg.svd(matrix / scale, full_matrices=False)
    real = singular > _RANK_TOLERANCE * singular[0]
    left, singular, right = left[:, real], singular[real], right[real]
    values = right.T @ ((left.T @ target) / singular) / scale
    covariance = (right.T / singular**2) @ right / np.outer(scale, scale)
    spare = len(readings) - len(singular)
    misfit = math.sqrt(float(np.sum((target - matrix @ values) ** 2)) / spare) if spare else 0.0
    fixed = np.linalg.norm(right, axis=0) > 1.0 - 1e-7
    return Solution(values=values, covariance=covariance, fixed=fixed, spare=spare, misfit=misfit)


def left_out(readings: Sequence[Reading], unknowns: int, keep: Sequence[Reading] = ()) -> list[LeftOut]:
    """Each sample left out in turn and held against the rest, worst first.

    Args:
        readings: The readings of all samples.
        unknowns: How many unknowns.
        keep: Readings that are never left out (priors).

    Returns:
        One entry for each sample that the others can predict.
    """
    results = []
    for sample in dict.fromkeys(reading.sample for reading in readings):
        rest = [*(reading for reading in readings if reading.sample != sample), *keep]
        solution = solve(rest, unknowns)
        found = [
            _against(reading, solution)
            for reading in readings
            if reading.sample == sample and _predicts(rest, reading, unknowns)
        ]
        if found:
            results.append(max(found, key=lambda one: one.score))
    return sorted(results, key=lambda one: -one.score)


def _against(reading: Reading, solution: Solution) -> LeftOut:
    off = reading.value - float(np.asarray(reading.coefficients) @ solution.values)
    sd = math.hypot(reading.sd, solution.sd_of(reading.coefficients))
    return LeftOut(sample=reading.sample, off=off, score=abs(off) / sd)


def _predicts(rest: Sequence[Reading], reading: Reading, unknowns: int) -> bool:
    if not rest:
        return False
    more = solve([*rest, reading], unknowns)
    return more.spare > solve(rest, unknowns).spare

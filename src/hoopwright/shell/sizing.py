"""Which unit a scan is in: proposed from the size of car that follows, never assumed."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.shell.scan import Scan
from hoopwright.units import MM_PER_UNIT

# A small passenger car's shell, longest side first; common practice, no source. The spread lets a scan of
# the cabin alone, or of a car with its wheels on the floor, still be nearer than a wrong unit.
_TYPICAL_MM = (3600.0, 1650.0, 1250.0)
_DECLARED_BONUS = 0.5
_SAMPLED_POINTS = 200_000


@dataclass(frozen=True, kw_only=True)
class UnitProposal:
    """One unit that a scan could be in.

    Args:
        unit: mm, cm, m, in or ft.
        size_mm: Longest, middle and shortest side of the scan in that unit.
        misfit: How far from a car, 0 for a typical one; about 1 or less is believable.
        declared_by: Who states this unit, such as `the E57 standard`; empty if nobody.
    """

    unit: str
    size_mm: tuple[float, float, float]
    misfit: float
    declared_by: str

    @property
    def is_believable(self) -> bool:
        """Whether a car, or a good part of one, could have that size."""
        return self.misfit < 1.5


def propose_units(scan: Scan) -> tuple[UnitProposal, ...]:
    """Every unit with the size of car that follows, the likeliest first."""
    sides = _sides(scan.points)
    proposals = []
    for unit, factor in MM_PER_UNIT.items():
        size = sides * factor
        misfit = float(np.sum(np.log(np.maximum(size, 1e-9) / _TYPICAL_MM) ** 2))
        declared = scan.declared_by if scan.declared_unit == unit else ""
        proposals.append(
            UnitProposal(
                unit=unit,
                size_mm=(float(size[0]), float(size[1]), float(size[2])),
                misfit=misfit,
                declared_by=declared,
            )
        )
    return tuple(sorted(proposals, key=lambda p: p.misfit - (_DECLARED_BONUS if p.declared_by else 0.0)))


def _sides(points: NDArray[np.float32]) -> NDArray[np.float64]:
    """Sides of the scan along its own main directions, stray points left out, longest first."""
    sample = points[:: max(1, math.ceil(len(points) / _SAMPLED_POINTS))].astype(np.float64)
    middle = np.median(sample, axis=0)
    reach = np.quantile(np.abs(sample - middle), 0.99, axis=0) * 1.5
    body = sample[(np.abs(sample - middle) <= reach + 1e-12).all(axis=1)]
    # the covariance has three directions even where two points are all there is
    directions = np.linalg.eigh(np.cov(body.T, bias=True))[1].T
    low, high = np.quantile(body @ directions.T, [0.002, 0.998], axis=0)
    return np.sort(high - low)[::-1]

"""Finished radius, start offset and tube used, from a stated belief that samples overrule."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bender.fit import OFFSET, RADIUS, USED, TubeUsedPrior, prior_reading, shape_readings
from hoopwright.bender.learning.commands import HIGH_SHARE, LOW_SHARE
from hoopwright.bender.learning.mixture import Mixture, Vector, weights_of
from hoopwright.bender.learning.posterior import SCATTER_WORTH
from hoopwright.bender.learning.steels import USUAL_RADIUS_OVER_OD
from hoopwright.bender.least_squares import Reading
from hoopwright.bender.samples import Samples
from hoopwright.units import shown

RADIUS_SD_OVER_OD = 0.75
"""Dies of cage tube are cut for 2.5 to 4 diameters, few for more; common practice, no source."""
OFFSET_MM, OFFSET_SD_MM = 25.0, 20.0
"""About an inch, seldom over two; common practice, no source."""
_TAPE_NODES = 41


@dataclass(frozen=True, kw_only=True)
class LearntNumber:
    """A number with its 95 % band.

    Args:
        mean_mm: Mean.
        sd_mm: Standard deviation.
        low_mm: 1 in 40 below.
        high_mm: 1 in 40 above.
    """

    mean_mm: float
    sd_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, kw_only=True)
class LearntShape:
    """Shape of a bend with what is known of each number.

    Args:
        clr: Finished centreline radius.
        start_offset: From the mark at the die face to the real start.
        used_per_deg: Tube used per degree of the finished angle.
        tape_sd_mm: Scatter of a length, as the samples show it.
        words: What was assumed.
    """

    clr: LearntNumber
    start_offset: LearntNumber
    used_per_deg: LearntNumber
    tape_sd_mm: float
    words: tuple[str, ...]


def learn_shape(samples: Samples, *, tube_used: TubeUsedPrior | None = None) -> LearntShape:
    """The three numbers from legs, U samples and typed numbers, averaged over the unknown scatter of the tape.

    Where nothing was measured the belief is given back, as wide as it is.
    """
    used = tube_used or TubeUsedPrior()
    od = samples.tube.od_mm
    radius, radius_sd = USUAL_RADIUS_OVER_OD * od, RADIUS_SD_OVER_OD * od
    belief = [
        Reading(sample="prior", coefficients=(1.0, 0.0, 0.0), value=radius, sd=radius_sd),
        Reading(sample="prior", coefficients=(0.0, 1.0, 0.0), value=OFFSET_MM, sd=OFFSET_SD_MM),
        prior_reading(radius, used),
    ]
    scatters = samples.tape_sd_mm * np.geomspace(0.2, 8.0, _TAPE_NODES)
    weights, mixtures = _average(shape_readings(samples), belief, samples.tape_sd_mm, scatters)
    numbers = [
        _number(mixture, factor) for mixture, factor in zip(mixtures, (1.0, 1.0, 1.0 / 90.0), strict=True)
    ]
    return LearntShape(
        clr=numbers[RADIUS],
        start_offset=numbers[OFFSET],
        used_per_deg=numbers[USED],
        tape_sd_mm=float(weights @ scatters),
        words=(
            f"radius {shown(radius, 0)} ± {radius_sd:.0f} mm, start offset {OFFSET_MM:g} ± {OFFSET_SD_MM:g} mm (common "
            "practice, no source)",
            f"tube used is {used.ratio:.3f} ± {used.sd:.3f} of the centreline arc ({used.source})",
        ),
    )


def _average(
    readings: list[Reading], belief: list[Reading], stated_sd_mm: float, scatters_mm: Vector
) -> tuple[Vector, list[Mixture]]:
    """Weights of the scatters, and each unknown as a mixture; scatter multiplies the stated deviations."""
    rows = np.array([one.coefficients for one in readings]).reshape(-1, 3)
    values, sds = np.array([one.value for one in readings]), np.array([one.sd for one in readings])
    prior_rows = (
        np.array([one.coefficients for one in belief]) / np.array([one.sd for one in belief])[:, None]
    )
    prior_values = np.array([one.value / one.sd for one in belief])
    logs, means, spreads = [], [], []
    for scatter in scatters_mm:
        factor = scatter / stated_sd_mm
        scaled_rows, scaled = rows / (sds * factor)[:, None], values / (sds * factor)
        precision = scaled_rows.T @ scaled_rows + prior_rows.T @ prior_rows
        covariance = np.linalg.inv(precision)
        mean = covariance @ (scaled_rows.T @ scaled + prior_rows.T @ prior_values)
        misfit = np.sum((scaled - scaled_rows @ mean) ** 2)
        misfit += np.sum((prior_values - prior_rows @ mean) ** 2)
        evidence = -len(readings) * math.log(factor) - 0.5 * (np.linalg.slogdet(precision)[1] + misfit)
        squared = factor**-2
        logs.append(evidence + 0.5 * SCATTER_WORTH * (math.log(squared) - squared))
        means.append(mean)
        spreads.append(np.sqrt(np.diag(covariance)))
    weights = weights_of(np.array(logs))
    columns = zip(np.array(means).T, np.array(spreads).T, strict=True)
    return weights, [Mixture(weights=weights, means=mean, sds=sd) for mean, sd in columns]


def _number(mixture: Mixture, factor: float) -> LearntNumber:
    low, high = (float(mixture.quantile(share)) * factor for share in (LOW_SHARE, HIGH_SHARE))
    return LearntNumber(
        mean_mm=float(mixture.mean()) * factor,
        sd_mm=float(mixture.sd()) * factor,
        low_mm=low,
        high_mm=high,
    )

"""What is believed of the springback line before the first bend: theory of the section, by family of steel."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.learning.elastic_plastic import kept_share
from hoopwright.bender.samples import Samples
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import format_length

Vector = NDArray[np.float64]

HARDENING_FACTOR, HARDENING_FACTOR_SD = 1.2, 0.2
"""Strain hardening raises springback above the perfectly plastic figure; by how much: common practice, no source."""
TYPED_YIELD_SD_RATIO = 0.1
"""A certificate is one pull of one tube of the batch; common practice, no source."""
CONSTANT_DEG, CONSTANT_SD_DEG = 0.8, 0.8
"""Slack and end zones; common practice, no source."""
TYPED_SD_DEG = 0.3
"""How far the line of this machine may lie from one that was typed as known, at 0 and at 90 degrees."""
ONSET_SD_DEG = 0.5
"""How far either part of the slack may differ from that guess: wide enough that both ends of it are held."""
DRIFT_SD_DEG_PER_100 = 0.2
"""Wear of die and machine in 100 bends; common practice, no source."""
USUAL_RADIUS_OVER_OD = 3.25
FULL_DEG = 90.0


@dataclass(frozen=True, kw_only=True)
class SteelFamily:
    """Tube steel as it is ordered, and between which yields it comes.

    Args:
        name: As typed after `steel =`.
        low_mpa: Least yield that is usual.
        high_mpa: Greatest yield that is usual; standards give minima only, so this is common practice.
        source: Where the lower end is printed.
    """

    name: str
    low_mpa: float
    high_mpa: float
    source: str


FAMILIES = (
    SteelFamily(name="normalised", low_mpa=235.0, high_mpa=450.0, source="EN 10305-1 E235+N to E355+N"),
    SteelFamily(name="as-welded", low_mpa=262.0, high_mpa=480.0, source="ASTM A513 1020 and 1026 as welded"),
    SteelFamily(name="stress-relieved", low_mpa=350.0, high_mpa=560.0, source="EN 10305-1 +SR, ASTM A513"),
    SteelFamily(name="cold-drawn", low_mpa=410.0, high_mpa=650.0, source="ASTM A513 type 5, 1020 and 1026"),
    SteelFamily(name="4130-normalised", low_mpa=345.0, high_mpa=620.0, source="ASTM A513 4130 normalised"),
    SteelFamily(name="high-strength", low_mpa=690.0, high_mpa=900.0, source="data sheets of welded tube"),
)
UNKNOWN_STEEL = SteelFamily(name="unknown", low_mpa=200.0, high_mpa=760.0, source="all families together")


@dataclass(frozen=True, kw_only=True, eq=False)
class LinePrior:
    """Springback before any bend: constant, growth to 90 degrees, quick and slow onset, drift in 100 bends.

    Args:
        mean_deg: Shape (5,).
        sd_deg: Shape (5,).
        scatter_sd_deg: About how far one reading lies off the line.
        words: What was assumed, for a person.
    """

    mean_deg: Vector
    sd_deg: Vector
    scatter_sd_deg: float
    words: tuple[str, ...] = ()


def line_prior(samples: Samples, *, clr_mm: float | None = None) -> LinePrior:
    """What theory and practice say of the springback of these samples' tube, die and steel.

    Args:
        samples: With tube, and yield or steel where known; typed springback numbers replace the theory.
        clr_mm: Radius of the die, if it is known from elsewhere.

    Raises:
        UserError: `LEARN-002` for a steel that is no family, `LEARN-001` for a yield that cannot be.
    """
    radius = clr_mm or USUAL_RADIUS_OVER_OD * samples.tube.od_mm
    yield_mpa, yield_sd_mpa, steel_words = _strength(samples)
    at_full = FULL_DEG * (1.0 - kept_share(samples.tube, radius, yield_mpa=yield_mpa))
    growth = HARDENING_FACTOR * at_full
    growth_sd = growth * math.hypot(HARDENING_FACTOR_SD / HARDENING_FACTOR, yield_sd_mpa / yield_mpa)
    mean = [CONSTANT_DEG, growth, 0.0, 0.0, 0.0]
    sd = [CONSTANT_SD_DEG, growth_sd, ONSET_SD_DEG, ONSET_SD_DEG, DRIFT_SD_DEG_PER_100]
    words = [
        f"springback grows by {growth:.2f} ± {growth_sd:.2f}° to 90°: {steel_words}, "
        f"radius {format_length(radius, decimals=0)}, elastic and perfectly plastic, "
        f"times {HARDENING_FACTOR:g} ± {HARDENING_FACTOR_SD:g} for hardening (common "
        "practice, no source)",
        f"slack and end zones take {CONSTANT_DEG:g} ± {CONSTANT_SD_DEG:g}° (common practice, no source)",
    ]
    for index, key, factor in ((0, "constant_deg", 1.0), (1, "per_command_deg", FULL_DEG)):
        typed = [getattr(plain, key) for plain in samples.plains if getattr(plain, key) is not None]
        if typed:
            mean[index], sd[index] = factor * float(np.mean(typed)), TYPED_SD_DEG
            words[1 - index] = f"{key} as typed, ± {TYPED_SD_DEG / factor:.2g}"
    return LinePrior(
        mean_deg=np.array(mean),
        sd_deg=np.array(sd),
        scatter_sd_deg=samples.gauge_sd_deg,
        words=tuple(words),
    )


def _strength(samples: Samples) -> tuple[float, float, str]:
    """Yield, its standard deviation, and where they come from."""
    if samples.yield_mpa is not None:
        sd_mpa = TYPED_YIELD_SD_RATIO * samples.yield_mpa
        return samples.yield_mpa, sd_mpa, f"yield {samples.yield_mpa:.0f} ± {sd_mpa:.0f} MPa as typed"
    family = UNKNOWN_STEEL
    if samples.steel:
        found = [one for one in FAMILIES if one.name == samples.steel.strip().lower().replace(" ", "-")]
        if not found:
            raise UserError(_no_family(samples.steel))
        family = found[0]
    middle, sd = (family.low_mpa + family.high_mpa) / 2.0, (family.high_mpa - family.low_mpa) / 4.0
    return middle, sd, f"steel {family.name}, yield {middle:.0f} ± {sd:.0f} MPa ({family.source})"


def _no_family(steel: str) -> Finding:
    return Finding(
        code="LEARN-002",
        severity=Severity.STOP,
        sentence=f"'{steel}' is no family of tube steel that is known here.",
        todo=f"Type one of {', '.join(one.name for one in FAMILIES)}; or yield_mpa from the certificate; or neither.",
        objects=(steel,),
    )

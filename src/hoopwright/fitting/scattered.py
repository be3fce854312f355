"""Bars as a person's hands make them: the bend table with errors, bent, and laid in the car as well as it goes."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import BendTable
from hoopwright.bars.many import BentTables, Many, Places, bend_all, place_all
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import STRAIGHT_THROUGH_DEG

_MOST = {"angle_sd_deg": (5.0, "deg"), "rotation_sd_deg": (10.0, "deg"), "length_sd_mm": (25.0, "mm")}


@dataclass(frozen=True, kw_only=True)
class Scatter:
    """How far one bend, one turn of the tube and one straight lie off what was wanted; standard deviations.

    Args:
        angle_sd_deg: Of each finished bend angle.
        rotation_sd_deg: Of each turn of the bend plane between two bends.
        length_sd_mm: Of each straight, tangent to tangent.
    """

    angle_sd_deg: float
    rotation_sd_deg: float
    length_sd_mm: float


def check_scatter(scatter: Scatter) -> tuple[Finding, ...]:
    """`FIT-020` for every scatter that is no number, negative, or more than any hand has."""
    findings = []
    for name, (most, unit) in _MOST.items():
        sd = getattr(scatter, name)
        if not 0.0 <= sd <= most:
            what = f"{name.partition('_')[0]} scatter"
            findings.append(
                Finding(
                    code="FIT-020",
                    severity=Severity.STOP,
                    sentence=f"The {what} of {sd:g} {unit} is not between 0 and {most:g} {unit}.",
                    todo="Give one standard deviation: about a third of the worst error in a hundred.",
                    objects=(what,),
                    measured=sd if math.isfinite(sd) else None,
                    limit=most,
                    unit=unit,
                )
            )
    return tuple(findings)


def scatter_tables(table: BendTable, scatter: Scatter, count: int, seed: int) -> BentTables:
    """Bend tables of `count` bars, every number off by an independent normal error.

    The first bend has no turn before it, and a corner that is straight through is not bent: no error there.
    """
    random = np.random.default_rng(seed)
    bends = len(table.angles_deg)
    lengths = random.standard_normal((count, bends + 1)) * scatter.length_sd_mm
    angles = random.standard_normal((count, bends)) * scatter.angle_sd_deg
    turns = random.standard_normal((count, bends)) * scatter.rotation_sd_deg
    bent = np.array(table.angles_deg) >= STRAIGHT_THROUGH_DEG
    return BentTables(
        straights_mm=np.array(table.straights_mm) + lengths,
        rotations_deg=np.array(table.rotations_deg) + turns * bent,
        angles_deg=np.array(table.angles_deg) + angles * bent,
        clr_mm=table.clr_mm,
    )


def scattered_bars(drawn: Places, tables: BentTables) -> Many:
    """The places on every bar as bent and laid in the car, vehicle frame, shape (n, p, 3)."""
    return place_all(bend_all(tables, drawn.shares), drawn)

"""The numbers that a demo car is made from, and how its nominal shape becomes the car as it stands."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.democar.lines import NOMINAL_HEIGHT_MM, NOMINAL_LENGTH_MM, NOMINAL_WIDTH_MM, smooth_step
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Points

_LIMITS = {
    "length_mm": (2500.0, 5500.0),
    "width_mm": (1200.0, 2200.0),
    "height_mm": (1000.0, 2000.0),
    "spacing_mm": (1.0, 60.0),
    "noise_mm": (0.0, 3.0),
    "skew_mm": (0.0, 20.0),
    "speck_count": (0.0, 5000.0),
    "hole_count": (0.0, 200.0),
    "seed": (0.0, 2.0**63),
}
_RAMP_FROM_MM, _RAMP_MM = 360.0, 140.0
_ROOF_UP_MM = 1170.0


@dataclass(frozen=True, kw_only=True)
class DemoCar:
    """An invented small two-door hatchback, stripped, and how it was scanned.

    Args:
        length_mm: Nose to tail.
        width_mm: Over the wheel arches, before the right side is moved in.
        height_mm: Workshop floor to the top of the roof, the car on its stands.
        seed: Every seed gives other noise, holes and dirt on the same car.
        noise_mm: Standard deviation of the scanner's error across the surface.
        spacing_mm: Length of a mesh edge; triangles grow with its inverse square.
        skew_mm: How far the right side stands in against the left; the roof is turned by a share of it.
        speck_count: Specks that float in the air, in the cabin too.
        hole_count: Round holes where the scanner saw nothing; more of them in hidden corners.

    Raises:
        UserError: `DEMO-001` for a number out of reason.
    """

    length_mm: float = NOMINAL_LENGTH_MM
    width_mm: float = NOMINAL_WIDTH_MM
    height_mm: float = NOMINAL_HEIGHT_MM
    seed: int = 7
    noise_mm: float = 0.3
    spacing_mm: float = 13.0
    skew_mm: float = 3.0
    speck_count: int = 90
    hole_count: int = 24

    def __post_init__(self) -> None:
        problems = [
            _out_of_reason(key, getattr(self, key), low, high)
            for key, (low, high) in _LIMITS.items()
            if not low <= getattr(self, key) <= high or not math.isfinite(getattr(self, key))
        ]
        if problems:
            raise UserError(*problems)

    @property
    def scale(self) -> tuple[float, float, float]:
        """Factors forward, left and up from the nominal lines to this car."""
        return (
            self.length_mm / NOMINAL_LENGTH_MM,
            self.width_mm / NOMINAL_WIDTH_MM,
            self.height_mm / NOMINAL_HEIGHT_MM,
        )


def as_it_stands(nominal_mm: ArrayLike, car: DemoCar) -> Points:
    """Nominal places, shape (n, 3), on the car as it stands: scaled, right side in, roof turned.

    The right side is fully in from 500 mm beside the centre plane outward, and not at all within 360 mm, so
    that seat-rail bolts stay symmetric; nothing is turned at the height of the sills' lower edge.
    """
    points: Points = np.asarray(nominal_mm, dtype=np.float64) * np.array(car.scale)
    left, up = points[:, 1].copy(), points[:, 2]
    points[:, 1] += car.skew_mm * smooth_step((-left - _RAMP_FROM_MM) / _RAMP_MM)
    points[:, 0] += 0.4 * car.skew_mm * (left / 800.0) * np.maximum(up, 0.0) / _ROOF_UP_MM
    return points


def _out_of_reason(key: str, value: float, low: float, high: float) -> Finding:
    return Finding(
        code="DEMO-001",
        severity=Severity.STOP,
        sentence=f"The demo car cannot have {key} = {value:g}; it must be from {low:g} to {high:g}.",
        todo=f"Choose {key} within that range.",
        objects=(key,),
        measured=float(value) if math.isfinite(value) else None,
        limit=low if value < low else high,
    )

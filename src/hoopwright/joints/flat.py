"""A flat part that is cut from sheet: what plates, boxes and gussets become before they are folded."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points
from hoopwright.tubes import STEEL_DENSITY_KG_PER_M3
from hoopwright.units import KG_PER_M3_TO_KG_PER_MM3

Flat = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Fold:
    """A straight fold across a flat part.

    Args:
        start_mm: One end of the middle of its bend zone, in the flat.
        end_mm: The other end.
        angle_deg: Change of direction; positive folds up, toward the viewer of the flat.
        inside_radius_mm: Inside radius of the fold.
        allowance_mm: Length of the neutral line through the bend.
    """

    start_mm: Flat
    end_mm: Flat
    angle_deg: float
    inside_radius_mm: float
    allowance_mm: float


@dataclass(frozen=True, kw_only=True)
class RoundHole:
    """A round hole in a flat part.

    Args:
        centre_mm: In the part's own plane, from its lower left corner.
        diameter_mm: Its diameter.
    """

    centre_mm: Flat
    diameter_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class FlatPart:
    """A part as it is cut, before folding.

    Args:
        name: What is written on it, such as `MH foot A plate`.
        thickness_mm: Of its sheet.
        outline_mm: Its closed outline without the first point again, counterclockwise; shape (n, 2).
        holes: Round holes.
        folds: Straight folds, in the order of folding.
        notes: Short lines to print beside it.
        count: How many are cut.
    """

    name: str
    thickness_mm: float
    outline_mm: Points
    holes: tuple[RoundHole, ...] = ()
    folds: tuple[Fold, ...] = ()
    notes: tuple[str, ...] = ()
    count: int = 1

    @property
    def outline_area_mm2(self) -> float:
        """Area within the outline, holes counted in; negative where it runs clockwise.

        Source: the shoelace formula, C. F. Gauss.
        """
        x, y = self.outline_mm.T
        return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0

    @property
    def mass_kg(self) -> float:
        """Mass in steel, holes left out."""
        holes_mm2 = math.fsum(math.pi * hole.diameter_mm**2 / 4.0 for hole in self.holes)
        volume_mm3 = (self.outline_area_mm2 - holes_mm2) * self.thickness_mm
        return volume_mm3 * STEEL_DENSITY_KG_PER_M3 * KG_PER_M3_TO_KG_PER_MM3

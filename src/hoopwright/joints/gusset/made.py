"""What a gusset or a tie comes out as."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.cage import Gusset
from hoopwright.findings import Finding
from hoopwright.geometry import Points
from hoopwright.joints.flat import FlatPart


@dataclass(frozen=True, kw_only=True, eq=False)
class FoldedShape:
    """A folded sheet in its place, line by line across it.

    Args:
        corners_mm: Of the section through its thickness along each line: outside at the first bar, outside at the
            second, inside at the second, inside at the first; vehicle frame; shape (n, 4, 3).
        pieces: First and last line of each side, fold and web, in order.
    """

    corners_mm: NDArray[np.float64]
    pieces: tuple[tuple[int, int], ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class MadeGusset:
    """A gusset with its true shape.

    Args:
        gusset: As it is meant, with the names of the bars on its side of the car.
        part: What is cut.
        outline_mm: The part's outline in its place, as folded, in the order of `part.outline_mm`; vehicle frame;
            shape (n, 3).
        angle_deg: Between the bars; 90 for a tie.
        gap_mm: Widest gap between its edge and the metal that it is welded to.
        mass_kg: Of the part.
        findings: What a person should know.
        folded: Its shape through the thickness, of a folded one.
    """

    gusset: Gusset
    part: FlatPart
    outline_mm: Points
    angle_deg: float
    gap_mm: float
    mass_kg: float
    findings: tuple[Finding, ...] = ()
    folded: FoldedShape | None = None

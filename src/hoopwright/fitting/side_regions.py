"""A bar and its mirror image, each against the metal of its own side, region by region."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.shell import Shell

_SAME_METAL_MM = 40.0
_MIRROR = np.array([1.0, -1.0, 1.0])


@dataclass(frozen=True, kw_only=True)
class RegionBothSides:
    """One region beside the mirrored bar, and its counterpart beside the source.

    Args:
        region: Name of the region beside the mirrored bar.
        twin: Name of its counterpart, or None where no metal lies within 40 mm of the mirrored place.
        gap_mm: Smallest gap of the mirrored bar to its region.
        twin_gap_mm: Gap of the source, at the same place along it, to the metal opposite that.
        along_mm: Distance from end A.
        axis_mm: Place on the mirrored bar's axis, vehicle frame.
    """

    region: str
    twin: str | None
    gap_mm: float
    twin_gap_mm: float | None
    along_mm: float
    axis_mm: Node

    @property
    def closer_mm(self) -> float | None:
        """How much nearer the mirrored bar's metal is than the source's; negative where it is farther."""
        return None if self.twin_gap_mm is None else self.twin_gap_mm - self.gap_mm


def compare_regions(
    shell: Shell, other: TubeGaps, *, within_mm: float, most: int = 8
) -> tuple[RegionBothSides, ...]:
    """Each region near a mirrored bar against its counterpart, nearest first.

    Args:
        shell: The scan in the vehicle frame.
        other: Gaps of the mirrored bar on its own side.
        within_mm: Regions farther than this from the bar's skin are left out.
        most: At most so many regions.
    """
    places = [place for place in other.regions if place.gap_mm <= within_mm][:most]
    if not places:
        return ()
    metal = np.array([place.metal_mm for place in places]) * _MIRROR
    axis = np.array([place.axis_mm for place in places]) * _MIRROR
    # the same metal by its place: regions are cut differently on the two sides
    near = shell.nearest(metal)
    found = (near.triangle >= 0) & (near.distance_mm <= _SAME_METAL_MM)
    regions = shell.prepared.regions.of_triangle[np.where(found, near.triangle, 0)]
    gaps = np.linalg.norm(axis - near.place_mm, axis=1) - other.tube.od_mm / 2.0
    return tuple(
        RegionBothSides(
            region=place.region,
            twin=shell.region_names[region] if known else None,
            gap_mm=place.gap_mm,
            twin_gap_mm=float(gap) if known else None,
            along_mm=place.along_mm,
            axis_mm=place.axis_mm,
        )
        for place, region, known, gap in zip(places, regions, found, gaps, strict=True)
    )

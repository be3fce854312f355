"""What a foot of the cage lands on, as far as the scan shows it: a box, a sheet near a fold, or a flat sheet alone."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node
from hoopwright.geometry import fillet_path
from hoopwright.shell.clearance import TubeToMeasure, measure_gaps
from hoopwright.shell.regions import SMALL_PARTS
from hoopwright.shell.shell import Shell

_FOLD_DEG = 30.0
_FOLD_REACH_MM = 400.0
_FOOT_REACH_MM = 150.0
_BEHIND_MM = 150.0
_THROUGH_MM = 5.0
"""Past the far face of a sheet whose both faces were scanned."""


@dataclass(frozen=True, kw_only=True)
class FootGround:
    """What lies under a foot.

    Args:
        region: The region that it lands on.
        behind_mm: To a second skin behind the first, along its normal; None where none was scanned within 150 mm.
        fold_mm: To the nearest region that lies at 30 degrees or more to it; None where there is none within 400 mm.
    """

    region: str
    behind_mm: float | None
    fold_mm: float | None


def foot_ground(shell: Shell, place_mm: Node, inner_mm: Node) -> FootGround | None:
    """Look at the metal under a foot.

    Args:
        shell: The shell.
        place_mm: The end of the bar.
        inner_mm: A place on the bar further from the metal, which says which side is its own.

    Returns:
        None where the scan cannot tell: a cloud of points, no metal near, or a small part without a sheet of its own.
    """
    prepared = shell.prepared
    near = shell.nearest(np.array([place_mm]), reach_mm=_FOOT_REACH_MM)
    if prepared.is_cloud or near.triangle[0] < 0:
        return None
    region = int(prepared.regions.of_triangle[near.triangle[0]])
    if region == SMALL_PARTS or region in shell.edges:
        return None
    normals = shell.to_vehicle.directions(prepared.regions.normal)
    metal, normal = near.place_mm[0], normals[region]
    away = normal if normal @ (metal - np.array(inner_mm)) > 0.0 else -normal
    hit = shell.first_hits(np.array([metal + _THROUGH_MM * away]), away, reach_mm=_BEHIND_MM - _THROUGH_MM)
    path = fillet_path(np.array([metal, metal + 0.5 * away]), [])
    (gaps,) = measure_gaps(shell, [TubeToMeasure(name="", path=path, od_mm=0.0)], reach_mm=_FOLD_REACH_MM)
    steep = float(np.cos(np.radians(_FOLD_DEG)))
    across = {
        name
        for number, name in enumerate(shell.region_names)
        if number != SMALL_PARTS and number not in shell.edges and abs(normals[number] @ normal) < steep
    }
    return FootGround(
        region=shell.region_names[region],
        behind_mm=float(hit.distance_mm[0]) + _THROUGH_MM if hit.triangle[0] >= 0 else None,
        fold_mm=min((gap.gap_mm for gap in gaps.regions if gap.region in across), default=None),
    )

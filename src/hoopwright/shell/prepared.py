"""A scan made ready for measuring, still in its own frame, in mm."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.progress import Progress, silent
from hoopwright.shell.regions import Regions, find_regions
from hoopwright.shell.scan import Scan
from hoopwright.shell.specks import without_specks
from hoopwright.shell.surfels import Surfels, cloud_spacing_mm, make_surfels
from hoopwright.shell.tree import TriangleTree, build_tree
from hoopwright.units import MM_PER_UNIT

_LARGEST_MM = 100_000.0
_SMALLEST_MM = 300.0


@dataclass(frozen=True, eq=False, kw_only=True)
class PreparedScan:
    """Everything that measuring needs of a scan; derived, and so only ever cached.

    Args:
        tree: All triangles, or all points of a cloud.
        surfels: The body, thinned.
        regions: Its patches.
        is_cloud: Whether the scan is points alone.
        spacing_mm: For a cloud, the typical distance between neighbouring points; 0 for a mesh.
        speck_count: How many specks floating in the air were left out.
        offset_mm: What was taken off the file's coordinates, shape (3,).
    """

    tree: TriangleTree
    surfels: Surfels
    regions: Regions
    is_cloud: bool
    spacing_mm: float
    speck_count: int
    offset_mm: NDArray[np.float64]


def prepare_scan(scan: Scan, unit: str, *, progress: Progress = silent) -> PreparedScan:
    """Make a scan ready for measuring.

    Args:
        scan: The scan as read.
        unit: Unit that the person confirmed: mm, cm, m, in or ft.
        progress: Told how far it is.

    Raises:
        UserError: `SCAN-011` when the scan would be larger than any car, or smaller than a useful part, in that unit.
    """
    factor = MM_PER_UNIT[unit]
    extent_mm = float(np.ptp(scan.points, axis=0).max()) * factor
    if not _SMALLEST_MM < extent_mm < _LARGEST_MM:
        raise UserError(
            Finding(
                code="SCAN-011",
                severity=Severity.STOP,
                sentence=f"{scan.source_name} would be {extent_mm / 1000:.4g} m long in {unit}: no car, nor a useful "
                "part of one, is.",
                todo="Give the unit that makes the car its true size, or cut stray points off the scan.",
                objects=(scan.source_name,),
                measured=extent_mm,
                limit=_LARGEST_MM if extent_mm > _SMALLEST_MM else _SMALLEST_MM,
                unit="mm",
            )
        )
    progress("building the search tree", 0.0)
    points = scan.points if factor == 1.0 else scan.points * np.float32(factor)
    tree = build_tree(points, scan.triangles)
    spacing = cloud_spacing_mm(tree) if scan.is_cloud else 0.0
    progress("leaving out specks", 0.3)
    cleared = without_specks(tree, spacing_mm=spacing)
    tree = cleared.tree
    progress("thinning", 0.4)
    surfels = make_surfels(tree, is_cloud=scan.is_cloud)
    progress("finding regions", 0.7)
    regions = find_regions(tree, surfels)
    progress("ready to measure", 1.0)
    return PreparedScan(
        tree=tree,
        surfels=surfels,
        regions=regions,
        is_cloud=scan.is_cloud,
        spacing_mm=spacing,
        speck_count=cleared.speck_count,
        offset_mm=scan.offset * factor,
    )

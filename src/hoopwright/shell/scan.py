"""What a reader returns, whatever the file was."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding


@dataclass(frozen=True, eq=False, kw_only=True)
class Scan:
    """A scan as measured: points, and triangles if the file has any.

    Args:
        points: Shape (n, 3), float32, in the file's own unit, less `offset`.
        triangles: Indices into the points, shape (m, 3), int32; m is 0 for a point cloud.
        offset: What was taken off every coordinate before it became float32, shape (3,), in the file's own
            unit; zeros unless the file's coordinates are far from the origin (map coordinates).
        declared_unit: The unit that the format's standard or the file itself states, or None. It is a hint
            for the question that the person answers, never an assumption.
        declared_by: Where that unit is said, such as `the E57 standard`.
        source_name: Name of the file without its folder.
        findings: What was mended or left out on the way in.
    """

    points: NDArray[np.float32]
    triangles: NDArray[np.int32]
    offset: NDArray[np.float64]
    declared_unit: str | None
    declared_by: str
    source_name: str
    findings: tuple[Finding, ...] = ()

    @property
    def is_cloud(self) -> bool:
        """Whether the scan is points alone."""
        return len(self.triangles) == 0

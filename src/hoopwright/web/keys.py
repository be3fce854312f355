"""What goes over the wire to the 3D view; `viewport/src/contract.ts` reads it."""

from typing import Any

import numpy as np

from hoopwright.jobs.views import BarView
from hoopwright.shell.display import DisplayMesh
from hoopwright.web.desk import Seen

SHELL_MAGIC = 0x4C485348


def cage_keys(seen: Seen) -> dict[str, Any]:
    """The whole cage."""
    return {
        "step": seen.version,
        "gap_mm": seen.project.cage.limits.gap_mm,
        "bars": [bar_keys(bar) for bar in seen.bars],
    }


def bar_keys(bar: BarView) -> dict[str, Any]:
    """One bar. Hundredths of a millimetre are finer than any screen."""
    gaps = None
    if bar.gap_mm is not None:
        gaps = [round(float(gap), 2) if np.isfinite(gap) else None for gap in bar.gap_mm]
    nearest = None
    if bar.nearest is not None:
        nearest = {
            "gap_mm": bar.nearest.gap_mm,
            "axis_mm": list(bar.nearest.axis_mm),
            "metal_mm": list(bar.nearest.metal_mm),
        }
    return {
        "bar_id": bar.bar_id,
        "od_mm": bar.od_mm,
        "path_mm": np.round(bar.path_mm, 2).ravel().tolist(),
        "gap_mm": gaps,
        "judged": None if bar.judged is None else bar.judged.tolist(),
        "nodes_mm": [list(node) for node in bar.nodes_mm],
        "mirror_of": bar.mirror_of,
        "nearest": nearest,
    }


def shell_bytes(mesh: DisplayMesh) -> bytes:
    """A mesh to draw: a mark, how many points and triangles, then both; little endian, 4 bytes each."""
    head = np.array([SHELL_MAGIC, len(mesh.points_mm), len(mesh.triangles)], dtype="<u4")
    return b"".join(
        [head.tobytes(), mesh.points_mm.astype("<f4").tobytes(), mesh.triangles.astype("<u4").tobytes()]
    )

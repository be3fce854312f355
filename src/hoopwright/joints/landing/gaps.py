"""The gap between a face and the real metal, all over the face."""

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import as_node
from hoopwright.geometry import Points, Vector
from hoopwright.joints.landing.metal_map import Flat, map_metal
from hoopwright.joints.landing.result import GapToMetal
from hoopwright.shell.shell import Shell

GOOD_MM = 1.5
_STEP_MM = 2.0


def face_gap(shell: Shell, flat: Flat, outline_mm: Points, eyes_mm: Points) -> GapToMetal:
    """Heights of the metal over a face on a raster of 2 mm.

    Args:
        shell: The scan in the vehicle frame.
        flat: The face's plane, the normal away from the metal.
        outline_mm: Its outline in the plane, shape (n, 2).
        eyes_mm: Places on the bar from which metal counts as seen.
    """
    low, high = outline_mm.min(axis=0), outline_mm.max(axis=0)
    seen = map_metal(
        shell,
        flat,
        eyes_mm,
        along_mm=(float(low[0]), float(high[0])),
        across_mm=(float(low[1]), float(high[1])),
        step_mm=_STEP_MM,
    )
    cells = seen.cells().reshape(-1, 2)
    inside = in_outline(outline_mm, cells)
    return gap_of(flat.places(cells[inside]), seen.height_mm.reshape(-1)[inside])


def gap_of(places_mm: Points, height_mm: Vector) -> GapToMetal:
    """What heights of metal over places say; NaN where none is seen.

    Args:
        places_mm: Shape (n, 3).
        height_mm: Shape (n,).
    """
    known = np.isfinite(height_mm)
    nowhere = as_node(places_mm.mean(axis=0) if len(places_mm) else np.zeros(3))
    if not known.any():
        nan = float("nan")
        return GapToMetal(
            largest_mm=nan, mean_mm=nan, within_ratio=0.0, worst_at_mm=nowhere, high_mm=0.0, high_at_mm=nowhere,
            seen_ratio=0.0,
        )  # fmt: skip
    height, places = height_mm[known], places_mm[known]
    off = np.abs(height)
    worst, top = int(np.argmax(off)), int(np.argmax(height))
    return GapToMetal(
        largest_mm=float(off[worst]),
        mean_mm=float(off.mean()),
        within_ratio=float((off <= GOOD_MM).mean()),
        worst_at_mm=as_node(places[worst]),
        high_mm=max(0.0, float(height[top])),
        high_at_mm=as_node(places[top]),
        seen_ratio=float(known.mean()),
    )


def in_outline(outline_mm: Points, places_mm: Points) -> NDArray[np.bool_]:
    """Which places of shape (n, 2) lie in a flat outline: even-odd rule."""
    inside = np.zeros(len(places_mm), dtype=bool)
    for (x0, y0), (x1, y1) in zip(outline_mm, np.roll(outline_mm, -1, axis=0), strict=True):
        if y0 != y1:
            crosses = (y0 > places_mm[:, 1]) != (y1 > places_mm[:, 1])
            inside ^= crosses & (places_mm[:, 0] < x0 + (places_mm[:, 1] - y0) * (x1 - x0) / (y1 - y0))
    return inside

"""Where on the metal a plate lies best: whole on it, even, its edges off seams, and the leg still on it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, median_filter, uniform_filter

from hoopwright.geometry import Plane, Points, Vector
from hoopwright.joints.landing.metal_map import MetalMap

SEAM_ROOM_MM = 8.0
"""From a plate's edge to a crease, a step or the end of the metal: common practice, no source."""
_SHARP_MM = 1.5
"""Off the even run of the metal from one cell of 5 mm to the next: a crease of 17 degrees, or a step."""
_RASTER_MM = 5.0
_CORNER_ROOM_MM = 16.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Ways:
    """How a rectangle may be moved on a map.

    Args:
        along_mm: Shifts along that are tried.
        across_mm: Shifts across.
    """

    along_mm: Vector
    across_mm: Vector


@dataclass(frozen=True, kw_only=True, eq=False)
class Placed:
    """A rectangle on a map.

    Args:
        along_mm: From where to where along.
        across_mm: From where to where across.
        moved_mm: How far along and across it was moved.
        edge_at_seam_mm: Length of its free edges that lie nearer than 8 mm to a crease, a step or the end of the metal.
    """

    along_mm: tuple[float, float]
    across_mm: tuple[float, float]
    moved_mm: tuple[float, float]
    edge_at_seam_mm: float


def shifts(room_mm: float) -> Vector:
    """Shifts both ways in steps of 5 mm, 0 among them, the smallest first."""
    count = int(max(0.0, room_mm) // _RASTER_MM)
    both = _RASTER_MM * np.arange(-count, count + 1)
    return np.asarray(both[np.argsort(np.abs(both), kind="stable")])


def sharp_cells(seen: MetalMap) -> NDArray[np.bool_]:
    """Cells at a crease, a step, or the end of the metal; shape (i, j)."""
    known = np.isfinite(seen.height_mm)
    filled = np.where(known, seen.height_mm, 0.0)
    smooth = median_filter(filled, size=3, mode="nearest")
    sharp = ~known
    scale = (_RASTER_MM / seen.step_mm) ** 2
    for axis in (0, 1):
        bend = np.abs(np.roll(smooth, 1, axis) - 2.0 * smooth + np.roll(smooth, -1, axis)) * scale
        inner = np.ones_like(known)
        inner[(slice(None),) * axis + ([0, -1],)] = False
        whole = known & np.roll(known, 1, axis) & np.roll(known, -1, axis)
        sharp |= inner & whole & (bend > _SHARP_MM)
    return sharp


def best_place(
    seen: MetalMap,
    along_mm: tuple[float, float],
    across_mm: tuple[float, float],
    ways: Ways,
    folded: Sequence[Plane] = (),
) -> Placed:
    """The place of a rectangle with the least holes, edges at seams and unevenness; the nearest of such.

    Args:
        seen: The metal, on a raster.
        along_mm: The rectangle unmoved.
        across_mm: The rectangle unmoved.
        ways: Shifts to try.
        folded: Walls that the plate is folded up: the corner there is no seam.
    """
    sharp = sharp_cells(seen)
    places = seen.flat.places(seen.cells().reshape(-1, 2))
    for wall in folded:
        sharp &= (wall.distance_mm(places) > _CORNER_ROOM_MM).reshape(sharp.shape)
    to_seam = (
        np.asarray(distance_transform_edt(~sharp)) * seen.step_mm
        if sharp.any()
        else np.full(sharp.shape, np.inf)
    )
    best: tuple[float, Placed] | None = None
    for up in ways.across_mm:
        for on in ways.along_mm:
            spans = (along_mm[0] + on, along_mm[1] + on), (across_mm[0] + up, across_mm[1] + up)
            at_seam = _edge_at_seam_mm(seen, to_seam, *spans, folded)
            cost = unevenness(seen, *spans) + 0.05 * at_seam + 0.004 * float(np.hypot(on, up))
            if best is None or cost < best[0] - 1e-9:
                placed = Placed(
                    along_mm=spans[0],
                    across_mm=spans[1],
                    moved_mm=(float(on), float(up)),
                    edge_at_seam_mm=at_seam,
                )
                best = cost, placed
    assert best is not None  # noqa: S101 - there is always the shift of nothing
    return best[1]


def nearest_whole(
    seen: MetalMap, along_mm: tuple[float, float], across_mm: tuple[float, float]
) -> tuple[float, float] | None:
    """The least shift along and across that lays a rectangle whole and even on metal; None where none on the map does."""
    bad = (~np.isfinite(seen.height_mm) | (np.abs(seen.height_mm) > 4.0)).astype(np.float64)
    size = [max(1, round((high - low) / seen.step_mm)) for low, high in (along_mm, across_mm)]
    if size[0] >= bad.shape[0] or size[1] >= bad.shape[1]:
        return None
    share = uniform_filter(bad, size=size, mode="constant", cval=1.0)
    cells = seen.cells()
    shift = cells - [sum(along_mm) / 2.0, sum(across_mm) / 2.0]
    far = np.where(share < 1e-6, np.linalg.norm(shift, axis=-1), np.inf)
    at = np.unravel_index(int(np.argmin(far)), far.shape)
    return (float(shift[at][0]), float(shift[at][1])) if np.isfinite(far[at]) else None


def unevenness(seen: MetalMap, along_mm: tuple[float, float], across_mm: tuple[float, float]) -> float:
    """How a rectangle lies on metal: holes count most, then the largest distance and the common one, in mm."""
    in_along = (seen.along_mm >= along_mm[0]) & (seen.along_mm <= along_mm[1])
    in_across = (seen.across_mm >= across_mm[0]) & (seen.across_mm <= across_mm[1])
    height = seen.height_mm[np.ix_(in_along, in_across)]
    known = np.isfinite(height)
    if not known.any():
        return 1e6
    off = np.abs(height[known])
    outside = 1.0 - known.mean()
    return float(200.0 * outside + np.sqrt((off**2).mean()) + 0.4 * off.max())


def _edge_at_seam_mm(
    seen: MetalMap,
    to_seam: Points,
    along_mm: tuple[float, float],
    across_mm: tuple[float, float],
    folded: Sequence[Plane],
) -> float:
    """Length of free edges near what is sharp."""
    along = np.arange(along_mm[0], along_mm[1], seen.step_mm)
    across = np.arange(across_mm[0], across_mm[1], seen.step_mm)
    edges = [
        np.stack([along, np.full_like(along, across_mm[1])], axis=1),
        np.stack([np.full_like(across, along_mm[0]), across], axis=1),
        np.stack([np.full_like(across, along_mm[1]), across], axis=1),
        np.stack([along, np.full_like(along, across_mm[0])], axis=1),
    ]
    points = np.concatenate(edges)
    i = np.clip(
        np.round((points[:, 0] - seen.along_mm[0]) / seen.step_mm).astype(int), 0, len(seen.along_mm) - 1
    )
    j = np.clip(
        np.round((points[:, 1] - seen.across_mm[0]) / seen.step_mm).astype(int), 0, len(seen.across_mm) - 1
    )
    near = to_seam[i, j] < SEAM_ROOM_MM
    for wall in folded:
        near &= wall.distance_mm(seen.flat.places(points)) > _CORNER_ROOM_MM
    return float(near.sum() * seen.step_mm)

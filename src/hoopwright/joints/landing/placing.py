"""Where on the metal a plate lies best: whole on it, even, its edges off seams, and the leg still on it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, median_filter

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
        cost_mm: How badly it lies, to compare places by.
    """

    along_mm: tuple[float, float]
    across_mm: tuple[float, float]
    moved_mm: tuple[float, float]
    edge_at_seam_mm: float
    cost_mm: float


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
                    cost_mm=cost,
                )
                best = cost, placed
    assert best is not None  # noqa: S101 - there is always the shift of nothing
    return best[1]


def nearest_even(
    seen: MetalMap, along_mm: tuple[float, float], across_mm: tuple[float, float], *, within_mm: float
) -> tuple[float, float] | None:
    """The least shift that lays a rectangle whole on metal and within so much of it; None where none does."""
    size = [max(2, round((high - low) / seen.step_mm)) for low, high in (along_mm, across_mm)]
    room = [seen.height_mm.shape[k] - size[k] for k in (0, 1)]
    if min(room) < 0:
        return None
    raster = [np.arange(0, room[k] + 1, 2) for k in (0, 1)]
    firsts = np.stack(np.meshgrid(*raster, indexing="ij"), -1).reshape(-1, 2)
    middles = [(one[0] + one[1]) / 2.0 for one in (along_mm, across_mm)]
    shift = np.stack(
        [
            seen.along_mm[firsts[:, 0]] + (size[0] - 1) * seen.step_mm / 2.0 - middles[0],
            seen.across_mm[firsts[:, 1]] + (size[1] - 1) * seen.step_mm / 2.0 - middles[1],
        ],
        axis=1,
    )
    for k in np.argsort(np.linalg.norm(shift, axis=1), kind="stable"):
        i, j = firsts[k]
        block = seen.height_mm[i : i + size[0], j : j + size[1]]
        if np.isfinite(block).all() and np.ptp(off_own_plane(block)) <= 2.0 * within_mm:
            return float(shift[k, 0]), float(shift[k, 1])
    return None


def off_own_plane(height: Points) -> Points:
    """Heights of a block over the plane of least squares through it; shape (i, j), all known."""
    on, up = (np.arange(count) - (count - 1) / 2.0 for count in height.shape)
    level = height - height.mean()
    # slopes of an even raster stand square to each other, so each is a mean of its own
    along = (level * on[:, None]).sum() / max(1e-9, (on**2).sum() * len(up))
    across = (level * up[None, :]).sum() / max(1e-9, (up**2).sum() * len(on))
    return np.asarray(level - along * on[:, None] - across * up[None, :])


def unevenness(seen: MetalMap, along_mm: tuple[float, float], across_mm: tuple[float, float]) -> float:
    """How a rectangle lies on metal: holes count most, then the largest distance and the common one, in mm."""
    in_along = (seen.along_mm >= along_mm[0]) & (seen.along_mm <= along_mm[1])
    in_across = (seen.across_mm >= across_mm[0]) & (seen.across_mm <= across_mm[1])
    height = seen.height_mm[np.ix_(in_along, in_across)]
    known = np.isfinite(height)
    if not known.any():
        return 1e6
    blocks = [height[known]]
    if known.all():
        own = off_own_plane(height)
        blocks.append(own - (own.max() + own.min()) / 2.0)
    return float(
        200.0 * (1.0 - known.mean())
        + min(np.sqrt((block**2).mean()) + 0.4 * np.abs(block).max() for block in blocks)
    )


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

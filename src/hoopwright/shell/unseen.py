"""Stretches of a bar that lie outside the shell's outline, or face no scanned metal."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hoopwright.geometry import Points, Vector

if TYPE_CHECKING:
    from hoopwright.shell.shell import Shell

OUTSIDE_MM = 10.0
_NEAR_OUTLINE_MM = 250.0
_LOOK_BEYOND_MM = 150.0
_FAN_DEG = (-30.0, -15.0, 0.0, 15.0, 30.0)
_EVERY_MM = 20.0
_CLOSE_TO_POINT_MM = 15.0


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """A stretch of a bar.

    Args:
        from_mm: Distance from end A along the centreline at which it starts.
        to_mm: At which it ends.
        worst_mm: How far outside, or how far was looked without meeting metal.
        place_mm: Its worst or middle place, vehicle frame.
    """

    from_mm: float
    to_mm: float
    worst_mm: float
    place_mm: tuple[float, float, float]


def outside_stretches(
    shell: "Shell", along: Vector, points: Points, judged: np.ndarray
) -> tuple[Stretch, ...]:
    """Where the centreline has left the outline of its section by more than 10 mm.

    Args:
        shell: The scan in the vehicle frame.
        along: Distance of each point from end A, mm, shape (n,).
        points: On the centreline, mm, vehicle frame, shape (n, 3).
        judged: Which of them count, shape (n,).
    """
    margin, _ = shell.envelope.margin_mm(points)
    beyond = np.nan_to_num(-margin, nan=-np.inf)
    return _stretches(along, points, judged & (beyond > OUTSIDE_MM), lambda here: float(beyond[here].max()))


def unseen_stretches(
    shell: "Shell", along: Vector, points: Points, travel: Points, judged: np.ndarray
) -> tuple[Stretch, ...]:
    """Where a bar near the outline has no scanned metal outward of it: an opening, or not scanned.

    Five rays fan out square to the bar, from the bar to 150 mm beyond the outline, every 20 mm. A section of
    the car without any metal is unseen as a whole.

    Args:
        shell: The scan in the vehicle frame.
        along: Distance of each point from end A, mm, shape (n,).
        points: On the centreline, mm, vehicle frame, shape (n, 3).
        travel: Its direction there, length 1, shape (n, 3).
        judged: Which of them count, shape (n,).
    """
    spacing = (along[-1] - along[0]) / (len(along) - 1) if len(along) > 1 else 1.0
    picked = np.arange(0, len(along), max(1, round(_EVERY_MM / spacing)))
    margin, outward = shell.envelope.margin_mm(points[picked])
    across = outward - travel[picked] * np.einsum("ij,ij->i", outward, travel[picked])[:, None]
    length = np.linalg.norm(across, axis=1)
    near = (margin < _NEAR_OUTLINE_MM) & (margin > -OUTSIDE_MM) & (length > 0.3)
    blind = np.isnan(margin)
    if near.any():
        rays = _fan(across[near] / length[near, None], travel[picked][near])
        starts = np.repeat(points[picked][near], len(_FAN_DEG), axis=0)
        reach = np.repeat(margin[near] + _LOOK_BEYOND_MM, len(_FAN_DEG))
        blind[near] = ~_meet_metal(shell, starts, rays, reach).reshape(-1, len(_FAN_DEG)).any(axis=1)
    here = np.zeros(len(along), dtype=bool)
    here[picked] = blind
    for offset in range(1, int(picked[1] - picked[0]) if len(picked) > 1 else 1):
        here[np.minimum(picked + offset, len(along) - 1)] = blind
    return _stretches(along, points, here & judged, lambda _: _LOOK_BEYOND_MM)


def _meet_metal(shell: "Shell", starts: Points, rays: Points, reach_mm: Vector) -> np.ndarray:
    """Whether each ray meets metal, shape (n,); in a cloud, whether it passes by a point closely."""
    if not shell.prepared.is_cloud:
        return np.asarray(shell.first_hits(starts, rays, reach_mm=reach_mm).triangle >= 0)
    close_mm = max(_CLOSE_TO_POINT_MM, 2.0 * shell.prepared.spacing_mm)
    along, met = np.zeros(len(starts)), np.zeros(len(starts), dtype=bool)
    walking = np.arange(len(starts))
    while len(walking):
        free = shell.nearest(starts[walking] + along[walking, None] * rays[walking]).distance_mm
        met[walking] = free < close_mm
        along[walking] += np.maximum(free, close_mm) - 0.5 * close_mm
        walking = walking[~met[walking] & (along[walking] <= reach_mm[walking])]
    return met


def _fan(outward: Points, travel: Points) -> Points:
    """Directions about the outward one, square to the travel, shape (n x fan, 3)."""
    sideways = np.cross(travel, outward)
    turn = np.radians(_FAN_DEG)
    rays = np.cos(turn)[None, :, None] * outward[:, None] + np.sin(turn)[None, :, None] * sideways[:, None]
    flat: Points = rays.reshape(-1, 3)
    return flat


def _stretches(
    along: Vector, points: Points, here: np.ndarray, worst: Callable[[np.ndarray], float]
) -> tuple[Stretch, ...]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], here, [False]]).astype(np.int8)))
    found = []
    for first, stop in zip(edges[::2], edges[1::2], strict=True):
        inside = np.arange(first, stop)
        forward, left, up = points[inside[len(inside) // 2]]
        value = worst(inside)
        if math.isfinite(value):
            found.append(
                Stretch(
                    from_mm=float(along[first]),
                    to_mm=float(along[stop - 1]),
                    worst_mm=value,
                    place_mm=(float(forward), float(left), float(up)),
                )
            )
    return tuple(found)

"""Metal under a foot that stands on a box: along its leg or straight down, not beside it."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, Node, as_node
from hoopwright.geometry import Points, Vector, unit_vector
from hoopwright.shell.shell import Shell

_RING = 8
_FACING = 0.5
"""Metal turned more than 60 degrees from the way down is a wall beside the foot; common practice, no source."""
_NEAR_MM = 1000.0


@dataclass(frozen=True, kw_only=True)
class UnderFoot:
    """What lies under a foot.

    Args:
        under_mm: From the foot to metal along the leg or straight down; None where none lies there within reach.
        beside_mm: To the nearest metal in any direction; None where none lies within 1000 mm.
        foot_mm: The foot.
    """

    under_mm: float | None
    beside_mm: float | None
    foot_mm: Node


def metal_under(shell: Shell, bar: Bar, end: str, *, reach_mm: float, back_mm: float) -> UnderFoot:
    """Look for metal under a foot, within the tube's own width and as much again round it.

    Args:
        shell: The scan in the vehicle frame.
        bar: The bar.
        end: The end that stands.
        reach_mm: How far below the foot metal counts.
        back_mm: How far above it counts too, such as for a foot that is drawn a little into the metal.
    """
    nodes = bar.nodes[::-1] if end == "A" else bar.nodes
    foot, leg = nodes[-1], unit_vector(nodes[-1] - nodes[-2])
    ways = [leg, np.array([0.0, 0.0, -1.0])] if leg[2] < 0.0 else [leg]
    look = _under_cloud if shell.prepared.is_cloud else _under_mesh
    found = [look(shell, foot, way, bar.tube.od_mm / 2.0, reach_mm, back_mm) for way in ways]
    beside = float(shell.nearest(foot[None], reach_mm=_NEAR_MM).distance_mm[0])
    return UnderFoot(
        under_mm=min((one for one in found if one is not None), default=None),
        beside_mm=beside if np.isfinite(beside) else None,
        foot_mm=as_node(foot),
    )


def _under_mesh(
    shell: Shell, foot: Vector, way: Vector, radius_mm: float, reach_mm: float, back_mm: float
) -> float | None:
    """Rays from the axis; where it meets nothing, as over a hole, from the skin, and then from twice as far out."""
    starts = foot - back_mm * way + _rings(way, (radius_mm, 2.0 * radius_mm))
    hits = shell.first_hits(starts, way, reach_mm=back_mm + reach_mm)
    hit = np.flatnonzero(hits.triangle >= 0)
    corners = shell.prepared.tree.corners[hits.triangle[hit]].reshape(-1, 3, 3)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    faces = np.abs(shell.to_vehicle.directions(normals) @ way) >= _FACING
    away = np.full(len(starts), np.nan)
    away[hit[faces]] = np.abs(hits.distance_mm[hit][faces] - back_mm)
    for ring in (away[:1], away[1 : 1 + _RING], away[1 + _RING :]):
        met = ring[np.isfinite(ring)]
        if len(met):
            # a ring lies square to the leg, not to the floor
            return float(np.median(met))
    return None


def _under_cloud(
    shell: Shell, foot: Vector, way: Vector, radius_mm: float, reach_mm: float, back_mm: float
) -> float | None:
    """Points within the tube's own width: a ray meets no point."""
    near = shell.near_rods((foot - back_mm * way)[None], (foot + reach_mm * way)[None], reach_mm=radius_mm)
    if near.triangle[0] < 0:
        return None
    return abs(float((near.place_mm[0] - foot) @ way))


def _rings(way: Vector, radii_mm: tuple[float, ...]) -> Points:
    side = unit_vector(np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))]))
    turn = np.arange(_RING) * 2.0 * np.pi / _RING
    ring = np.outer(np.cos(turn), side) + np.outer(np.sin(turn), np.cross(way, side))
    return np.concatenate([np.zeros((1, 3)), *(radius * ring for radius in radii_mm)])

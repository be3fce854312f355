"""Many bars that were meant to be one: their bend tables bent together, and laid on the drawn bar."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars.bar import Bar, centreline
from hoopwright.bars.bend_table import bend_table
from hoopwright.geometry import Points, Vector

Many = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class BentTables:
    """Bend tables of n bars that were meant to be one.

    Args:
        straights_mm: Shape (n, bends + 1).
        rotations_deg: Shape (n, bends).
        angles_deg: Shape (n, bends); a nearly straight bend may come out the other way, as a negative angle.
        clr_mm: Centreline radius of all bends, or of those of each bar, shape (n,).
    """

    straights_mm: Many
    rotations_deg: Many
    angles_deg: Many
    clr_mm: float | Vector


@dataclass(frozen=True, eq=False, kw_only=True)
class Places:
    """Places along a drawn bar that are found again on every bar that was meant to be it.

    Args:
        shares: For every piece (straight, arc, straight, ...) the shares of its length, each shape (m,).
        along_mm: All places, from end A along the drawn centreline, shape (p,).
        points_mm: Where they are drawn, vehicle frame, shape (p, 3).
        weights: Length of the drawn bar that each stands for, shape (p,).
    """

    shares: tuple[Vector, ...]
    along_mm: Vector
    points_mm: Points
    weights: Vector


def places_along(bar: Bar, spacing_mm: float) -> Places:
    """Places at most `spacing_mm` apart on every straight and arc, both ends of each with them.

    Raises:
        UserError: `BAR-001` to `BAR-004` where the bar cannot be bent.
    """
    table = bend_table(bar)
    lengths = [*table.straights_mm, *table.arcs_mm]
    lengths[0::2], lengths[1::2] = table.straights_mm, table.arcs_mm
    starts = np.concatenate([[0.0], np.cumsum(lengths)])
    shares = tuple(np.linspace(0.0, 1.0, max(1, math.ceil(one / spacing_mm)) + 1) for one in lengths)
    along = np.concatenate([at + s * one for at, s, one in zip(starts, shares, lengths, strict=False)])
    ends_half = [np.concatenate([[0.5], np.ones(len(s) - 2), [0.5]]) / (len(s) - 1) for s in shares]
    return Places(
        shares=shares,
        along_mm=along,
        points_mm=centreline(bar).at(along),
        weights=np.concatenate([half * one for half, one in zip(ends_half, lengths, strict=True)]),
    )


def bend_all(tables: BentTables, shares: tuple[Vector, ...]) -> Many:
    """The places on every bar, shape (n, p, 3): from the origin, first straight forward, first normal up.

    The same walk as `bars.nodes_from_table`, by arcs, for all bars together.
    """
    count = len(tables.angles_deg)
    at = np.zeros((count, 3))
    travel, normal = np.tile([1.0, 0.0, 0.0], (count, 1)), np.tile([0.0, 0.0, 1.0], (count, 1))
    found, radius = [], np.reshape(tables.clr_mm, (-1, 1, 1))
    for piece, share in enumerate(shares):
        index = piece // 2
        if piece % 2 == 0:
            steps = np.multiply.outer(tables.straights_mm[:, index], share)
            points = at[:, None] + steps[..., None] * travel[:, None]
        else:
            turn_rad = np.radians(tables.rotations_deg[:, index])[:, None]
            normal = np.cos(turn_rad) * normal + np.sin(turn_rad) * np.cross(travel, normal)
            across = np.cross(normal, travel)
            angle_rad = np.radians(tables.angles_deg[:, index])
            points = at[:, None] + radius * _arcs(angle_rad, share, travel, across)
            travel = np.cos(angle_rad)[:, None] * travel + np.sin(angle_rad)[:, None] * across
        found.append(points)
        at = points[:, -1]
    return np.concatenate(found, axis=1)


def _arcs(angle_rad: Vector, share: Vector, travel: Many, across: Many) -> Many:
    """Arcs of radius 1 from the origin, shape (n, m, 3); a negative angle bends the other way."""
    turned = np.multiply.outer(np.abs(angle_rad), share)[..., None]
    way = np.where(angle_rad < 0.0, -1.0, 1.0)[:, None, None]
    arcs: Many = np.sin(turned) * travel[:, None] + way * (1.0 - np.cos(turned)) * across[:, None]
    return arcs


def place_all(bars_mm: Many, drawn: Places) -> Many:
    """Every bar laid on the drawn one by the least squares over its length; shapes (n, p, 3).

    `geometry.best_rigid_motion` for many bars together.

    Source: W. Kabsch, Acta Cryst. A32 (1976) 922, with the sign of the determinant kept positive.
    """
    weight = drawn.weights / drawn.weights.sum()
    middles, drawn_middle = weight @ bars_mm, weight @ drawn.points_mm
    centred = bars_mm - middles[:, None]
    covariance = np.swapaxes(centred, 1, 2) @ ((drawn.points_mm - drawn_middle) * weight[:, None])
    left, _, right = np.linalg.svd(covariance)
    left[:, :, 2] *= np.sign(np.linalg.det(left @ right))[:, None]
    placed: Many = centred @ (left @ right) + drawn_middle
    return placed

"""How far the left and right side of a shell differ about the centre plane."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from hoopwright.shell.shell import Shell

_REACH_MM = 40.0
_BANDS = ("lower", "middle", "upper")
_THIRDS = ("rear", "centre", "front")
_LEAST_DISCS = 30


@dataclass(frozen=True, kw_only=True)
class SideDifference:
    """One part of the sides.

    Args:
        part: Such as `centre, upper`.
        right_closer_mm: How much nearer the right side is to the centre plane than the left one.
        spread_mm: Half the width between the quarters of the differences in this part.
        from_up_mm: Height at which the part starts.
        to_up_mm: Height at which it ends.
        area_m2: Metal compared.
    """

    part: str
    right_closer_mm: float
    spread_mm: float
    from_up_mm: float
    to_up_mm: float
    area_m2: float


@dataclass(frozen=True, kw_only=True)
class SidesReport:
    """Left against right.

    Args:
        right_closer_mm: Median over all compared metal.
        typical_mm: Median size of the difference, whichever way.
        largest_mm: The size that 95 % of the metal stays within.
        matched_share: Share of the left side's metal that has a counterpart, 0 to 1.
        parts: By height and length.
    """

    right_closer_mm: float
    typical_mm: float
    largest_mm: float
    matched_share: float
    parts: tuple[SideDifference, ...]


def compare_sides(shell: Shell) -> SidesReport | None:
    """Side metal of the left mirrored onto the right; None where no side has a counterpart."""
    body = shell.body
    points = shell.to_vehicle.points(body.middle_mm)
    normals = shell.to_vehicle.directions(body.normal)
    steep = (np.abs(normals[:, 1]) > 0.6) & (body.flatness > 0.85)
    left, right = steep & (points[:, 1] > 100.0), steep & (points[:, 1] < -100.0)
    if left.sum() < _LEAST_DISCS or right.sum() < _LEAST_DISCS:
        return None
    mirrored, turned = points[left] * [1.0, -1.0, 1.0], normals[left] * [1.0, -1.0, 1.0]
    tree = cKDTree(points[right], balanced_tree=False, compact_nodes=False)
    distance, partner = tree.query(mirrored, distance_upper_bound=_REACH_MM)
    found = np.isfinite(distance)
    partner = np.where(found, partner, 0)
    target, facing = points[right][partner], normals[right][partner]
    alike = np.abs(np.einsum("ij,ij->i", turned, facing)) > 0.9
    # along left: the right metal's plane, met from the mirrored left place
    closer = np.einsum("ij,ij->i", target - mirrored, facing) / facing[:, 1]
    use = found & alike & (np.abs(closer) < _REACH_MM)
    if use.sum() < _LEAST_DISCS:
        return None
    return _report(points[left][use], closer[use], body.area_mm2[left][use], float(use.mean()))


def _report(points: np.ndarray, closer: np.ndarray, area: np.ndarray, share: float) -> SidesReport:
    edges_up = np.linspace(points[:, 2].min(), points[:, 2].max(), 4)
    edges_forward = np.linspace(points[:, 0].min(), points[:, 0].max(), 4)
    parts = []
    for b, band in enumerate(_BANDS):
        for t, third in enumerate(_THIRDS):
            here = (
                (points[:, 2] >= edges_up[b]) & (points[:, 2] <= edges_up[b + 1])
                & (points[:, 0] >= edges_forward[t]) & (points[:, 0] <= edges_forward[t + 1])
            )  # fmt: skip
            if here.sum() >= _LEAST_DISCS:
                low, middle, high = np.quantile(closer[here], [0.25, 0.5, 0.75])
                parts.append(
                    SideDifference(
                        part=f"{third}, {band}",
                        right_closer_mm=float(middle),
                        spread_mm=float((high - low) / 2.0),
                        from_up_mm=float(edges_up[b]),
                        to_up_mm=float(edges_up[b + 1]),
                        area_m2=float(area[here].sum() * 1e-6),
                    )
                )
    return SidesReport(
        right_closer_mm=float(np.median(closer)),
        typical_mm=float(np.median(np.abs(closer))),
        largest_mm=float(np.quantile(np.abs(closer), 0.95)),
        matched_share=share,
        parts=tuple(parts),
    )

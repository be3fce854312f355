"""The symmetry plane of a scan, and how far its sides differ.

The plane is searched over all directions, since a scan may lie in any pose, and then refined by laying the
scan on its own mirror image (robust point-to-plane least squares).
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from hoopwright.geometry import Plane, Points, Vector, unit_vector
from hoopwright.shell.surfels import Surfels

_DIRECTIONS = 600
_BIN_MM = 10.0
_COARSE_POINTS = 1200
_FINE_POINTS = 12000
_FAR_MM = 120.0
_CLOSE_MM = 15.0


@dataclass(frozen=True, eq=False, kw_only=True)
class SymmetryPlane:
    """A plane about which the scan repeats itself.

    Args:
        plane: The plane, in the scan's frame.
        matched_share: Share of the metal whose mirror image has metal within 15 mm, 0 to 1.
        rms_mm: Root mean square of the matched metal's distance from its mirror image, half of it on
            each side.
        width_mm: Extent of the metal across the plane.
    """

    plane: Plane
    matched_share: float
    rms_mm: float
    width_mm: float


def find_symmetry_planes(surfels: Surfels, *, seed: int = 0) -> tuple[SymmetryPlane, ...]:
    """Symmetry planes of the scan, the best first; planes within 20° of a better one are left out.

    Args:
        surfels: The scan's body.
        seed: Chooses the discs that are tried; the same seed gives the same planes.
    """
    matcher = _Matcher(surfels, seed)
    candidates = sorted(
        (matcher.coarse_score(plane), index, plane) for index, plane in enumerate(matcher.starts())
    )
    found: list[SymmetryPlane] = []
    for _, _, start in candidates[:24]:
        if any(abs(float(start.normal @ other.plane.normal)) > math.cos(math.radians(8)) for other in found):
            continue
        found.append(matcher.judged(matcher.refined(start)))
    found.sort(key=lambda candidate: -candidate.matched_share)
    kept: list[SymmetryPlane] = []
    for candidate in found:
        normals = [other.plane.normal for other in kept]
        if all(abs(float(candidate.plane.normal @ n)) < math.cos(math.radians(20)) for n in normals):
            kept.append(candidate)
    return tuple(kept)


def refine_symmetry_plane(surfels: Surfels, start: Plane, *, seed: int = 0) -> SymmetryPlane:
    """The symmetry plane near a known one."""
    matcher = _Matcher(surfels, seed)
    return matcher.judged(matcher.refined(start))


class _Matcher:
    """The scan's discs with a search tree, and random subsets of them for the coarse and fine stages."""

    def __init__(self, surfels: Surfels, seed: int) -> None:
        solid = surfels.flatness > 0.7
        self.middle, self.normal = surfels.middle_mm[solid], surfels.normal[solid]
        self.area = surfels.area_mm2[solid]
        # the default balanced, compact tree takes minutes on far queries of a surface
        self.tree = cKDTree(self.middle, balanced_tree=False, compact_nodes=False)
        rng = np.random.default_rng(seed)
        pick = rng.permutation(len(self.middle))
        self.coarse, self.fine = pick[:_COARSE_POINTS], pick[:_FINE_POINTS]

    def starts(self) -> list[Plane]:
        """One or two planes for each direction, where the metal's spread repeats itself best mirrored."""
        directions = [*np.linalg.svd(self.middle - self.middle.mean(axis=0), full_matrices=False)[2]]
        directions += list(_half_sphere(_DIRECTIONS))
        return [Plane(n, offset) for n in directions for offset in self._offsets(n)]

    def _offsets(self, normal: Vector) -> list[float]:
        along = self.middle @ normal
        low, count = float(along.min()), int(np.ptp(along) / _BIN_MM) + 1
        spread = np.histogram(along, bins=count, range=(low, low + count * _BIN_MM))[0].astype(np.float64)
        # the histogram against its own mirror image: the best shift is twice the plane's place
        size = 2 * count
        agreement = np.fft.irfft(np.fft.rfft(spread, size) ** 2, size)
        peak = int(np.argmax(agreement))
        middle = low + count * _BIN_MM / 2.0
        best = low + (peak + 1) * _BIN_MM / 2.0
        return [best] if abs(best - middle) < _BIN_MM else [best, middle]

    def coarse_score(self, plane: Plane) -> float:
        """Mean distance of mirrored discs from the metal, cut off at `_FAR_MM`."""
        mirrored = _mirror(self.middle[self.coarse], plane)
        distance, _ = self.tree.query(mirrored, distance_upper_bound=_FAR_MM)
        return float(np.minimum(distance, _FAR_MM).mean())

    def refined(self, plane: Plane) -> Plane:
        """Gauss-Newton on point-to-plane distances with a gate that closes and Tukey's weights."""
        for gate in (100.0, 70.0, 50.0, 35.0, 25.0, 18.0, 12.0, 12.0, 8.0, 8.0, 6.0, 6.0, 6.0):
            plane = self._step(plane, gate)
        return plane

    def _step(self, plane: Plane, gate_mm: float) -> Plane:
        points, normals = self.middle[self.fine], self.normal[self.fine]
        mirrored, (found, partner) = self._partners(points, plane, gate_mm)
        target, facing = self.middle[partner], self.normal[partner]
        turned = normals - 2.0 * np.outer(normals @ plane.normal, plane.normal)
        residual = np.einsum("ij,ij->i", mirrored - target, facing)
        along = points @ plane.normal - plane.offset_mm
        alike = np.abs(np.einsum("ij,ij->i", turned, facing)) > 0.8
        use = found & alike & (np.abs(residual) < gate_mm)
        if use.sum() < 50:
            return plane
        u, v = _across(plane.normal)
        tilt = [-2.0 * ((points @ w) * (facing @ plane.normal) + along * (facing @ w)) for w in (u, v)]
        jacobian = np.stack([*tilt, 2.0 * (facing @ plane.normal)], axis=1)[use]
        weight = (1.0 - (residual[use] / gate_mm) ** 2) ** 2
        scaled = jacobian * weight[:, None]
        step = np.linalg.lstsq(scaled.T @ jacobian, -scaled.T @ residual[use], rcond=1e-9)[0]
        length = math.hypot(1.0, float(step[0]), float(step[1]))
        normal = unit_vector(plane.normal + step[0] * u + step[1] * v)
        return Plane(normal, (plane.offset_mm + float(step[2])) / length)

    def _partners(self, points: Points, plane: Plane, gate_mm: float):  # type: ignore[no-untyped-def]
        mirrored = _mirror(points, plane)
        distance, partner = self.tree.query(mirrored, distance_upper_bound=gate_mm + 15.0)
        found = np.isfinite(distance)
        return mirrored, (found, np.where(found, partner, 0))

    def judged(self, plane: Plane) -> SymmetryPlane:
        """How well a plane does, over the fine subset weighted by area."""
        points = self.middle[self.fine]
        mirrored, (found, partner) = self._partners(points, plane, _CLOSE_MM)
        residual = np.abs(np.einsum("ij,ij->i", mirrored - self.middle[partner], self.normal[partner]))
        area = self.area[self.fine]
        close = found & (residual < _CLOSE_MM)
        share = float(area[close].sum() / area.sum())
        rms = (
            math.sqrt(float(np.average(residual[close] ** 2, weights=area[close])))
            if close.any()
            else math.inf
        )
        low, high = np.quantile(self.middle @ plane.normal, [0.005, 0.995])
        return SymmetryPlane(plane=plane, matched_share=share, rms_mm=rms, width_mm=float(high - low))


def _mirror(points: Points, plane: Plane) -> Points:
    mirrored: Points = points - 2.0 * np.multiply.outer(points @ plane.normal - plane.offset_mm, plane.normal)
    return mirrored


def _across(normal: Vector) -> tuple[Vector, Vector]:
    u = unit_vector(np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))]))
    return u, np.cross(normal, u)


def _half_sphere(count: int) -> Points:
    """Directions spread evenly over a half sphere (golden-angle spiral)."""
    turn = np.arange(count) * math.pi * (3.0 - math.sqrt(5.0))
    up = (np.arange(count) + 0.5) / count
    across = np.sqrt(1.0 - up**2)
    return np.stack([across * np.cos(turn), across * np.sin(turn), up], axis=1)

"""Gaps between the skin of bars and the metal, all along each bar."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Points, Vector
from hoopwright.shell.nearest import NearestMetal
from hoopwright.shell.region_gaps import region_rows
from hoopwright.shell.shell import Shell
from hoopwright.shell.unseen import Stretch, outside_stretches, unseen_stretches

SPACING_MM = 2.0
REACH_MM = 150.0


@dataclass(frozen=True, kw_only=True)
class BarToMeasure:
    """A bar and how much of its ends is not judged.

    Args:
        bar: The bar, in the vehicle frame.
        landing_a_mm: Length at end A that is trimmed to its landing and so not judged; 0 for a free end.
        landing_b_mm: The same at end B.
    """

    bar: Bar
    landing_a_mm: float = 0.0
    landing_b_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class GapPlace:
    """A gap and where it is.

    Args:
        region: Name of the region.
        gap_mm: From the bar's skin to the metal; negative where it cuts in.
        along_mm: Distance from end A along the centreline.
        bar_mm: Place on the centreline, vehicle frame.
        metal_mm: Place on the metal, vehicle frame.
    """

    region: str
    gap_mm: float
    along_mm: float
    bar_mm: tuple[float, float, float]
    metal_mm: tuple[float, float, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class BarGaps:
    """Gaps of one bar.

    Args:
        bar: The bar.
        along_mm: Distances along the centreline from end A, shape (n,), at most 2 mm apart.
        points_mm: Places on the centreline, shape (n, 3).
        gap_mm: Gap at each, shape (n,).
        metal_mm: The nearest metal to each, shape (n, 3).
        judged: Which of them lie outside the landings, shape (n,).
        regions: Smallest judged gap of every region within reach, the smallest first.
        outside: Stretches that have left the outline of the shell.
        unseen: Stretches that face no scanned metal outward: unknown, not free.
        crossings: Places where the centreline itself goes through metal.
    """

    bar: Bar
    along_mm: Vector
    points_mm: Points
    gap_mm: Vector
    metal_mm: Points
    judged: np.ndarray
    regions: tuple[GapPlace, ...]
    outside: tuple[Stretch, ...]
    unseen: tuple[Stretch, ...]
    crossings: tuple[GapPlace, ...]

    @property
    def smallest(self) -> GapPlace | None:
        """The smallest judged gap, or None where no metal is within reach."""
        return self.regions[0] if self.regions else None


def measure_gaps(
    shell: Shell,
    bars: Sequence[BarToMeasure],
    *,
    spacing_mm: float = SPACING_MM,
    reach_mm: float = REACH_MM,
) -> tuple[BarGaps, ...]:
    """Gaps of bars to the scan, on the full mesh and along the true arcs.

    Every millimetre is held to within spacing^2 / (8 x distance), some hundredths of a millimetre.

    Args:
        shell: The scan in the vehicle frame.
        bars: What to measure; bars that cannot be are refused by `check_shape` before.
        spacing_mm: Greatest distance between two samples.
        reach_mm: Regions farther than this from the skin are not listed.
    """
    if not bars:
        return ()
    paths = [centreline(one.bar) for one in bars]
    along = [path.even_distances(spacing_mm) for path in paths]
    points = [path.at(distances) for path, distances in zip(paths, along, strict=True)]
    starts = np.cumsum([0, *(len(one) for one in points)])
    nearest = shell.nearest(np.concatenate(points), step_mm=_step(points, starts))
    regions = _region_gaps(shell, bars, along, points, reach_mm)
    return tuple(
        _one_bar(shell, one, paths[i].directions_at(along[i]), along[i], points[i],
                 _part(nearest, starts[i], starts[i + 1]), regions[i])
        for i, one in enumerate(bars)
    )  # fmt: skip


def _step(points: list[Points], starts: np.ndarray) -> float:
    """Greatest distance between neighbouring samples, the jumps from bar to bar included."""
    rows = np.concatenate(points)
    return float(np.linalg.norm(np.diff(rows, axis=0), axis=1).max()) if len(starts) == 2 else np.inf


def _part(found: NearestMetal, start: int, stop: int) -> NearestMetal:
    return NearestMetal(
        distance_mm=found.distance_mm[start:stop],
        place_mm=found.place_mm[start:stop],
        triangle=found.triangle[start:stop],
    )


def _is_judged(one: BarToMeasure, along: Vector) -> np.ndarray:
    judged = (along >= one.landing_a_mm) & (along <= along[-1] - one.landing_b_mm)
    # a bar that is all landing is judged whole rather than not at all
    return judged if judged.any() else np.ones_like(judged)


def _region_gaps(
    shell: Shell, bars: Sequence[BarToMeasure], along: list[Vector], points: list[Points], reach_mm: float
) -> list[tuple[GapPlace, ...]]:
    prepared = shell.prepared
    count = prepared.regions.count
    judged = [np.flatnonzero(_is_judged(one, a)) for one, a in zip(bars, along, strict=True)]
    rows = np.concatenate([p[j] for p, j in zip(points, judged, strict=True)])
    starts = np.cumsum([0, *(len(j) for j in judged)])
    reach = np.array([reach_mm + one.bar.tube.od_mm / 2.0 for one in bars])
    best2 = np.repeat((reach**2)[:, None], count, axis=1)
    sample = np.full((len(bars), count), -1, dtype=np.int64)
    place = np.zeros((len(bars), count, 3))
    region_rows(
        prepared.tree.corners, prepared.tree.boxes, prepared.regions.of_triangle, prepared.regions.of_node,
        np.ascontiguousarray(shell.to_vehicle.inverse().points(rows)), starts, best2, sample, place,
    )  # fmt: skip
    result = []
    for i, one in enumerate(bars):
        metal = shell.to_vehicle.points(place[i])
        found = []
        for region in np.flatnonzero(sample[i] >= 0):
            at = judged[i][sample[i, region] - starts[i]]
            found.append(
                GapPlace(
                    region=shell.region_names[region],
                    gap_mm=math.sqrt(best2[i, region]) - one.bar.tube.od_mm / 2.0,
                    along_mm=float(along[i][at]),
                    bar_mm=_place(points[i][at]),
                    metal_mm=_place(metal[region]),
                )
            )
        result.append(tuple(sorted(found, key=lambda gap: gap.gap_mm)))
    return result


def _one_bar(
    shell: Shell,
    one: BarToMeasure,
    travel: Points,
    along: Vector,
    points: Points,
    nearest: NearestMetal,
    regions: tuple[GapPlace, ...],
) -> BarGaps:
    judged = _is_judged(one, along)
    return BarGaps(
        bar=one.bar,
        along_mm=along,
        points_mm=points,
        gap_mm=nearest.distance_mm - one.bar.tube.od_mm / 2.0,
        metal_mm=nearest.place_mm,
        judged=judged,
        regions=regions,
        outside=outside_stretches(shell, along, points, judged),
        unseen=unseen_stretches(shell, along, points, travel, judged),
        crossings=_crossings(shell, one, along, points, nearest, judged),
    )


def _crossings(
    shell: Shell,
    one: BarToMeasure,
    along: Vector,
    points: Points,
    nearest: NearestMetal,
    judged: np.ndarray,
) -> tuple[GapPlace, ...]:
    """Where the centreline goes through a skin. Only pieces nearer to metal than they are long can."""
    if shell.prepared.is_cloud:
        return ()
    pieces = np.diff(points, axis=0)
    length = np.linalg.norm(pieces, axis=1)
    close = np.flatnonzero((nearest.distance_mm[:-1] <= length) & judged[:-1] & judged[1:] & (length > 0))
    places = []
    for i in close:
        hit = shell.first_hits(points[i : i + 1], pieces[i], reach_mm=float(length[i]))
        if hit.triangle[0] >= 0:
            region = int(shell.prepared.regions.of_triangle[hit.triangle[0]])
            places.append(
                GapPlace(
                    region=shell.region_names[region],
                    gap_mm=-one.bar.tube.od_mm / 2.0,
                    along_mm=float(along[i] + hit.distance_mm[0]),
                    bar_mm=_place(hit.place_mm[0]),
                    metal_mm=_place(hit.place_mm[0]),
                )
            )
    return tuple(places)


def _place(point: Vector) -> tuple[float, float, float]:
    forward, left, up = point
    return float(forward), float(left), float(up)

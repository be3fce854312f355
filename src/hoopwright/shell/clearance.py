"""Gaps between the skin of tubes and the metal, all along each tube."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import FilletedPath, Points, Vector
from hoopwright.shell.nearest import NearestMetal
from hoopwright.shell.region_gaps import region_rows
from hoopwright.shell.shell import Shell
from hoopwright.shell.unseen import Stretch, outside_stretches, unseen_stretches

SPACING_MM = 2.0
REACH_MM = 150.0
_SAME_PLACE_MM = 1e-6


@dataclass(frozen=True, kw_only=True)
class TubeToMeasure:
    """A tube along a path, and how much of its ends is not judged.

    Args:
        name: What it is called in findings.
        path: Its centreline, in the vehicle frame.
        od_mm: Its outside diameter.
        landing_a_mm: Length at end A that is trimmed to its landing and so not judged; 0 for a free end.
        landing_b_mm: The same at end B.
    """

    name: str
    path: FilletedPath
    od_mm: float
    landing_a_mm: float = 0.0
    landing_b_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class GapPlace:
    """A gap and where it is.

    Args:
        region: Name of the region.
        gap_mm: From the skin to the metal; negative where it cuts in.
        along_mm: Distance from end A along the centreline.
        axis_mm: Place on the centreline, vehicle frame.
        metal_mm: Place on the metal, vehicle frame.
    """

    region: str
    gap_mm: float
    along_mm: float
    axis_mm: tuple[float, float, float]
    metal_mm: tuple[float, float, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class TubeGaps:
    """Gaps of one tube.

    Args:
        tube: What was measured.
        along_mm: Distances along the centreline from end A, shape (n,), at most the spacing apart; both ends of the
            judged stretch are among them.
        points_mm: Places on the centreline, shape (n, 3).
        gap_mm: Gap at each, shape (n,).
        metal_mm: The nearest metal to each, shape (n, 3).
        judged: Which of them lie outside the landings, shape (n,).
        regions: Smallest judged gap of every region within reach, the smallest first.
        outside: Stretches that have left the outline of the shell.
        unseen: Stretches that face no scanned metal outward: unknown, not free.
        crossings: Places where the centreline itself goes through metal.
        edges: Smallest gap to the edge of each of the tube's own holes, the smallest first; not among the regions.
    """

    tube: TubeToMeasure
    along_mm: Vector
    points_mm: Points
    gap_mm: Vector
    metal_mm: Points
    judged: np.ndarray
    regions: tuple[GapPlace, ...]
    outside: tuple[Stretch, ...]
    unseen: tuple[Stretch, ...]
    crossings: tuple[GapPlace, ...]
    edges: tuple[GapPlace, ...] = ()

    @property
    def smallest(self) -> GapPlace | None:
        """The smallest judged gap, or None where no metal is within reach."""
        return self.regions[0] if self.regions else None


def judged_stretch(path: FilletedPath, landings_mm: Sequence[float]) -> tuple[float, float]:
    """Distances along a path between which it is judged: all of it where the landings leave nothing."""
    low, high = float(landings_mm[0]), path.length_mm - float(landings_mm[1])
    return (low, high) if low < high else (0.0, path.length_mm)


def measure_gaps(
    shell: Shell,
    tubes: Sequence[TubeToMeasure],
    *,
    spacing_mm: float = SPACING_MM,
    reach_mm: float = REACH_MM,
) -> tuple[TubeGaps, ...]:
    """Gaps of tubes to the scan, on the full mesh and along the true arcs.

    Every millimetre is held to within spacing^2 / (8 x distance), some hundredths of a millimetre.

    Args:
        shell: The scan in the vehicle frame.
        tubes: What to measure.
        spacing_mm: Greatest distance between two samples.
        reach_mm: Regions farther than this from the skin are not listed.
    """
    if not tubes:
        return ()
    paths = [one.path for one in tubes]
    along = [_sampled(one, spacing_mm) for one in tubes]
    points = [path.at(distances) for path, distances in zip(paths, along, strict=True)]
    starts = np.cumsum([0, *(len(one) for one in points)])
    nearest = shell.nearest(np.concatenate(points))
    regions = _region_gaps(shell, tubes, along, points, reach_mm)
    return tuple(
        _one_tube(shell, one, paths[i].directions_at(along[i]), along[i], points[i],
                 _part(nearest, starts[i], starts[i + 1]), *regions[i])
        for i, one in enumerate(tubes)
    )  # fmt: skip


def _part(found: NearestMetal, start: int, stop: int) -> NearestMetal:
    return NearestMetal(
        distance_mm=found.distance_mm[start:stop],
        place_mm=found.place_mm[start:stop],
        triangle=found.triangle[start:stop],
    )


def _sampled(one: TubeToMeasure, spacing_mm: float) -> Vector:
    """Even distances with the ends of the judged stretch, where the gap of a bar that lands is often smallest."""
    even = one.path.even_distances(spacing_mm)
    ends = np.array(judged_stretch(one.path, (one.landing_a_mm, one.landing_b_mm)))
    # a step of no length has no direction
    apart = np.abs(even[:, None] - ends).min(axis=1) > _SAME_PLACE_MM
    return np.sort(np.concatenate([even[apart], ends]))


def _is_judged(one: TubeToMeasure, along: Vector) -> np.ndarray:
    low, high = judged_stretch(one.path, (one.landing_a_mm, one.landing_b_mm))
    return (along >= low) & (along <= high)


def _region_gaps(
    shell: Shell, tubes: Sequence[TubeToMeasure], along: list[Vector], points: list[Points], reach_mm: float
) -> list[tuple[tuple[GapPlace, ...], tuple[GapPlace, ...]]]:
    """For each tube the gaps to the regions, and those to the edges of its own holes."""
    prepared = shell.prepared
    count = prepared.regions.count
    judged = [np.flatnonzero(_is_judged(one, a)) for one, a in zip(tubes, along, strict=True)]
    rows = np.concatenate([p[j] for p, j in zip(points, judged, strict=True)])
    starts = np.cumsum([0, *(len(j) for j in judged)])
    reach = np.array([reach_mm + one.od_mm / 2.0 for one in tubes])
    best2 = np.repeat((reach**2)[:, None], count, axis=1)
    sample = np.full((len(tubes), count), -1, dtype=np.int64)
    place = np.zeros((len(tubes), count, 3))
    inside = np.ascontiguousarray(shell.to_scan.points(rows))
    region_rows(prepared.tree, prepared.regions, inside, starts, best2, sample, place)
    result = []
    for i, one in enumerate(tubes):
        metal = shell.to_vehicle.points(place[i])
        found: list[GapPlace] = []
        edges: list[GapPlace] = []
        for region in np.flatnonzero(sample[i] >= 0):
            at = judged[i][sample[i, region] - starts[i]]
            (edges if shell.edges.get(int(region)) == tubes[i].name else found).append(
                GapPlace(
                    region=shell.region_names[region],
                    gap_mm=math.sqrt(best2[i, region]) - one.od_mm / 2.0,
                    along_mm=float(along[i][at]),
                    axis_mm=_place(points[i][at]),
                    metal_mm=_place(metal[region]),
                )
            )
        result.append((_smallest_first(found), _smallest_first(edges)))
    return result


def _smallest_first(gaps: list[GapPlace]) -> tuple[GapPlace, ...]:
    return tuple(sorted(gaps, key=lambda gap: gap.gap_mm))


def _one_tube(
    shell: Shell,
    one: TubeToMeasure,
    travel: Points,
    along: Vector,
    points: Points,
    nearest: NearestMetal,
    regions: tuple[GapPlace, ...],
    edges: tuple[GapPlace, ...],
) -> TubeGaps:
    judged = _is_judged(one, along)
    return TubeGaps(
        tube=one,
        along_mm=along,
        points_mm=points,
        gap_mm=nearest.distance_mm - one.od_mm / 2.0,
        metal_mm=nearest.place_mm,
        judged=judged,
        regions=regions,
        outside=outside_stretches(shell, along, points, judged),
        unseen=unseen_stretches(shell, along, points, travel, judged),
        crossings=_crossings(shell, one, along, points, nearest, judged),
        edges=edges,
    )


def _crossings(
    shell: Shell,
    one: TubeToMeasure,
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
    if not len(close):
        return ()
    hits = shell.first_hits(points[close], pieces[close], reach_mm=length[close])
    return tuple(
        GapPlace(
            region=shell.region_names[int(shell.prepared.regions.of_triangle[hits.triangle[k]])],
            gap_mm=-one.od_mm / 2.0,
            along_mm=float(along[close[k]] + hits.distance_mm[k]),
            axis_mm=_place(hits.place_mm[k]),
            metal_mm=_place(hits.place_mm[k]),
        )
        for k in np.flatnonzero(hits.triangle >= 0)
    )


def _place(point: Vector) -> tuple[float, float, float]:
    forward, left, up = point
    return float(forward), float(left), float(up)

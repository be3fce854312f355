"""Where straight lines run inside a bend: a piece of a torus, round or oval."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Arc
from hoopwright.joints.cope.rays import GRAZE_MM, Rays, Stretches, clipped
from hoopwright.joints.cope.solving import Rows, lowest, roots
from hoopwright.joints.cope.tubes import OvalBend

Numbers = NDArray[np.float64]
_STEP_SHARE = 0.25
"""Of the radius: no two ways into a tube lie closer along a line, but for a depth of no account."""
_MOST_STRETCHES = 2


@dataclass(frozen=True, kw_only=True, eq=False)
class _Bend:
    """A bend with rays in its own frame: x from the centre to the start, y along the travel, z across."""

    arc: Arc
    od_mm: float
    oval: OvalBend | None
    starts: Numbers
    ray: Numbers

    def beyond(self, along_mm: Numbers, rows: Rows) -> Numbers:
        """How far places on rays lie outside the skin, mm; on the skin exactly 0. Same shape as given."""
        x, y, z = (self.starts[rows, k] + along_mm * self.ray[k] for k in range(3))
        out = np.hypot(x, y) - self.arc.radius_mm
        radius_mm = self.od_mm / 2.0
        if self.oval is None:
            past: Numbers = np.hypot(out, z) - radius_mm
            return past
        in_plane, across = self.section_mm(np.arctan2(y, x))
        scaled: Numbers = (np.hypot(out / in_plane, z / across) - 1.0) * radius_mm
        return scaled

    def section_mm(self, turned_rad: Numbers) -> tuple[Numbers, Numbers]:
        """Half axes of the section at turns from the start."""
        assert self.oval is not None  # noqa: S101
        share = oval_share(self.arc, self.od_mm, turned_rad * self.arc.radius_mm)
        round_mm = self.od_mm / 2.0
        return (
            round_mm + share * (self.oval.in_plane_mm / 2.0 - round_mm),
            round_mm + share * (self.oval.across_mm / 2.0 - round_mm),
        )


def oval_share(arc: Arc, od_mm: float, along_mm: Numbers) -> Numbers:
    """How much of its measured ovality a bend has at distances from its start: 0 at both tangent points, then 1."""
    run_in_mm = min(od_mm, arc.length_mm / 4.0)
    nearer = np.minimum(along_mm, arc.length_mm - along_mm)
    share = np.clip(nearer / run_in_mm, 0.0, 1.0)
    smooth: Numbers = share * share * (3.0 - 2.0 * share)
    return smooth


def stretches_in_bend(
    rays: Rays, arc: Arc, od_mm: float, oval: OvalBend | None, *, window_mm: tuple[float, float]
) -> Stretches:
    """Where rays run inside a bend, between the planes of its two tangent points.

    Args:
        rays: The rays.
        arc: The bend's centreline; its radius is more than the tube's.
        od_mm: Outside diameter of the tube.
        oval: Its measured section, or None for round.
        window_mm: Where along the rays to look.

    Returns:
        Stretches of shape (n, 2), since a line enters a torus at most twice. Their ends are exact; their starts are up
        to a quarter of the tube's radius early.
    """
    frame = np.stack([arc.outward, arc.direction, np.cross(arc.outward, arc.direction)])
    bend = _Bend(
        arc=arc,
        od_mm=od_mm,
        oval=oval,
        starts=(rays.starts_mm - arc.centre_mm) @ frame.T,
        ray=frame @ rays.direction,
    )
    low, high = _between_the_ends(bend, *_near_the_bend(bend, window_mm))
    rows = np.flatnonzero(high >= low)
    start, end = np.full((2, len(low), _MOST_STRETCHES), np.nan)
    if len(rows):
        # a little beyond both ends, since a ray may dip below the skin just beside an end
        margin_mm = _STEP_SHARE * od_mm
        start[rows], end[rows] = _inside(bend, rows, low[rows] - margin_mm, high[rows] + margin_mm)
        for column in range(_MOST_STRETCHES):
            start[:, column], end[:, column] = _between_the_ends(bend, start[:, column], end[:, column])
    return start, end


def _near_the_bend(bend: _Bend, window_mm: tuple[float, float]) -> tuple[Numbers, Numbers]:
    """The part of each ray that may meet the whole torus."""
    largest = bend.od_mm / 2.0
    if bend.oval is not None:
        largest = max(largest, bend.oval.in_plane_mm / 2.0, bend.oval.across_mm / 2.0)
    reach = bend.arc.radius_mm + largest + GRAZE_MM
    middle = -(bend.starts @ bend.ray)
    nearest = np.linalg.norm(bend.starts + middle[:, None] * bend.ray, axis=1)
    with np.errstate(invalid="ignore"):
        half = np.sqrt((reach - nearest) * (reach + nearest))
    low, high = np.maximum(middle - half, window_mm[0]), np.minimum(middle + half, window_mm[1])
    across = bend.starts[:, 2]
    low, high = clipped(low, high, largest + GRAZE_MM - across, -float(bend.ray[2]))
    return clipped(low, high, largest + GRAZE_MM + across, float(bend.ray[2]))


def _between_the_ends(bend: _Bend, low: Numbers, high: Numbers) -> tuple[Numbers, Numbers]:
    """The part of stretches between the planes of the two tangent points."""
    x, y, _ = bend.starts.T
    low, high = clipped(low, high, y, float(bend.ray[1]))
    angle_rad = math.radians(bend.arc.angle_deg)
    sine, cosine = math.sin(angle_rad), math.cos(angle_rad)
    return clipped(low, high, sine * x - cosine * y, float(sine * bend.ray[0] - cosine * bend.ray[1]))


def _inside(bend: _Bend, rows: NDArray[np.intp], low: Numbers, high: Numbers) -> tuple[Numbers, Numbers]:
    step = _STEP_SHARE * bend.od_mm / 2.0
    count = max(9, math.ceil(float((high - low).max()) / step) + 1)
    places = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, count)
    values = bend.beyond(places, rows[:, None])
    places, values = _with_lowest(bend, rows, places, values)
    inside = values <= GRAZE_MM
    entering = inside & ~np.pad(inside, ((0, 0), (1, 0)))[:, :-1]
    leaving = inside & ~np.pad(inside, ((0, 0), (0, 1)))[:, 1:]
    return (
        _ends(bend, rows, places, values, entering, -1),
        _ends(bend, rows, places, values, leaving, 1),
    )


def _with_lowest(
    bend: _Bend, rows: NDArray[np.intp], places: Numbers, values: Numbers
) -> tuple[Numbers, Numbers]:
    """Samples with the lowest place put in wherever a ray may dip below the skin between two of them."""
    steps = places[:, 1] - places[:, 0]
    middle = values[:, 1:-1]
    # the lowest place is half a step from a sample at most, and nothing falls faster than the ray goes; in an oval
    # section at most twice as fast, since its axes are checked
    deepest = steps * (0.5 if bend.oval is None else 1.0)
    dips = (middle > 0.0) & (middle <= deepest[:, None])
    dips &= (middle <= values[:, :-2]) & (middle <= values[:, 2:])
    row, column = np.nonzero(dips)
    if len(row) == 0:
        return places, values
    place, value = lowest(bend.beyond, rows[row], places[row, column], places[row, column + 2])
    places, values = places.copy(), values.copy()
    places[row, column + 1], values[row, column + 1] = place, value
    return places, values


def _ends(
    bend: _Bend,
    rows: NDArray[np.intp],
    places: Numbers,
    values: Numbers,
    marked: NDArray[np.bool_],
    step: int,
) -> Numbers:
    """Where stretches start (step -1) or end (step 1): between a marked sample and the next one, which is outside.

    Only ends are solved for. A start is needed to see which stretches hang together, and is the sample outside.
    """
    ends = np.full((len(rows), _MOST_STRETCHES), np.nan)
    row, column = np.nonzero(marked)
    rank = np.cumsum(marked, axis=1)[row, column] - 1
    kept = rank < _MOST_STRETCHES
    row, column, rank = row[kept], column[kept], rank[kept]
    outside = column + step
    at_the_plane = (outside < 0) | (outside >= places.shape[1])
    touching = values[row, column] >= 0.0
    ends[row, rank] = places[row, column]
    solve = ~at_the_plane & ~touching
    if solve.any():
        r, c, o = row[solve], column[solve], outside[solve]
        ends[r, rank[solve]] = (
            roots(bend.beyond, rows[r], places[r, c], places[r, o]) if step > 0 else places[r, o]
        )
    return ends

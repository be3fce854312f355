"""The plane of the B-pillars as scanned: the metal between the two side openings, height by height, on both sides."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.cabin_rays import CabinRays, look_into_cabin
from hoopwright.shell.shell import Shell

_SHARES = tuple(np.arange(0.20, 0.86, 0.03))
_STEP_MM = 10.0
_NARROWEST_MM = 30.0
_WIDEST_MM = 450.0
_FROM_MIDDLE_MM = 500.0
_AGREE_MM = 60.0
_STRAY_MM = 40.0
_LEAST_HEIGHTS = 4
_LEAST_SPAN_MM = 150.0
_MOST_LEAN_DEG = 35.0


@dataclass(frozen=True, kw_only=True)
class PillarPlane:
    """A plane square to the car's side through the middle of both B-pillars.

    Args:
        forward_mm: Where it stands at `up_mm`.
        up_mm: The middle of the heights at which the pillars were seen.
        lean_deg: From upright; positive leans the top rearward.
        residual_mm: Root mean square of the pillar's middles from it.
        apart_mm: How much farther forward the left pillar stands than the right.
        heights: At how many heights it was seen, left and right together.
    """

    forward_mm: float
    up_mm: float
    lean_deg: float
    residual_mm: float
    apart_mm: float
    heights: int

    def forward_at_mm(self, up_mm: float) -> float:
        """Forward place of the plane at a height."""
        return self.forward_mm - math.tan(math.radians(self.lean_deg)) * (up_mm - self.up_mm)


def find_pillar_plane(shell: Shell) -> PillarPlane:
    """The plane of the B-pillars.

    Args:
        shell: The scan in the vehicle frame, doors off or open.

    Raises:
        UserError: `FIT-061` when the scan does not tell, with what was seen.
    """
    cabin = look_into_cabin(shell)
    if cabin is None:
        raise _cannot_tell("no roof with a floor under it was found")
    sides = [_middles(cabin, side) for side in (1, -1)]
    for name, seen in zip(("left", "right"), sides, strict=True):
        span = float(np.ptp(seen[:, 1])) if len(seen) else 0.0
        if len(seen) < _LEAST_HEIGHTS or span < _LEAST_SPAN_MM:
            raise _cannot_tell(
                f"the {name} pillar stands between two openings at {len(seen)} heights over {span:.0f} mm, and "
                f"{_LEAST_HEIGHTS} over {_LEAST_SPAN_MM:.0f} mm are needed"
            )
    found = _fitted(*sides)
    if abs(found.apart_mm) > _AGREE_MM:
        raise _cannot_tell(f"the two sides stand {abs(found.apart_mm):.0f} mm apart along the car")
    if abs(found.lean_deg) > _MOST_LEAN_DEG:
        raise _cannot_tell(f"what was seen leans {found.lean_deg:.0f}°, which is no pillar")
    return found


def told_plane(found: PillarPlane, name: str) -> Finding:
    """The note that tells where a hoop's plane was found."""
    return Finding(
        code="FIT-060",
        severity=Severity.NOTE,
        sentence=f"The plane of {name} was taken from the B-pillars as scanned: forward {found.forward_mm:.0f} mm at "
        f"up {found.up_mm:.0f} mm, leaning {found.lean_deg:.1f}° rearward; their middles stray "
        f"{found.residual_mm:.1f} mm (rms of {found.heights} heights), the left stands "
        f"{round(found.apart_mm, 1) + 0.0:+.1f} mm forward of the right.",
        todo="Look at it in the pictures, or place the hoop yourself (--lean and --from).",
        objects=(name,),
        measured=found.residual_mm,
        limit=_STRAY_MM,
        unit="mm",
    )


def _middles(cabin: CabinRays, side: int) -> NDArray[np.float64]:
    """Forward and up of the pillar's middle at each height at which it stands between two openings, shape (n, 2)."""
    wanted = 0.5 * (cabin.roof_front_mm + cabin.roof_rear_mm)
    stations = np.arange(wanted + 2.0 * _FROM_MIDDLE_MM, wanted - 2.0 * _FROM_MIDDLE_MM, -_STEP_MM)
    seen = []
    for share in _SHARES:
        height = cabin.up_mm(float(share))
        starts = np.column_stack([stations, np.zeros(len(stations)), np.full(len(stations), height)])
        is_metal = np.isfinite(cabin.across(starts, side)[:, 1])
        edges = np.flatnonzero(np.diff(is_metal.astype(int))) + 1
        for start, stop in pairwise(edges):
            width = (stop - start) * _STEP_MM
            middle = float(stations[start:stop].mean())
            near = abs(middle - wanted) <= _FROM_MIDDLE_MM
            if is_metal[start] and near and _NARROWEST_MM <= width <= _WIDEST_MM:
                seen.append((middle, height))
    return _one_line(np.array(seen).reshape(-1, 2))


def _one_line(seen: NDArray[np.float64]) -> NDArray[np.float64]:
    """Those that lie about one steep line: of all lines through two, the one with the most beside it."""
    best = seen[:0]
    for first in range(len(seen)):
        for second in range(first + 1, len(seen)):
            rise = seen[second, 1] - seen[first, 1]
            if rise < _LEAST_SPAN_MM / 2.0:
                continue
            slope = (seen[second, 0] - seen[first, 0]) / rise
            if abs(slope) > math.tan(math.radians(_MOST_LEAN_DEG)):
                continue
            off = seen[:, 0] - seen[first, 0] - slope * (seen[:, 1] - seen[first, 1])
            beside = seen[np.abs(off) <= _STRAY_MM]
            if len(beside) > len(best):
                best = beside
    return best


def _fitted(left: NDArray[np.float64], right: NDArray[np.float64]) -> PillarPlane:
    """Least squares of one lean and a station of each side."""
    both = np.concatenate([left, right])
    up = float(both[:, 1].mean())
    is_left = np.arange(len(both)) < len(left)
    rows = np.column_stack([is_left, ~is_left, both[:, 1] - up]).astype(np.float64)
    at_left, at_right, slope = np.linalg.lstsq(rows, both[:, 0], rcond=None)[0]
    middle = 0.5 * (at_left + at_right)
    off = both[:, 0] - middle - slope * (both[:, 1] - up)
    return PillarPlane(
        forward_mm=float(middle),
        up_mm=up,
        lean_deg=math.degrees(math.atan(-slope)),
        residual_mm=float(np.sqrt((off**2).mean())),
        apart_mm=float(at_left - at_right),
        heights=len(both),
    )


def _cannot_tell(why: str) -> UserError:
    return UserError(
        Finding(
            code="FIT-061",
            severity=Severity.STOP,
            sentence=f"The scan does not tell the plane of the B-pillars: {why}.",
            todo="Scan with the doors off or open, or give the plane (--lean or --plane-through).",
        )
    )

"""The lower edge of a body's sides: its sills, which lie level, and its wheel arches.

Common practice, no source: a body stands level when its sills do, and the axle lies under the top of the arch.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from hoopwright.geometry import Points, Vector
from hoopwright.shell.floor import without_large_floor
from hoopwright.shell.shell import Shell

_STATION_MM = 50.0
_OUTERMOST = 0.86
_ON_LINE_MM = 10.0
_SHORTEST_SILL_MM = 700.0
_HIDDEN_MM = 320.0
_STEEPEST_DEG = 6.0
_SILLS_AGREE_DEG = 2.0
_LEAST_ARCH_MM = 120.0
_WIDEST_ARCH_MM = 850.0
_CROWN_SHARE = 0.65
_LEAST_STATIONS = 5


class SillLine(NamedTuple):
    """A straight sill, fitted to one side's lower edge.

    Args:
        climb_deg: How it climbs toward the nose.
        front_mm: Forward place of its front end.
        rear_mm: That of its rear end.
        up_mm: Its height at the middle.
    """

    climb_deg: float
    front_mm: float
    rear_mm: float
    up_mm: float


class Arch(NamedTuple):
    """The middle of the wheel arches of an axle.

    Args:
        forward_mm: Forward place of the crown, which the axle lies under.
        up_mm: Height of the crown.
    """

    forward_mm: float
    up_mm: float


@dataclass(frozen=True, kw_only=True)
class Attitude:
    """How a body lies in its frame.

    Args:
        climb_deg: How the sills climb toward the nose; None when no sill shows it.
        doubt: Why that is not sure; empty when it is.
        front_arch: Crown of the front arches in the frame as it is, or None.
        rear_arch: That of the rear arches.
    """

    climb_deg: float | None
    doubt: str
    front_arch: Arch | None
    rear_arch: Arch | None


def attitude_of(shell: Shell) -> Attitude:
    """Pitch by the sills of both sides, and axles by the arches before and behind them.

    Args:
        shell: The scan in the vehicle frame.
    """
    # the shell leaves a workshop floor out only where it is level in the vehicle frame
    body = without_large_floor(shell.prepared.surfels) or shell.body
    places = shell.to_vehicle.points(body.middle_mm)
    edges = [_lower_edge(places, side) for side in (1, -1)]
    lines = [sill_line(*edge) for edge in edges]
    known = [line for line in lines if line is not None]
    climbs = [line.climb_deg for line in known]
    doubt = ""
    if not climbs:
        doubt = "no straight sill shows how the scan is pitched"
    elif len(climbs) == 2 and abs(climbs[0] - climbs[1]) > _SILLS_AGREE_DEG:
        doubt = f"the sills climb by {climbs[0]:.1f}° and {climbs[1]:.1f}°, so that the pitch is not known"
    return Attitude(
        climb_deg=float(np.mean(climbs)) if climbs else None,
        doubt=doubt,
        front_arch=_arch_of(edges, lines, ahead=True),
        rear_arch=_arch_of(edges, lines, ahead=False),
    )


def _arch_of(edges: list[tuple[Vector, Vector]], lines: list[SillLine | None], *, ahead: bool) -> Arch | None:
    """Mean of what the two sides show before or behind their sills."""
    found = [
        arch
        for (forward, up), line in zip(edges, lines, strict=True)
        if line is not None and (arch := _side_arch(forward, up, line, ahead=ahead)) is not None
    ]
    return Arch(*(float(value) for value in np.mean(found, axis=0))) if found else None


def _lower_edge(places: Points, side: int) -> tuple[Vector, Vector]:
    """Forward and up of the lowest metal of one side's outermost skin, front first, one for each station."""
    out = places[:, 1] * side
    outside = places[out > _OUTERMOST * np.percentile(np.abs(places[:, 1]), 99.5)]
    if not len(outside):
        return np.empty(0), np.empty(0)
    station = np.floor(outside[:, 0] / _STATION_MM).astype(int)
    order = np.lexsort((outside[:, 2], -station))
    _, first = np.unique(-station[order], return_index=True)
    lowest = outside[order][first]
    return lowest[:, 0], lowest[:, 2]


def sill_line(forward_mm: Vector, up_mm: Vector) -> SillLine | None:
    """The straight line with the most stations of a lower edge on it; None without 700 mm of one.

    Args:
        forward_mm: Stations, shape (n,).
        up_mm: Height of the lower edge there.
    """
    one, other = np.triu_indices(len(forward_mm), k=1)
    apart = np.abs(forward_mm[one] - forward_mm[other]) > 0.5 * _SHORTEST_SILL_MM
    one, other = one[apart], other[apart]
    if not len(one):
        return None
    slopes = (up_mm[one] - up_mm[other]) / (forward_mm[one] - forward_mm[other])
    gentle = np.abs(slopes) < np.tan(np.radians(_STEEPEST_DEG))
    one, slopes = one[gentle], slopes[gentle]
    if not len(one):
        return None
    off = up_mm - up_mm[one, None] - slopes[:, None] * (forward_mm - forward_mm[one, None])
    near = np.maximum(0.0, 1.0 - (off / _ON_LINE_MM) ** 2)
    best = np.flatnonzero(near[int(np.argmax(near.sum(axis=1)))] > 0.0)
    # another part of the car may lie on the same line; a stand under the sill hides some of it
    runs = np.split(best, np.flatnonzero(np.abs(np.diff(forward_mm[best])) > _HIDDEN_MM) + 1)
    longest = max(runs, key=len)
    on, up = forward_mm[longest], up_mm[longest]
    if len(longest) * _STATION_MM < _SHORTEST_SILL_MM:
        return None
    slope, _ = np.polyfit(on, up, 1)
    return SillLine(float(np.degrees(np.arctan(slope))), float(on.max()), float(on.min()), float(up.mean()))


def _side_arch(forward_mm: Vector, up_mm: Vector, line: SillLine, *, ahead: bool) -> Arch | None:
    """The arch before or behind a sill, by a parabola through its crown."""
    middle = 0.5 * (line.front_mm + line.rear_mm)
    rise = up_mm - line.up_mm - np.tan(np.radians(line.climb_deg)) * (forward_mm - middle)
    beyond = forward_mm - line.front_mm if ahead else line.rear_mm - forward_mm
    order = np.argsort(beyond)
    order = order[(beyond[order] > 0.0) & (rise[order] > _LEAST_ARCH_MM)]
    if len(order) < _LEAST_STATIONS:
        return None
    order = order[beyond[order] < beyond[order[0]] + _WIDEST_ARCH_MM]
    top = int(np.argmax(rise[order]))
    low = np.flatnonzero(rise[order] < _CROWN_SHARE * rise[order[top]])
    after = low[low > top]
    before = low[low < top]
    crown = order[(before[-1] + 1 if len(before) else 0) : (after[0] if len(after) else len(order))]
    if len(crown) < _LEAST_STATIONS:
        return None
    bend, tilt, _ = np.polyfit(forward_mm[crown] - middle, rise[crown], 2)
    if bend >= 0.0:
        return None
    place = middle - tilt / (2.0 * bend)
    inside = float(np.clip(place, forward_mm[crown].min(), forward_mm[crown].max()))
    return Arch(inside, float(up_mm[crown].max()))

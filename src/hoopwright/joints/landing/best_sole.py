"""How a flat sole is turned and which sides it gets, so that it lies best on the metal under its feet."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.ndimage import map_coordinates

from hoopwright.bars import Bar
from hoopwright.cage import Landing, LandingKind
from hoopwright.findings import UserError
from hoopwright.geometry import Points
from hoopwright.joints.landing.fit import fit_landing
from hoopwright.joints.landing.flat_plate import leg_reach_mm
from hoopwright.joints.landing.gaps import GOOD_MM
from hoopwright.joints.landing.ground import find_ground
from hoopwright.joints.landing.metal_map import map_metal
from hoopwright.joints.landing.placing import off_own_plane, shifts
from hoopwright.joints.landing.sizes import WELD_ROOM_MM, usual_sizes
from hoopwright.shell.shell import Shell

_STEP_MM = 4.0
_TURNS_DEG = tuple(range(-75, 91, 15))
_WIDTHS = 4
_LONGEST = 1.5
"""A side may be so many times the longer usual one: common practice, no source."""
_TRIED = 2
_WORTH_MM = 0.3
_WHOLE_RATIO = 0.985
_BARE_MM = 1e3


def best_sole(shell: Shell, feet: Sequence[tuple[Bar, float]], landing: Landing) -> Landing:
    """A flat landing with the turn, and the sides where none were typed, with which it lies best.

    The area is never less than wanted, or than usual where none is; a side that was typed stays. Where the sole lies
    within 1.5 mm as it is, or nothing lies better by 0.3 mm, it is left as it is.

    Args:
        shell: The scan in the vehicle frame.
        feet: Each bar that stands on a landing of this kind, with the sign of its turn: -1 on a mirrored bar.
        landing: What was asked, its turn free.
    """
    if landing.kind is not LandingKind.PLATE:
        return landing
    as_it_is = _lies_mm(shell, feet, landing)
    if as_it_is <= GOOD_MM:
        return landing
    maps = [_seen(shell, bar, landing, sign) for bar, sign in feet]
    tried = []
    for turn in _TURNS_DEG:
        for length, width in _sides(feet, maps, landing):
            worst = max(_quick_mm(height, reach, sign * turn, length, width) for height, reach, sign in maps)
            tried.append((worst, abs(turn), turn, length, width))
    best = (as_it_is - _WORTH_MM, landing)
    for worst, _, turn, length, width in sorted(tried)[:_TRIED]:
        if worst >= as_it_is:
            break
        wished = replace(landing, turn_deg=float(turn), length_mm=length, width_mm=width)
        lies = _lies_mm(shell, feet, wished)
        if lies < best[0]:
            best = (lies, wished)
    return best[1]


def _lies_mm(shell: Shell, feet: Sequence[tuple[Bar, float]], landing: Landing) -> float:
    """Largest gap under any of the feet; holes count as much more than any gap."""
    worst = 0.0
    for bar, sign in feet:
        one = replace(landing, bar_id=bar.name, turn_deg=sign * landing.turn_deg)
        try:
            gap = fit_landing(shell, bar, one).faces[0].gap
        except UserError:
            continue  # told when it is fitted
        if gap is not None:
            bare = _BARE_MM * (1.0 - gap.seen_ratio) if gap.seen_ratio < _WHOLE_RATIO else 0.0
            worst = max(worst, gap.largest_mm + bare if math.isfinite(gap.largest_mm) else _BARE_MM)
    return worst


def _seen(shell: Shell, bar: Bar, landing: Landing, sign: float) -> tuple[Points, float, float]:
    """Heights of the metal on an even raster round the leg, how far the leg reaches, and the sign of its turn."""
    ground = find_ground(shell, bar, landing.end)
    sizes = usual_sizes(landing, bar.tube.od_mm)
    half = _LONGEST * max(sizes.length_mm, sizes.width_mm) * math.sqrt(0.5) + _STEP_MM
    seen = map_metal(
        shell, ground.sole, ground.eyes_mm, along_mm=(-half, half), across_mm=(-half, half), step_mm=_STEP_MM
    )
    return seen.height_mm, leg_reach_mm(bar, ground), sign


def _sides(
    feet: Sequence[tuple[Bar, float]], maps: Sequence[tuple[Points, float, float]], landing: Landing
) -> list[tuple[float, float]]:
    """Sides of no less than the wanted area, or the usual one where none is wanted: long and slim to square."""
    usual = usual_sizes(landing, max(bar.tube.od_mm for bar, _ in feet))
    least = 2.0 * (max(reach for _, reach, _ in maps) + WELD_ROOM_MM)
    sides = [(usual.length_mm, usual.width_mm)]
    if landing.length_mm is None and landing.width_mm is None:
        area = landing.area_mm2 or usual.length_mm * usual.width_mm
        for slim in np.linspace(least, math.sqrt(area), _WIDTHS):
            width = 5.0 * math.ceil(slim / 5.0)
            length = 5.0 * math.ceil(area / width / 5.0 - 1e-9)
            if max(length, width) <= _LONGEST * max(usual.length_mm, usual.width_mm):
                sides.append((length, width))
    return list(dict.fromkeys(sides))


def _quick_mm(height: Points, reach_mm: float, turn_deg: float, length_mm: float, width_mm: float) -> float:
    """Least half of the unevenness of a turned rectangle at any shift that keeps the leg on it."""
    room = [half - reach_mm - WELD_ROOM_MM for half in (length_mm / 2.0, width_mm / 2.0)]
    if min(room) < 0.0:
        return _BARE_MM
    turned = _turned(height, turn_deg, length_mm / 2.0 + room[0], width_mm / 2.0 + room[1])
    size = [max(2, round(side / _STEP_MM)) for side in (length_mm, width_mm)]
    middle = [(turned.shape[k] - size[k]) / 2.0 for k in (0, 1)]
    firsts = [{round(middle[k] + shift / _STEP_MM) for shift in shifts(room[k])[::2]} for k in (0, 1)]
    least = _BARE_MM
    for i in sorted(firsts[0]):
        for j in sorted(firsts[1]):
            if not (0 <= i <= turned.shape[0] - size[0] and 0 <= j <= turned.shape[1] - size[1]):
                continue
            block = turned[i : i + size[0], j : j + size[1]]
            if np.isfinite(block).all():
                least = min(least, float(np.ptp(off_own_plane(block))) / 2.0)
    return least


def _turned(height: Points, turn_deg: float, half_along_mm: float, half_across_mm: float) -> Points:
    """The raster turned about its middle; NaN beside anything that is not seen."""
    turn_rad = math.radians(turn_deg)
    along, across = (
        np.arange(-math.ceil(half / _STEP_MM), math.ceil(half / _STEP_MM)) + 0.5
        for half in (half_along_mm, half_across_mm)
    )
    u, v = np.meshgrid(along, across, indexing="ij")
    middle = [(count - 1) / 2.0 for count in height.shape]
    at = (
        middle[0] + math.cos(turn_rad) * u - math.sin(turn_rad) * v,
        middle[1] + math.sin(turn_rad) * u + math.cos(turn_rad) * v,
    )
    return np.asarray(map_coordinates(height, at, order=1, mode="constant", cval=np.nan))

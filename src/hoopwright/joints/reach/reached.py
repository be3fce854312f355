"""Which part of a seam the torch reaches past the shell and the bars, and what stands in its way elsewhere."""

import itertools
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points
from hoopwright.joints.reach.obstacles import BarRods, rods_apart_mm
from hoopwright.joints.reach.plate_obstacles import NO_PLATES, PlateTriangles, plates_met
from hoopwright.joints.reach.seam import WeldSeam
from hoopwright.joints.reach.torch import Torch, hold, ways_to_hold
from hoopwright.shell.shell import Shell

_ROUNDING_MM = 0.3
"""Rods leave the arcs that they stand for by less than this."""
_SLACK_POINTS = 1
_WIRE_MM = 0.05
_WAYS_TOGETHER = (1, 5)
"""Ways are tried in lots: most points are free in the first."""

Touches = Callable[[Points, Points, float], NDArray[np.int64]]


@dataclass(frozen=True, eq=False, kw_only=True)
class SeamReach:
    """How much of a seam the torch reaches.

    Args:
        seam: The seam, where it was tried.
        reached: Whether the torch reaches each of its points, shape (n,).
        alone: Whether it would with nothing but the joint's own two bars there, shape (n,).
        covered: Points that lie inside another bar, which has a seam of its own there, shape (n,); they do not count.
        in_the_way: What the torch meets first as it is tried, for each point; empty where reached.
    """

    seam: WeldSeam
    reached: NDArray[np.bool_]
    alone: NDArray[np.bool_]
    covered: NDArray[np.bool_]
    in_the_way: tuple[str, ...]

    @property
    def share(self) -> float:
        """Reached share of the circumference that is not covered by other bars, 0 to 1."""
        return self._share(self.reached)

    @property
    def alone_share(self) -> float:
        """The share that the joint's own two bars leave open."""
        return self._share(self.alone)

    @property
    def reached_deg(self) -> float:
        """Reached part of the circumference."""
        return self.share * 360.0

    @property
    def short_points(self) -> int:
        """Points that the joint's own bars leave open and that are not reached."""
        return int(self._lost.sum())

    @property
    def is_whole(self) -> bool:
        """Whether all is reached that the joint's own bars leave open, but for one point's rounding."""
        return self.short_points <= _SLACK_POINTS

    @property
    def blockers(self) -> tuple[tuple[str, float], ...]:
        """What stands in the way and over how many degrees, the most first; own bars left out."""
        counts = Counter(name for name, is_lost in zip(self.in_the_way, self._lost, strict=True) if is_lost)
        each = 360.0 / max(1, len(self.reached))
        return tuple((name, count * each) for name, count in counts.most_common())

    @property
    def unreached_deg(self) -> tuple[tuple[float, float], ...]:
        """Stretches that are not reached, from and to in degrees from the heel; a stretch may run over 360."""
        return _stretches(self.seam.around_deg, self.reached | self.covered)

    @property
    def _lost(self) -> NDArray[np.bool_]:
        lost: NDArray[np.bool_] = self.alone & ~self.reached & ~self.covered
        return lost

    def _share(self, good: NDArray[np.bool_]) -> float:
        counted = ~self.covered
        return float(good[counted].mean()) if counted.any() else 0.0


def reach_of(
    seam: WeldSeam,
    torch: Torch,
    shell: Shell | None,
    rods: BarRods,
    *,
    plates: PlateTriangles = NO_PLATES,
    without: frozenset[str] = frozenset(),
    alone: NDArray[np.bool_] | None = None,
) -> SeamReach:
    """Try the torch at every point of a seam, in a fan about the middle of the joint.

    Args:
        seam: The seam.
        torch: The torch.
        shell: What is scanned; None where there is no scan.
        rods: All bars, the joint's own two with them.
        plates: Landings and gussets.
        without: Bars, landings and gussets that are not there yet.
        alone: What the joint's own two bars leave open, where that is known already.
    """
    spread = float(np.linalg.norm(seam.points_mm - seam.middle_mm, axis=1).max(initial=0.0))
    near = rods.near(seam.middle_mm, torch.length_mm + spread)
    own = near.of(frozenset(seam.bars))
    others = near.of(frozenset(near.names) - frozenset(seam.bars) - without)
    sheet = plates.near(seam.middle_mm, torch.length_mm + spread, without)
    names = (*near.names, *sheet.names, *(shell.region_names if shell is not None else ()))
    at_home = np.array([name in seam.bars for name in names], dtype=bool)
    if alone is None:
        alone, _ = _tried(seam, torch, [_bar_touch(own)], at_home)
    touches = [_bar_touch(others), _plate_touch(sheet, len(near.names)), _bar_touch(own)]
    if shell is not None:
        touches.insert(0, _shell_touch(shell, len(near.names) + len(sheet.names)))
    reached, blocked = _tried(seam, torch, touches, at_home)
    covered = _inside(others, seam.points_mm)
    reached &= ~covered
    return SeamReach(
        seam=seam,
        reached=reached,
        alone=alone,
        covered=covered,
        in_the_way=tuple("" if ok or at < 0 else names[at] for ok, at in zip(reached, blocked, strict=True)),
    )


def _tried(
    seam: WeldSeam, torch: Torch, touches: list[Touches], at_home: NDArray[np.bool_]
) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    """Whether some way to hold the torch is free, and what is met first that is not one of the joint's own bars."""
    count = len(seam.points_mm)
    reached = np.zeros(count, dtype=bool)
    first = np.full(count, -1, dtype=np.int64)
    ways = np.array(ways_to_hold(torch))
    for start, stop in itertools.pairwise((0, *_WAYS_TOGETHER, len(ways))):
        todo = np.flatnonzero(~reached)
        if not len(todo) or start >= len(ways):
            break
        met = _met(seam, torch, ways[start:stop], todo, touches)
        reached[todo] = (met < 0).any(axis=0)
        for row in met:
            unnamed = (first[todo] < 0) | at_home[np.maximum(first[todo], 0)]
            first[todo] = np.where(unnamed & (row >= 0), row, first[todo])
    return reached, first


def _met(
    seam: WeldSeam,
    torch: Torch,
    ways_deg: NDArray[np.float64],
    todo: NDArray[np.int64],
    touches: list[Touches],
) -> NDArray[np.int64]:
    """What a torch held in some ways meets at some points, shape (ways, points).

    -1 where it is free for one turn of its handle.
    """
    at = np.tile(todo, len(ways_deg))
    lean_deg, travel_deg = np.repeat(ways_deg, len(todo), axis=0).T
    poses = hold(
        torch,
        seam.points_mm[at],
        seam.bisectors[at],
        seam.travels[at],
        lean_deg=lean_deg,
        travel_deg=travel_deg,
    )
    nozzle_mm, handle_mm = torch.radii_mm
    met = _first_of(touches, poses.nozzle_from_mm, poses.nozzle_to_mm, nozzle_mm)
    free = np.flatnonzero(met < 0)
    met[free] = _between(seam, at[free], poses.nozzle_from_mm[free], touches)
    if torch.handle_length_mm > 0.0:
        free = np.flatnonzero(met < 0)
        met[free] = _handle_met(poses.nozzle_to_mm[free], poses.handles_to_mm[:, free], handle_mm, touches)
    return met.reshape(len(ways_deg), len(todo))


def _handle_met(
    necks_mm: Points, ends_mm: NDArray[np.float64], radius_mm: float, touches: list[Touches]
) -> NDArray[np.int64]:
    """What the handle meets as it is turned first; -1 where some turn is free."""
    met = _first_of(touches, necks_mm, ends_mm[0], radius_mm)
    held, turns = np.flatnonzero(met >= 0), len(ends_mm) - 1
    if len(held) and turns:
        turned = ends_mm[1:, held].reshape(-1, 3)
        more = _first_of(touches, np.tile(necks_mm[held], (turns, 1)), turned, radius_mm)
        met[held[(more.reshape(turns, len(held)) < 0).any(axis=0)]] = -1
    return met


def _between(
    seam: WeldSeam, todo: NDArray[np.int64], nozzle_mm: Points, touches: list[Touches]
) -> NDArray[np.int64]:
    """What lies between seam and nozzle: where metal is nearer than that, the torch would stand behind it."""
    seen_from = seam.points_mm[todo]
    if seam.kind == "shell":
        # the plate lies on metal that is not quite flat
        seen_from = (seen_from + nozzle_mm) / 2.0
    return _first_of(touches, seen_from, nozzle_mm, _WIRE_MM)


def _first_of(touches: list[Touches], starts: Points, ends: Points, radius_mm: float) -> NDArray[np.int64]:
    met = np.full(len(starts), -1, dtype=np.int64)
    for touch in touches:
        free = np.flatnonzero(met < 0)
        if not len(free):
            break
        met[free] = touch(starts[free], ends[free], radius_mm)
    return met


def _inside(rods: BarRods, points: Points) -> NDArray[np.bool_]:
    if not len(rods.bar_of):
        return np.zeros(len(points), dtype=bool)
    depth = rods_apart_mm(points, points, rods.starts_mm, rods.ends_mm) - rods.radii_mm
    inside: NDArray[np.bool_] = depth.min(axis=1) < -_ROUNDING_MM
    return inside


def _bar_touch(rods: BarRods) -> Touches:
    def touch(starts: Points, ends: Points, radius_mm: float) -> NDArray[np.int64]:
        if not len(rods.bar_of):
            return np.full(len(starts), -1, dtype=np.int64)
        room = rods_apart_mm(starts, ends, rods.starts_mm, rods.ends_mm) - rods.radii_mm - radius_mm
        nearest = np.argmin(room, axis=1)
        least = np.take_along_axis(room, nearest[:, None], axis=1)[:, 0]
        return np.where(least < -_ROUNDING_MM, rods.bar_of[nearest], -1)

    return touch


def _plate_touch(plates: PlateTriangles, first_number: int) -> Touches:
    def touch(starts: Points, ends: Points, radius_mm: float) -> NDArray[np.int64]:
        found = plates_met(plates, starts, ends, radius_mm)
        return np.where(found >= 0, found + first_number, -1)

    return touch


def _shell_touch(shell: Shell, first_number: int) -> Touches:
    of_triangle = shell.prepared.regions.of_triangle

    def touch(starts: Points, ends: Points, radius_mm: float) -> NDArray[np.int64]:
        found = shell.near_rods(starts, ends, reach_mm=radius_mm).triangle
        return np.where(found >= 0, of_triangle[np.maximum(found, 0)].astype(np.int64) + first_number, -1)

    return touch


def _stretches(
    around_deg: NDArray[np.float64], reached: NDArray[np.bool_]
) -> tuple[tuple[float, float], ...]:
    count = len(reached)
    if not count or reached.all():
        return ()
    half = 180.0 / count
    if not reached.any():
        return ((0.0, 360.0),)
    found = []
    for start in np.flatnonzero(~reached & np.roll(reached, 1)):
        length = 1
        while not reached[(start + length) % count]:
            length += 1
        low = float(around_deg[start]) - half
        found.append((low % 360.0, low % 360.0 + length * 2.0 * half))
    return tuple(found)

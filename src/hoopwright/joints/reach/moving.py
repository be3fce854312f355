"""Moving the tacked part of a cage in the car, and whether it meets the shell on the way."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Node, as_node
from hoopwright.geometry import FilletedPath, Points, Vector, rotation_about
from hoopwright.shell.shell import Shell

SEEN_MM = 0.5
"""The least step of a move: a touch that is less than half of this deep may go unseen."""
_SPACING_MM = 3.0
_MOST_STEPS = 2000
_NEAR_MM = 60.0


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where the tacked part stands against its last place.

    Args:
        drop_mm: How far it is let down.
        shift_mm: How far it is slid forward; backward below 0.
        tilt_deg: How far it is tilted about the car's cross axis; its front goes down above 0.
        about_mm: The place that the tilt leaves where it is.
    """

    drop_mm: float = 0.0
    shift_mm: float = 0.0
    tilt_deg: float = 0.0
    about_mm: Node = (0.0, 0.0, 0.0)

    @property
    def is_last(self) -> bool:
        """Whether it is the last place itself."""
        return self.drop_mm == self.shift_mm == self.tilt_deg == 0.0

    def motion(self) -> tuple[NDArray[np.float64], Vector]:
        """Rotation, shape (3, 3), and shift in mm, shape (3,), that take the last place here: rotation @ p + shift."""
        rotation = rotation_about((0.0, 1.0, 0.0), self.tilt_deg)
        about = np.array(self.about_mm)
        return rotation, about - rotation @ about + np.array([self.shift_mm, 0.0, -self.drop_mm])

    def rounded(self) -> "Place":
        """The place to whole millimetres and tenths of a degree, for words."""
        return Place(
            drop_mm=round(self.drop_mm),
            shift_mm=round(self.shift_mm),
            tilt_deg=round(self.tilt_deg, 1),
            about_mm=self.about_mm,
        )

    def part_way(self, share: float, after: "Place") -> "Place":
        """The place at a share of the way from here to another one with the same pivot."""
        return Place(
            drop_mm=self.drop_mm + share * (after.drop_mm - self.drop_mm),
            shift_mm=self.shift_mm + share * (after.shift_mm - self.shift_mm),
            tilt_deg=self.tilt_deg + share * (after.tilt_deg - self.tilt_deg),
            about_mm=after.about_mm,
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class MovedBar:
    """A bar that is moved.

    Args:
        name: The bar.
        path: Its axis in its last place, its legs as short as they are for the move.
        od_mm: Outside diameter.
        not_judged_a_mm: Length at end A that stands on the shell and is not judged.
        not_judged_b_mm: The same at end B.
    """

    name: str
    path: FilletedPath
    od_mm: float
    not_judged_a_mm: float
    not_judged_b_mm: float


@dataclass(frozen=True, kw_only=True)
class Nearest:
    """Where a moved bar comes nearest to the shell.

    Args:
        bar_id: The bar.
        region: The region of the shell.
        gap_mm: Between skin and metal; below 0 it cuts in.
        place_mm: Where the metal is, vehicle frame.
        at: Where the part stands then.
    """

    bar_id: str
    region: str
    gap_mm: float
    place_mm: Node
    at: Place


@dataclass(frozen=True, kw_only=True)
class Move:
    """A move and what was met on the way.

    Args:
        stages: The places that it goes through, the last place of the cage first.
        contact: The first touch, or None.
        nearest: Where it comes nearest, of the whole way or up to the touch; None without a scan.
        went_mm: How far the part goes before it touches, or in all.
    """

    stages: tuple[Place, ...]
    contact: Nearest | None
    nearest: Nearest | None
    went_mm: float

    @property
    def is_free(self) -> bool:
        """Whether nothing is touched."""
        return self.contact is None


def follow_move(shell: Shell | None, bars: Sequence[MovedBar], stages: Sequence[Place]) -> Move:
    """Move bars from stage to stage in straight ways; each step is no longer than the gap allows.

    Conservative advancement: no point goes farther in a step than its own gap, or than `SEEN_MM` where the gap is
    less, so that only a touch less than half of that deep can go unseen.

    Source: B. Mirtich, Impulse-based Dynamic Simulation of Rigid Body Systems (1996), 2.3 (from memory).

    Args:
        shell: The shell; without one nothing can be met.
        bars: What is moved.
        stages: Places, the first the last place of the cage.
    """
    points, radii, owners = _samples(bars)
    if shell is None or not len(points):
        return Move(stages=tuple(stages), contact=None, nearest=None, went_mm=_way_mm(stages))
    least: Nearest | None = None
    went = 0.0
    for before, after in pairwise(stages):
        lengths = _speeds(points, before, after)
        share = 0.0
        for _ in range(_MOST_STEPS):
            here = before.part_way(share, after)
            gaps, now = _gaps(shell, bars, points, radii, owners, here)
            if least is None or now.gap_mm < least.gap_mm:
                least = now
            if now.gap_mm <= 0.0:
                return Move(
                    stages=tuple(stages), contact=now, nearest=least, went_mm=went + share * lengths.max()
                )
            if share >= 1.0:
                break
            step = float((np.maximum(gaps, SEEN_MM) / np.maximum(lengths, 1e-9)).min())
            share = min(1.0, share + step)
        went += float(lengths.max())
    return Move(stages=tuple(stages), contact=None, nearest=least, went_mm=went)


def _samples(bars: Sequence[MovedBar]) -> tuple[Points, Vector, NDArray[np.int64]]:
    points, radii, owners = [], [], []
    for index, bar in enumerate(bars):
        along = bar.path.even_distances(_SPACING_MM)
        judged = (along >= bar.not_judged_a_mm) & (along <= along[-1] - bar.not_judged_b_mm)
        places = bar.path.at(along[judged])
        points.append(places)
        radii.append(np.full(len(places), bar.od_mm / 2.0))
        owners.append(np.full(len(places), index))
    if not points:
        return np.empty((0, 3)), np.empty(0), np.empty(0, dtype=np.int64)
    return np.concatenate(points), np.concatenate(radii), np.concatenate(owners).astype(np.int64)


def _way_mm(stages: Sequence[Place]) -> float:
    return float(sum(np.hypot(b.drop_mm - a.drop_mm, b.shift_mm - a.shift_mm) for a, b in pairwise(stages)))


def _speeds(points: Points, before: Place, after: Place) -> Vector:
    """Length of each point's way from one place to the next: no chord, so a tilt's arc is counted in full."""
    straight = np.hypot(after.drop_mm - before.drop_mm, after.shift_mm - before.shift_mm)
    arm = np.linalg.norm((points - np.array(after.about_mm))[:, [0, 2]], axis=1)
    speeds: Vector = straight + arm * np.radians(abs(after.tilt_deg - before.tilt_deg))
    return speeds


def _gaps(
    shell: Shell,
    bars: Sequence[MovedBar],
    points: Points,
    radii: Vector,
    owners: NDArray[np.int64],
    here: Place,
) -> tuple[Vector, Nearest]:
    rotation, shift = here.motion()
    reach = float(radii.max()) + _NEAR_MM
    found = shell.nearest(points @ rotation.T + shift, reach_mm=reach)
    gaps = np.minimum(found.distance_mm, reach) - radii
    worst = int(np.argmin(gaps))
    triangle = int(found.triangle[worst])
    seen = triangle >= 0
    at = found.place_mm[worst] if seen else points[worst] @ rotation.T + shift
    return gaps, Nearest(
        bar_id=bars[int(owners[worst])].name,
        region=shell.region_names[int(shell.prepared.regions.of_triangle[triangle])] if seen else "",
        gap_mm=float(gaps[worst]),
        place_mm=as_node(at),
        at=here,
    )

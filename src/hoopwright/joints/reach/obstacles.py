"""What stands in a torch's way: bars as rows of rounded rods, held against rods in closed form.

Source of the distance between two pieces of line: C. Ericson, Real-Time Collision Detection (2005), 5.1.9.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Arc, Points, Vector

_ARC_STEP_DEG = 5.0


@dataclass(frozen=True, eq=False, kw_only=True)
class BarRods:
    """Bars as straight rods of their own radius; an arc is cut into rods that leave it by less than 0.2 mm.

    Args:
        names: The bars.
        bar_of: Which bar each rod is of, shape (m,).
        starts_mm: Shape (m, 3).
        ends_mm: Shape (m, 3).
        radii_mm: Shape (m,).
    """

    names: tuple[str, ...]
    bar_of: NDArray[np.int64]
    starts_mm: Points
    ends_mm: Points
    radii_mm: Vector

    def moved(self, rotation: NDArray[np.float64], shift_mm: Vector) -> "BarRods":
        """The rods after a rigid motion, shapes (3, 3) and (3,): rotation @ p + shift."""
        return BarRods(
            names=self.names,
            bar_of=self.bar_of,
            starts_mm=self.starts_mm @ rotation.T + shift_mm,
            ends_mm=self.ends_mm @ rotation.T + shift_mm,
            radii_mm=self.radii_mm,
        )

    def of(self, bars: frozenset[str]) -> "BarRods":
        """The rods of some bars only."""
        keep = np.array([self.names[bar] in bars for bar in self.bar_of], dtype=bool)
        return self._kept(keep)

    def near(self, middle_mm: Vector, reach_mm: float) -> "BarRods":
        """The rods that come within a reach of a place."""
        at = np.asarray(middle_mm, dtype=np.float64)[None]
        if not len(self.bar_of):
            return self
        apart = rods_apart_mm(at, at, self.starts_mm, self.ends_mm)[0]
        return self._kept(apart <= reach_mm + self.radii_mm)

    def _kept(self, keep: NDArray[np.bool_]) -> "BarRods":
        return BarRods(
            names=self.names,
            bar_of=self.bar_of[keep],
            starts_mm=self.starts_mm[keep],
            ends_mm=self.ends_mm[keep],
            radii_mm=self.radii_mm[keep],
        )


def rods_of(bars: dict[str, Bar]) -> BarRods:
    """Bars as rods.

    Raises:
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    number, starts, ends, radii = [], [], [], []
    for index, bar in enumerate(bars.values()):
        for piece in centreline(bar).pieces:
            steps = math.ceil(piece.angle_deg / _ARC_STEP_DEG) if isinstance(piece, Arc) else 1
            if piece.length_mm <= 0.0:
                continue
            places = piece.at(np.linspace(0.0, piece.length_mm, max(1, steps) + 1))
            starts.append(places[:-1])
            ends.append(places[1:])
            number += [index] * (len(places) - 1)
            radii += [bar.tube.od_mm / 2.0] * (len(places) - 1)
    return BarRods(
        names=tuple(bars),
        bar_of=np.array(number, dtype=np.int64),
        starts_mm=np.concatenate(starts) if starts else np.empty((0, 3)),
        ends_mm=np.concatenate(ends) if ends else np.empty((0, 3)),
        radii_mm=np.array(radii),
    )


def rods_apart_mm(a: Points, b: Points, p: Points, q: Points) -> NDArray[np.float64]:
    """Distance between each piece a b, shape (n, 3), and each piece p q, shape (m, 3); shape (n, m)."""
    d, e = b - a, q - p
    dd, ee = (d**2).sum(axis=1)[:, None], (e**2).sum(axis=1)[None]
    r = a[:, None] - p[None]
    c, f = np.einsum("nmk,nk->nm", r, d), np.einsum("nmk,mk->nm", r, e)
    m = d @ e.T
    whole = dd * ee - m * m
    safe_dd, safe_ee = np.where(dd > 0.0, dd, 1.0), np.where(ee > 0.0, ee, 1.0)
    s = np.where(
        whole > 1e-12 * dd * ee, np.clip((m * f - c * ee) / np.where(whole > 0.0, whole, 1.0), 0.0, 1.0), 0.0
    )
    t = np.where(ee > 0.0, (m * s + f) / safe_ee, 0.0)
    t_held = np.clip(t, 0.0, 1.0)
    s = np.where(dd > 0.0, np.clip((m * t_held - c) / safe_dd, 0.0, 1.0), 0.0)
    gap = r + s[..., None] * d[:, None] - t_held[..., None] * e[None]
    apart: NDArray[np.float64] = np.sqrt((gap**2).sum(axis=2))
    return apart

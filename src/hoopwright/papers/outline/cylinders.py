"""Tubes as chains of short cylinders, which a line of sight is held against."""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Arc, FilletedPath, Points, Vector
from hoopwright.papers.outline.curves import SolidTube

_ARC_STEP_DEG = 6.0
"""Chords of 6° leave the arc of a usual radius, 140 mm, by 0.2 mm: less than `hiding.SKIN_MM`."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Cylinders:
    """All tubes of a drawing as cylinders with flat ends.

    Args:
        starts_mm: Middle of the first end of each, shape (m, 3).
        axes: Unit directions, shape (m, 3).
        lengths_mm: Shape (m,).
        radii_mm: Shape (m,).
        tubes: Which tube each belongs to, shape (m,).
        saws: Two planes that each is sawn in, shape (m, 2, 4): normal into the tube and offset; zeros where it is not.
    """

    starts_mm: Points
    axes: Points
    lengths_mm: Vector
    radii_mm: Vector
    tubes: NDArray[np.intp]
    saws: NDArray[np.float64]

    def boxes_mm(self, across: Vector, upward: Vector) -> Points:
        """What each covers in a view: least right, least up, greatest right, greatest up; shape (m, 4)."""
        ends = np.stack([self.starts_mm, self.starts_mm + self.axes * self.lengths_mm[:, None]])
        flat = np.stack([ends @ across, ends @ upward], axis=-1)
        return np.concatenate(
            [flat.min(axis=0) - self.radii_mm[:, None], flat.max(axis=0) + self.radii_mm[:, None]], axis=1
        )


def cylinders_of(tubes: Sequence[SolidTube]) -> Cylinders:
    """The tubes as cylinders: straights as they are, arcs in steps that overlap on the outside of the bend."""
    starts, axes, lengths, radii, which, saws = [], [], [], [], [], []
    for number, tube in enumerate(tubes):
        pieces = list(_pieces(tube.path, tube.od_mm / 2.0))
        for place, (start, axis, length) in enumerate(pieces):
            saws.append(_saws(tube, is_first=place == 0, is_last=place == len(pieces) - 1))
            starts.append(start)
            axes.append(axis)
            lengths.append(length)
            radii.append(tube.od_mm / 2.0)
            which.append(number)
    return Cylinders(
        starts_mm=np.array(starts, dtype=np.float64).reshape(-1, 3),
        axes=np.array(axes, dtype=np.float64).reshape(-1, 3),
        lengths_mm=np.array(lengths, dtype=np.float64),
        radii_mm=np.array(radii, dtype=np.float64),
        tubes=np.array(which, dtype=np.intp),
        saws=np.array(saws, dtype=np.float64).reshape(-1, 2, 4),
    )


def _saws(tube: SolidTube, *, is_first: bool, is_last: bool) -> NDArray[np.float64]:
    """The planes in which the first and the last cylinder of a tube are sawn, shape (2, 4)."""
    planes = np.zeros((2, 4))
    for place, (saw, ends) in enumerate(((tube.saw_a, is_first), (tube.saw_b, is_last))):
        if saw is not None and ends:
            planes[place] = (*saw.normal, saw.offset_mm)
    return planes


def _pieces(path: FilletedPath, radius_mm: float) -> Iterator[tuple[Vector, Vector, float]]:
    """Start, direction and length of each cylinder of a tube."""
    for piece in path.pieces:
        if not isinstance(piece, Arc):
            if piece.length_mm > 0.0:
                yield piece.start_mm, piece.direction, piece.length_mm
            continue
        steps = max(1, math.ceil(piece.angle_deg / _ARC_STEP_DEG))
        along = np.linspace(0.0, piece.length_mm, steps + 1)
        places = piece.at(along)
        # two cylinders that meet at an angle gape on the outside by this much
        gape = radius_mm * math.tan(math.radians(piece.angle_deg / steps) / 2.0)
        for first, last in itertools.pairwise(places):
            chord = last - first
            length = float(np.linalg.norm(chord))
            axis = chord / length
            yield first - axis * gape, axis, length + 2.0 * gape

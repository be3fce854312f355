"""The outline of what stays of a wrap: for a machine that cuts paper, vinyl or thin sheet."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points
from hoopwright.papers.wrap_shape import WrapShape

_SAME_MM = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class Edge:
    """Part of the outline of what stays.

    Args:
        points_mm: Shape (n, 2); an outline that is `closed` goes on from the last to the first.
        is_cut: False over a stretch that no header cuts.
        closed: Whether it is the whole outline.
    """

    points_mm: Points
    is_cut: bool
    closed: bool


def kept_edges(shape: WrapShape) -> tuple[Edge, ...]:
    """Outline of what stays, its overlap included, counterclockwise.

    One closed edge; open ones where a bridge goes over a stretch that is not cut. Without a bridge the outline goes
    up to the upper edge there.
    """
    over = _over(shape)
    left, right = over[0][1][0], over[-1][1][-1]
    low, wide = shape.lower_mm, shape.width_mm
    base = np.array([left, (0.0, low), (wide, low), right])
    runs: list[tuple[bool, list[Points]]] = [(True, [base])]
    for is_cut, points in over[::-1]:
        if runs[-1][0] == is_cut:
            runs[-1][1].append(points[::-1])
        else:
            runs.append((is_cut, [points[::-1]]))
    if len(runs) == 1:
        return (Edge(points_mm=_thinned(runs[0][1], closed=True), is_cut=True, closed=True),)
    if runs[-1][0]:
        runs[0] = (True, [*runs.pop()[1], *runs[0][1]])
    return tuple(
        Edge(points_mm=_thinned(parts, closed=False), is_cut=is_cut, closed=False) for is_cut, parts in runs
    )


def _over(shape: WrapShape) -> list[tuple[bool, Points]]:
    """What bounds the paper that stays from above, from left to right; whether each part is cut."""
    top = shape.upper_mm
    pieces = [(True, piece) for piece in (*shape.cuts, *shape.tab_cuts)]
    pieces += [(False, piece) for piece in (*shape.bridges, *shape.tab_bridges)]
    found: list[tuple[bool, Points]] = []
    at = 0.0
    for is_cut, piece in sorted(pieces, key=lambda one: float(one[1][0, 0])):
        start = float(piece[0, 0])
        if start > at + _SAME_MM:
            found.append((True, np.array([(at, top), (start, top)])))
        found.append((is_cut, piece))
        at = float(piece[-1, 0])
    if at < shape.width_mm - _SAME_MM:
        found.append((True, np.array([(at, top), (shape.width_mm, top)])))
    return found


def _thinned(parts: Sequence[Points], *, closed: bool) -> Points:
    """Points one after the other, without those that lie on the one before."""
    points = np.vstack(parts)
    before = np.vstack([points[-1:] if closed else np.full((1, 2), np.inf), points[:-1]])
    thinned: Points = points[np.linalg.norm(points - before, axis=1) > _SAME_MM]
    return thinned

"""The shell's section lines as the thin dashed background of a picture."""

import math
from collections.abc import Iterable

from hoopwright.geometry import Points
from hoopwright.papers.drawing import FINEST_LINE_MM, Items, Point, Polyline
from hoopwright.papers.views import Fit

DASH_MM = (1.2, 0.8)
_CLOSER_IS_ONE_MM = 0.35


def shell_lines(shell: Iterable[Points], fit: Fit) -> Items:
    """The lines on the paper, without points that no printer could tell apart."""
    thinned = (_thinned(fit.points(points)) for points in shell)
    return tuple(
        Polyline(points_mm=points, width_mm=FINEST_LINE_MM, dash_mm=DASH_MM)
        for points in thinned
        if len(points) > 1
    )


def _thinned(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """The first and last point, and between them those that lie apart from the one kept before."""
    kept = list(points[:1])
    for point in points[1:-1]:
        if math.dist(point, kept[-1]) >= _CLOSER_IS_ONE_MM:
            kept.append(point)
    return (*kept, *points[-1:]) if len(points) > 1 else ()

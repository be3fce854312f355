"""A cope as the lines that it leaves on the outside and the inside of a tube, cut straight between them."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from hoopwright.geometry import FilletedPath, Points, Vector
from hoopwright.papers.kernel import ring_solid

_BESIDE_MM = 1.0
_PAST_TIP_MM = 1.0


@dataclass(frozen=True, kw_only=True, eq=False)
class CutLine:
    """Where an end is cut, in even steps round the tube.

    Args:
        side: Unit direction from the axis to the first generator, shape (3,).
        sideways: To the one a quarter of the way round, shape (3,).
        outside_mm: Along the outside, from the drawn end inward, shape (n,).
        inside_mm: Along the inside, shape (n,).
    """

    side: Vector
    sideways: Vector
    outside_mm: Vector
    inside_mm: Vector

    @property
    def beyond_mm(self) -> float:
        """From the drawn end outward to where the tube is drawn, past the longest point."""
        return _PAST_TIP_MM - float(min(self.outside_mm.min(), self.inside_mm.min()))

    @property
    def depth_mm(self) -> float:
        """Along the tube over all of the cut."""
        return self.beyond_mm + float(max(self.outside_mm.max(), self.inside_mm.max()))


def beyond_line(line: CutLine, axis: FilletedPath, end: str, radii_mm: tuple[float, float]) -> Any:
    """The solid of all that lies beyond a cut, over the wall and a little to both sides of it.

    Args:
        line: The cut.
        axis: Of the bar, up to its drawn ends.
        end: Which of them.
        radii_mm: Inside and outside radius of the tube.

    Raises:
        ValueError: Where the kernel makes no solid of it.
    """
    at = 0.0 if end == "A" else axis.length_mm
    place = axis.at(at)[0]
    inward = axis.directions_at(at)[0] * (1.0 if end == "A" else -1.0)
    inside, outside = radii_mm
    slope = (line.outside_mm - line.inside_mm) / (outside - inside)
    low, high = max(inside - _BESIDE_MM, inside / 2.0), outside + _BESIDE_MM
    far = np.full(len(slope), -line.beyond_mm - _PAST_TIP_MM)
    turns_rad = np.linspace(0.0, 2.0 * np.pi, len(slope), endpoint=False)[:, None]
    sides = np.cos(turns_rad) * line.side + np.sin(turns_rad) * line.sideways

    def ring(radius: float, along: Vector) -> Points:
        points: Points = place + radius * sides + np.outer(along, inward)
        return points

    return ring_solid(
        [
            ring(low, line.inside_mm + slope * (low - inside)),
            ring(high, line.outside_mm + slope * (high - outside)),
            ring(high, far),
            ring(low, far),
        ]
    )

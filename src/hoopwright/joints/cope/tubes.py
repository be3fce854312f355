"""The tubes of a joint: headers that run through, and the branch that is cut to them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hoopwright.geometry import FilletedPath, Line, Vector, cross, unit_vector

_ENDLESS_MM = 1e5


@dataclass(frozen=True, kw_only=True)
class OvalBend:
    """A bend's section as it was measured in the middle of the bend.

    Args:
        in_plane_mm: Outside diameter in the plane of the bend, mostly the smaller one.
        across_mm: Outside diameter square to that plane.
    """

    in_plane_mm: float
    across_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Header:
    """A tube that runs through a joint.

    Its section is round on the straights. In a bend that was measured it is an ellipse about the centreline, with
    its axes in the plane of the bend and square to it; it grows from round at both tangent points, over one outside
    diameter of arc, or a quarter of the arc where that is shorter (our assumption: no source gives the run-in).

    Args:
        name: What it is called in findings.
        path: Its whole centreline.
        od_mm: Outside diameter.
        oval_bends: One for each bend in order, None where it was not measured; empty where none was.
        is_endless: Whether its end straights go on beyond its ends. False for a bar that itself ends at the joint,
            inside another header.
    """

    name: str
    path: FilletedPath
    od_mm: float
    oval_bends: tuple[OvalBend | None, ...] = ()
    is_endless: bool = True

    def oval_of(self, bend_index: int) -> OvalBend | None:
        """The measured section of a bend, counted from 0 along the path."""
        return self.oval_bends[bend_index] if bend_index < len(self.oval_bends) else None


def straight_header(
    *, name: str = "the header", through_mm: ArrayLike, direction: ArrayLike, od_mm: float
) -> Header:
    """An endless straight header.

    Args:
        name: What it is called in findings.
        through_mm: A point on its axis, shape (3,).
        direction: Of its axis, shape (3,).
        od_mm: Outside diameter.
    """
    along = unit_vector(direction)
    start = np.asarray(through_mm, dtype=np.float64) - _ENDLESS_MM * along
    return Header(name=name, path=FilletedPath((Line(start, along, 2.0 * _ENDLESS_MM),)), od_mm=od_mm)


@dataclass(frozen=True, kw_only=True, eq=False)
class Branch:
    """The end of a tube that is cut to headers.

    Args:
        origin_mm: A point on its axis at the joint, from which lengths along it count; shape (3,).
        direction: Unit direction of its axis, from the headers into the branch, shape (3,).
        datum: Unit direction square to it: the side on which the datum line lies, shape (3,).
        od_mm: Outside diameter.
        wall_mm: Wall thickness; None where only the outside counts.
        name: What it is called in findings.
    """

    origin_mm: Vector
    direction: Vector
    datum: Vector
    od_mm: float
    wall_mm: float | None = None
    name: str = "the branch"

    @property
    def sideways(self) -> Vector:
        """Unit direction of the side at 90° from the datum line, right-hand rule about `direction`."""
        return cross(self.direction, self.datum)

    def sides(self, around_deg: ArrayLike) -> Vector:
        """Unit directions from the axis to generators, shape (n, 3), for angles from the datum line."""
        around_rad = np.radians(np.asarray(around_deg, dtype=np.float64))
        cosines, sines = np.cos(around_rad)[..., None], np.sin(around_rad)[..., None]
        sides: Vector = cosines * self.datum + sines * self.sideways
        return sides

    def skin_mm(self, around_deg: ArrayLike, along_mm: ArrayLike) -> Vector:
        """Points of the outside skin, shape (n, 3)."""
        along = np.multiply.outer(np.asarray(along_mm, dtype=np.float64), self.direction)
        points: Vector = self.origin_mm + along + self.od_mm / 2.0 * self.sides(around_deg)
        return points

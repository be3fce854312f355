"""Solids about a bender, in the machine frame: boxes, upright cylinders and rails."""

import math
from dataclasses import dataclass
from typing import Literal

Place = tuple[float, float, float]
SolidKind = Literal["box", "post", "rail"]
Standing = Literal["room", "head", "frame", "operator"]
"""What a solid belongs to: the room; the bender's head, which tilts with the bend plane; its frame, which does not;
the operator."""
BENDERS_OWN: tuple[Standing, ...] = ("head", "frame")

_FARTHEST_MM = 100_000.0


@dataclass(frozen=True, kw_only=True)
class Solid:
    """One convex solid.

    Args:
        name: What it is called in the shop.
        kind: `box`, `post` (a cylinder whose axis is upright, or along the die's axis on the head) or `rail`
            (all places within a radius of a straight piece).
        stands: What it belongs to.
        middle_mm: Middle of a box or post: ahead, left, up; start of a rail.
        size_mm: Length along, width across and height of a box; diameter, diameter and height of a post; end
            of a rail as ahead, left, up.
        radius_mm: Radius of a rail; nothing to the others.
        turned_deg: How far a box is turned about the upright, anticlockwise seen from above.
    """

    name: str
    kind: SolidKind
    stands: Standing
    middle_mm: Place
    size_mm: Place
    radius_mm: float = 0.0
    turned_deg: float = 0.0

    def faults(self) -> tuple[str, ...]:
        """What cannot be about its numbers, in words; empty where all is well."""
        numbers = (*self.middle_mm, *self.size_mm, self.radius_mm, self.turned_deg)
        if not all(math.isfinite(number) and abs(number) <= _FARTHEST_MM for number in numbers):
            return (f"{self.name}: a number is not finite or over 100 m",)
        if self.kind == "rail":
            return () if self.radius_mm > 0.0 else (f"{self.name}: a radius of {self.radius_mm:g} mm",)
        if min(self.size_mm) <= 0.0:
            sizes = " x ".join(f"{size:g}" for size in self.size_mm)
            return (f"{self.name}: a size of {sizes} mm",)
        return ()


def box(name: str, stands: Standing, middle_mm: Place, size_mm: Place, *, turned_deg: float = 0.0) -> Solid:
    """A box by its middle and its length, width and height."""
    return Solid(
        name=name, kind="box", stands=stands, middle_mm=middle_mm, size_mm=size_mm, turned_deg=turned_deg
    )


def post(name: str, stands: Standing, middle_mm: Place, *, diameter_mm: float, height_mm: float) -> Solid:
    """An upright cylinder by its middle."""
    size = (diameter_mm, diameter_mm, height_mm)
    return Solid(name=name, kind="post", stands=stands, middle_mm=middle_mm, size_mm=size)


def rail(name: str, stands: Standing, start_mm: Place, end_mm: Place, *, radius_mm: float) -> Solid:
    """All places within a radius of a straight piece: a pipe, a beam, a handle."""
    return Solid(
        name=name, kind="rail", stands=stands, middle_mm=start_mm, size_mm=end_mm, radius_mm=radius_mm
    )

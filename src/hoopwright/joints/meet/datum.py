"""The one line along a tube from which both of its copes are clocked."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.cage import EndLetter
from hoopwright.geometry import (
    Arc,
    FilletedPath,
    Vector,
    rotation_about,
    signed_angle_about_deg,
    unit_vector,
)

PLANE_IS_NOISE_DEG = 1.0
"""A bend under this has no outside that can be marked; the same limit as `BAR-005`."""


@dataclass(frozen=True, kw_only=True, eq=False)
class BendSide:
    """Where round the tube the outside of a bend lies.

    Args:
        bend: Number of the bend, from end A.
        outside_deg: From the datum line, right-hand rule about the travel from A to B, in (-180, 180].
    """

    bend: int
    outside_deg: float


@dataclass(frozen=True, kw_only=True, eq=False)
class TubeDatum:
    """A line along the tube, drawn on it while it is straight; bending does not twist it.

    Args:
        words: What the line is, for the person who marks the tube.
        side_a: From the axis to the line at end A, a unit direction square to the tube; vehicle frame.
        side_b: The same at end B.
        travel_a: Direction of travel at end A.
        travel_b: The same at end B.
        bends: Where the outside of each bend lies, for bends whose plane can be told.
    """

    words: str
    side_a: Vector
    side_b: Vector
    travel_a: Vector
    travel_b: Vector
    bends: tuple[BendSide, ...]

    def side(self, end: EndLetter) -> Vector:
        """From the axis to the datum line at an end."""
        return self.side_a if end == "A" else self.side_b

    def travel(self, end: EndLetter) -> Vector:
        """Direction of travel at an end."""
        return self.travel_a if end == "A" else self.travel_b

    def around_deg(self, end: EndLetter, direction: Vector) -> float:
        """Where round the tube at an end a direction points: from the datum line, in (-180, 180]."""
        travel = self.travel(end)
        return signed_angle_about_deg(travel, self.side(end), direction - travel * float(direction @ travel))


def bend_datum(bar: Bar) -> TubeDatum | None:
    """The line on the outside of the first bend whose plane can be told; None for a bar without one."""
    path = centreline(bar)
    for number, arc in _bends(path):
        if arc.angle_deg >= PLANE_IS_NOISE_DEG:
            back = _carried_back(path, arc)
            words = f"the outside of bend {number}, drawn straight along the whole tube before it is bent"
            return datum_along(bar, back, words)
    return None


def datum_along(bar: Bar, side_a: Vector, words: str) -> TubeDatum:
    """The datum line that starts on a given side at end A.

    Args:
        bar: The bar.
        side_a: A direction to that side; what it has along the tube is left out.
        words: What the line is.

    Raises:
        ValueError: Where the direction lies along the tube.
    """
    path = centreline(bar)
    travel = path.pieces[0].direction
    side = unit_vector(side_a - travel * float(side_a @ travel))
    start, bends = side, []
    numbers = {id(arc): number for number, arc in _bends(path)}
    for piece in path.pieces:
        if isinstance(piece, Arc):
            if piece.angle_deg >= PLANE_IS_NOISE_DEG:
                turn = signed_angle_about_deg(piece.direction, side, piece.outward)
                bends.append(BendSide(bend=numbers[id(piece)], outside_deg=turn))
            side = _turn(piece) @ side
    return TubeDatum(
        words=words,
        side_a=start,
        side_b=side,
        travel_a=travel,
        travel_b=path.pieces[-1].direction_at(np.array([path.pieces[-1].length_mm]))[0],
        bends=tuple(bends),
    )


def _bends(path: FilletedPath) -> list[tuple[int, Arc]]:
    """Arcs with the number of their bend; a corner that is straight through counts and has no arc."""
    found, bend = [], 0
    for before, piece in zip((None, *path.pieces), path.pieces, strict=False):
        if isinstance(piece, Arc):
            bend += 1
            found.append((bend, piece))
        elif before is not None and not isinstance(before, Arc):
            bend += 1
    return found


def _carried_back(path: FilletedPath, arc: Arc) -> Vector:
    """The outside of an arc as the side of the tube that it is at end A."""
    side = arc.outward
    before = path.pieces[: next(k for k, piece in enumerate(path.pieces) if piece is arc)]
    for piece in reversed(before):
        if isinstance(piece, Arc):
            side = _turn(piece).T @ side
    return side


def _turn(arc: Arc) -> Vector:
    return rotation_about(np.cross(arc.outward, arc.direction), arc.angle_deg)

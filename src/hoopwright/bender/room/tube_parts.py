"""The tube at one bend, as short straight pieces in the frame of the bender's head.

Head frame: the machine frame, tilted with the bend plane: the tube is fed along +x, the die's axis is z, the
bend plane is z = 0. When the leading end swings clockwise the feed line is at y = +radius, else at y = -radius,
so that the tube touches the die's circle at x = 0 either way.

Walking from the die along the leading side, and along the tail, is the same walk: a travel, a normal of the
bend plane, straights and bends. Walked against the travel the normal is the other way round and rotations keep
their sign (as a bend table read from the other end does), so one function lays both sides.
"""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import BendTable
from hoopwright.bender.machine import Swing
from hoopwright.bender.order import Feed
from hoopwright.geometry import STRAIGHT_THROUGH_DEG, Arc, Line, Points, Vector, rotation_about, unit_vector

ARC_STEP_DEG = 4.0
_LONGEST_PIECE_MM = 400.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Side:
    """The leading side or the tail, piece by piece away from the die.

    Args:
        starts_mm: Start of each piece, shape (n, 3).
        ends_mm: End of each piece, shape (n, 3).
        parts: Which part of the bar each piece belongs to, counted from end A: 0 is straight 1, 1 bend 1, 2 straight 2
            and so on; shape (n,).
        beyond: Whether each piece lies beyond the first finished bend on this side, that bend included; shape (n,).
        curved: Whether each piece is a chord of a finished bend, shape (n,).
        first_straight_mm: Straight between the die and the first finished bend or the end of the tube.
    """

    starts_mm: Points
    ends_mm: Points
    parts: NDArray[np.int64]
    beyond: NDArray[np.bool_]
    curved: NDArray[np.bool_]
    first_straight_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class LaidTube:
    """The tube in the die, ready for one bend.

    Args:
        lead: What swings with the die, as it lies before the bend.
        tail: What is behind the die, as it lies after the bend; before it, it lies `drawn_mm` farther back.
        drawn_mm: How far the tail is drawn forward during the bend.
        clr_mm: Radius on which the tube is drawn.
        sense: +1 when the leading end swings anticlockwise about the die's axis, -1 for clockwise.
    """

    lead: Side
    tail: Side
    drawn_mm: float
    clr_mm: float
    sense: int


def lay_tube(
    table: BendTable, feed: Feed, made: Collection[int], *, swings: Swing, swing_deg: float | None = None
) -> LaidTube:
    """The tube in the die before a bend, some bends made.

    Args:
        table: Straights with trims, rotations, angles and radius, from end A.
        feed: The bend to be made, and the end that leads.
        made: Bends that are finished.
        swings: Which way the leading end swings.
        swing_deg: How far the bend is drawn; the finished angle without.
    """
    count, index, to_b = len(table.angles_deg), feed.bend - 1, feed.fed_from == "B"
    sense = -1 if swings == "clockwise" else 1
    normal, place = np.array([0.0, 0.0, sense]), np.array([0.0, -sense * table.clr_mm, 0.0])
    travel = np.array([1.0, 0.0, 0.0])
    towards_b, towards_a = range(index, count), range(index, -1, -1)
    lead, tail = (towards_b, towards_a) if to_b else (towards_a, towards_b)
    return LaidTube(
        lead=_side(table, made, lead, _Walker(place, travel, normal), to_b=to_b),
        tail=_side(table, made, tail, _Walker(place, -travel, -normal), to_b=not to_b),
        drawn_mm=table.clr_mm * math.radians(table.angles_deg[index] if swing_deg is None else swing_deg),
        clr_mm=table.clr_mm,
        sense=sense,
    )


def _side(
    table: BendTable, made: Collection[int], walk: Sequence[int], walker: "_Walker", *, to_b: bool
) -> Side:
    """From the die through the bends of `walk` (from 0, the one at the die first) to the end of the tube."""
    for step, here in enumerate(walk):
        if step:
            walker.turn(table.rotations_deg[here if to_b else here + 1])
            if here + 1 in made:
                walker.bend(table.angles_deg[here], table.clr_mm, 2 * here + 1)
            else:
                walker.straight(table.arcs_mm[here], 2 * here + 1)
        straight = here + 1 if to_b else here
        walker.straight(table.straights_mm[straight], 2 * straight)
    return walker.side()


class _Walker:
    """Lays pieces one after the other."""

    def __init__(self, place: Vector, travel: Vector, normal: Vector) -> None:
        self._place, self._travel, self._normal = place, travel, normal
        self._places: list[Points] = [place[None]]
        self._parts: list[int] = []
        self._beyond: list[bool] = []
        self._curved: list[bool] = []
        self._first_straight_mm, self._bent = 0.0, False

    def turn(self, rotation_deg: float) -> None:
        """Turn the bend plane about the travel."""
        self._normal = rotation_about(self._travel, rotation_deg) @ self._normal

    def straight(self, length_mm: float, part: int) -> None:
        """Lay straight tube."""
        if length_mm <= 0.0:
            return
        if not self._bent:
            self._first_straight_mm += length_mm
        count = math.ceil(length_mm / _LONGEST_PIECE_MM)
        line = Line(self._place, self._travel, length_mm)
        self._lay(line.at(np.linspace(0.0, length_mm, count + 1)[1:]), part)

    def bend(self, angle_deg: float, clr_mm: float, part: int) -> None:
        """Lay a finished bend; one without an angle is nothing."""
        if angle_deg < STRAIGHT_THROUGH_DEG:
            return
        self._bent = True
        toward_centre = np.cross(self._normal, self._travel)
        centre = self._place + clr_mm * toward_centre
        arc = Arc(centre, -toward_centre, self._travel, clr_mm, angle_deg)
        count = max(1, math.ceil(angle_deg / ARC_STEP_DEG))
        self._lay(arc.at(np.linspace(0.0, arc.length_mm, count + 1)[1:]), part, curved=True)
        self._travel = unit_vector(arc.direction_at(np.array([arc.length_mm]))[0])

    def side(self) -> Side:
        """What was laid."""
        places = np.concatenate(self._places)
        return Side(
            starts_mm=places[:-1],
            ends_mm=places[1:],
            parts=np.array(self._parts, dtype=np.int64),
            beyond=np.array(self._beyond, dtype=np.bool_),
            curved=np.array(self._curved, dtype=np.bool_),
            first_straight_mm=self._first_straight_mm,
        )

    def _lay(self, places: Points, part: int, *, curved: bool = False) -> None:
        self._places.append(places)
        self._parts += [part] * len(places)
        self._beyond += [self._bent] * len(places)
        self._curved += [curved] * len(places)
        self._place = places[-1]

"""The corner between two bars that a gusset fills: its frame, its angle, and how much straight tube each leg has."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, Node, as_node, centreline
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Line, Points, Vector, unit_vector

LEAST_ANGLE_DEG, MOST_ANGLE_DEG = 20.0, 150.0
"""Below, the weld of the joint fills the corner; above, a gusset stiffens nothing: common practice, no source."""
_NEAR_MM = 250.0
_APART_SHARE = 0.5


@dataclass(frozen=True, kw_only=True, eq=False)
class Corner:
    """A corner in a frame of its own: x along the first bar away from the corner, y toward the second, z across.

    The sheet lies at z = 0, halfway between the two axes where these miss each other.

    Args:
        origin_mm: Where both axes cross, seen along z; vehicle frame; shape (3,).
        axes: Unit directions of x, y and z as rows; shape (3, 3).
        angle_deg: Between the two legs.
        apart_mm: By which the axes miss each other, along z.
        radius_a_mm: Outside radius of the first tube.
        radius_b_mm: Of the second.
        room_a_mm: From the corner of the skins to the end of the first bar's straight.
        room_b_mm: Likewise on the second.
    """

    origin_mm: Vector
    axes: Points
    angle_deg: float
    apart_mm: float
    radius_a_mm: float
    radius_b_mm: float
    room_a_mm: float
    room_b_mm: float

    def off_a_mm(self, across_mm: Vector) -> Vector:
        """Distance in the sheet's plane from the first axis to its skin, at heights across the sheet."""
        return np.sqrt(np.maximum(self.radius_a_mm**2 - (across_mm + self.apart_mm / 2.0) ** 2, 0.0))

    def off_b_mm(self, across_mm: Vector) -> Vector:
        """The same on the second bar."""
        return np.sqrt(np.maximum(self.radius_b_mm**2 - (across_mm - self.apart_mm / 2.0) ** 2, 0.0))

    @property
    def leg_b(self) -> Vector:
        """Unit direction of the second leg in the sheet's plane, shape (2,)."""
        turn_rad = math.radians(self.angle_deg)
        return np.array([math.cos(turn_rad), math.sin(turn_rad)])

    @property
    def point_mm(self) -> Vector:
        """Where the skins meet in the sheet's plane, shape (2,)."""
        zero = np.zeros(1)
        return self.meeting_mm(float(self.off_a_mm(zero)[0]), float(self.off_b_mm(zero)[0]))

    def meeting_mm(self, off_a_mm: float, off_b_mm: float) -> Vector:
        """Where lines at these distances from the two axes meet, shape (2,)."""
        turn_rad = math.radians(self.angle_deg)
        along = (off_b_mm + off_a_mm * math.cos(turn_rad)) / math.sin(turn_rad)
        return np.array([along, off_a_mm])

    def to_vehicle(self, points_mm: Points) -> Points:
        """Points of this frame, shape (n, 3), in the vehicle frame."""
        placed: Points = self.origin_mm + points_mm @ self.axes
        return placed


def find_corner(first: Bar, second: Bar, place_mm: Node) -> Corner:
    """The corner between two bars that lies round a place.

    Args:
        first: One bar.
        second: The other.
        place_mm: Inside the corner, vehicle frame: it says which of the corners is meant.

    Raises:
        UserError: `GUSSET-002` where the bars make no corner there, `GUSSET-003` where the place does not say which.
    """
    place = np.array(place_mm)
    line_a, line_b = _straight(first, place), _straight(second, place)
    across = np.cross(line_a.direction, line_b.direction)
    slant = float(np.linalg.norm(across))
    if slant < math.sin(math.radians(LEAST_ANGLE_DEG)) / 2.0:
        raise _no_corner(first, second, "their straights are nearly parallel", None, None, "deg")
    at_a, at_b = _feet(line_a, line_b)
    middle = (line_a.at(np.array([at_a]))[0] + line_b.at(np.array([at_b]))[0]) / 2.0
    far = float(np.linalg.norm(middle - place))
    if far > _NEAR_MM:
        why = f"the straights nearest to the place cross {far:.0f} mm from it (limit {_NEAR_MM:g} mm)"
        raise _no_corner(first, second, why, far, _NEAR_MM, "mm")
    way_a = _way(line_a, at_a, place, first, second)
    way_b = _way(line_b, at_b, place, second, first)
    x, other = way_a * line_a.direction, way_b * line_b.direction
    z = unit_vector(np.cross(x, other))
    y = np.cross(z, x)
    return _laid(
        first, second, (line_a, at_a, way_a), (line_b, at_b, way_b), middle, np.array([x, y, z]), other
    )


_Leg = tuple[Line, float, float]


def _laid(
    first: Bar, second: Bar, leg_a: _Leg, leg_b: _Leg, middle: Vector, axes: Points, other: Vector
) -> Corner:
    angle_deg = math.degrees(math.atan2(float(other @ axes[1]), float(other @ axes[0])))
    from_a, from_b = (line.at(np.array([at]))[0] for line, at, _ in (leg_a, leg_b))
    apart_mm = float((from_b - from_a) @ axes[2])
    radius_a, radius_b = first.tube.od_mm / 2.0, second.tube.od_mm / 2.0
    if abs(apart_mm) > _APART_SHARE * min(first.tube.od_mm, second.tube.od_mm):
        limit = _APART_SHARE * min(first.tube.od_mm, second.tube.od_mm)
        why = f"their axes miss each other by {abs(apart_mm):.1f} mm (limit {limit:.1f} mm, half the smaller tube)"
        raise _no_corner(first, second, why, abs(apart_mm), limit, "mm")
    if not LEAST_ANGLE_DEG <= angle_deg <= MOST_ANGLE_DEG:
        why = f"they meet at {angle_deg:.1f}° (a gusset wants {LEAST_ANGLE_DEG:g} to {MOST_ANGLE_DEG:g}°)"
        limit = LEAST_ANGLE_DEG if angle_deg < LEAST_ANGLE_DEG else MOST_ANGLE_DEG
        raise _no_corner(first, second, why, angle_deg, limit, "deg")
    bare = Corner(
        origin_mm=middle,
        axes=axes,
        angle_deg=angle_deg,
        apart_mm=apart_mm,
        radius_a_mm=radius_a,
        radius_b_mm=radius_b,
        room_a_mm=math.inf,
        room_b_mm=math.inf,
    )
    point = bare.point_mm
    return Corner(
        **{
            **vars(bare),
            "room_a_mm": _left(*leg_a) - float(point[0]),
            "room_b_mm": _left(*leg_b) - float(point @ bare.leg_b),
        }
    )


def _straight(bar: Bar, place: Vector) -> Line:
    """The straight of a bar that lies nearest to a place."""
    lines = [piece for piece in centreline(bar).pieces if isinstance(piece, Line) and piece.length_mm > 0.0]
    return min(
        lines, key=lambda one: float(np.linalg.norm(one.at(np.array([one.nearest_mm(place)]))[0] - place))
    )


def _feet(one: Line, other: Line) -> tuple[float, float]:
    """Distances along both lines of the places where they come nearest to each other."""
    cosine = float(one.direction @ other.direction)
    between = other.start_mm - one.start_mm
    along, across = float(between @ one.direction), float(between @ other.direction)
    slant = 1.0 - cosine * cosine
    return (along - cosine * across) / slant, (cosine * along - across) / slant


def _left(line: Line, at_mm: float, way: float) -> float:
    """How much straight tube there is from a place on its axis, the way that is looked."""
    return line.length_mm - at_mm if way > 0.0 else at_mm


def _way(line: Line, at_mm: float, place: Vector, bar: Bar, other: Bar) -> float:
    """+1 or -1: the way along a straight, from the crossing, on which the place lies."""
    ahead = float((place - line.start_mm) @ line.direction) - at_mm
    reach = bar.tube.od_mm / 2.0
    open_ways = [way for way in (1.0, -1.0) if _left(line, at_mm, way) > reach + other.tube.od_mm / 2.0]
    if len(open_ways) == 1:
        return open_ways[0]
    if not open_ways:
        raise _no_corner(bar, other, f"no straight of {bar.name} is long enough there", None, None, "mm")
    if abs(ahead) < 1.0:
        raise UserError(
            Finding(
                code="GUSSET-003",
                severity=Severity.STOP,
                sentence=f"The place {as_node(place)} does not say which corner of {bar.name} and {other.name} "
                f"is meant: it lies on the axis of {other.name}.",
                todo="Type a place inside the corner, some centimetres from both bars.",
                objects=(bar.name, other.name),
                point_mm=as_node(place),
            )
        )
    return math.copysign(1.0, ahead)


def _no_corner(
    first: Bar, second: Bar, why: str, measured: float | None, limit: float | None, unit: str
) -> UserError:
    return UserError(
        Finding(
            code="GUSSET-002",
            severity=Severity.STOP,
            sentence=f"{first.name} and {second.name} make no corner for a gusset there: {why}.",
            todo="Type a place near where the two bars meet on straight tube, or choose other bars.",
            objects=(first.name, second.name),
            measured=measured,
            limit=limit,
            unit=unit if measured is not None else "",
        )
    )

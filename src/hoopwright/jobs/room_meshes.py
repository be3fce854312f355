"""The room round a bender as painted meshes: floor, ceiling and walls in outline, and what stands there."""

import itertools
from collections.abc import Iterator

import numpy as np

from hoopwright.bender.room.solids import Solid
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.room.step_check import Clearance
from hoopwright.geometry import Points, rotation_about
from hoopwright.papers.picture import BAR_COLOURS, SHELL_COLOUR, Colour, PaintedMesh
from hoopwright.papers.plain_solids import painted_box, painted_cylinder

HIT_COLOUR = BAR_COLOURS[5]
_OPERATOR, _HEAD = BAR_COLOURS[2], BAR_COLOURS[7]
_FLOOR, _EDGE = (226, 222, 212), (120, 120, 120)
_EDGE_MM, _DISC_MM, _ROUND_MM = 6.0, 8.0, 350.0


def shown_box(bender: StandingBender, tube: Points) -> tuple[Points, Points]:
    """Lowest and highest corner of what is drawn: the tube's sweep and some way round it, within known walls."""
    low, high = tube.min(axis=0) - _ROUND_MM, tube.max(axis=0) + _ROUND_MM
    low[:2], high[:2] = np.minimum(low[:2], -_ROUND_MM), np.maximum(high[:2], _ROUND_MM)
    for axis, above, below in ((0, bender.ahead_mm, bender.behind_mm), (1, bender.left_mm, bender.right_mm)):
        high[axis] = high[axis] if above is None else min(high[axis], above)
        low[axis] = low[axis] if below is None else max(low[axis], -below)
    return low, high


def painted_room(
    bender: StandingBender, low: Points, high: Points, worst: Clearance | None
) -> Iterator[PaintedMesh]:
    """The floor as a thin plate with its outline, and the outline of the ceiling where the tube comes near it."""
    floor = -bender.axis_height_mm
    hit = worst.to if worst is not None and worst.clearance_mm < 0.0 else ""
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    yield painted_box(np.eye(3), (middle[0], middle[1], floor - 2.0), (half[0], half[1], 2.0), _FLOOR)
    yield from _ring(low, high, floor, HIT_COLOUR if hit == "floor" else _EDGE)
    if bender.ceiling_mm is not None and high[2] > floor + bender.ceiling_mm:
        yield from _ring(low, high, floor + bender.ceiling_mm, HIT_COLOUR if hit == "ceiling" else _EDGE)
    known = {
        "ahead": (0, high[0], bender.ahead_mm),
        "behind": (0, low[0], bender.behind_mm),
        "left": (1, high[1], bender.left_mm),
        "right": (1, low[1], bender.right_mm),
    }
    for side, (axis, at, distance) in known.items():
        if distance is not None and abs(at) == distance:
            yield from _wall(low, high, axis, at, floor, HIT_COLOUR if hit == f"wall {side}" else _EDGE)


def _wall(
    low: Points, high: Points, axis: int, at_mm: float, floor_mm: float, colour: Colour
) -> Iterator[PaintedMesh]:
    """Outline of a wall up to what is shown."""
    other, top = 1 - axis, max(high[2], floor_mm + _ROUND_MM)
    corners = []
    for along, up in ((low, floor_mm), (high, floor_mm), (high, top), (low, top), (low, floor_mm)):
        corner = np.array([0.0, 0.0, up])
        corner[axis], corner[other] = at_mm, along[other]
        corners.append(corner)
    yield from painted_line(np.array(corners), _EDGE_MM, colour)


def _ring(low: Points, high: Points, up_mm: float, colour: Colour) -> Iterator[PaintedMesh]:
    corners = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]), (low[0], low[1])]
    yield from painted_line(np.array([(x, y, up_mm) for x, y in corners]), _EDGE_MM, colour)


def is_shown(solid: Solid, low: Points, high: Points) -> bool:
    """Whether any of a solid lies in the box, seen from above."""
    middle, size = np.array(solid.middle_mm), np.array(solid.size_mm)
    half = np.full(3, np.hypot(size[0], size[1]) / 2.0)
    if solid.kind == "rail":
        middle, half = (middle + size) / 2.0, np.abs(size - middle) / 2.0 + solid.radius_mm
    return bool(np.all(middle[:2] + half[:2] > low[:2]) and np.all(middle[:2] - half[:2] < high[:2]))


def painted_solid(solid: Solid, turn: Points, colour: Colour) -> PaintedMesh:
    """One solid, turned into the machine frame by `turn`, shape (3, 3)."""
    middle, size = np.array(solid.middle_mm), np.array(solid.size_mm)
    if solid.stands == "operator":  # as a disc on the floor, which hides nothing
        middle[2] -= size[2] / 2.0 - _DISC_MM
        size[2] = 2.0 * _DISC_MM
    if solid.kind == "rail":
        end = size + np.array([0.0, 0.0, 1e-3])  # a ball has its ends in one place
        return painted_cylinder(turn @ middle, turn @ end, solid.radius_mm, colour)
    axes = rotation_about((0.0, 0.0, 1.0), solid.turned_deg).T @ turn.T
    if solid.kind == "post":
        half = np.array([0.0, 0.0, size[2] / 2.0])
        return painted_cylinder(
            turn @ (middle - half), turn @ (middle + half), size[0] / 2.0, colour, around=32
        )
    return painted_box(axes, turn @ middle, size / 2.0, colour)


def solid_colour(solid: Solid, worst: Clearance | None) -> Colour:
    """Grey, but for the operator's place, the bender and what the tube cuts into."""
    if worst is not None and worst.to == solid.name and worst.clearance_mm < 0.0:
        return HIT_COLOUR
    return {"head": _HEAD, "frame": _HEAD, "operator": _OPERATOR, "room": SHELL_COLOUR}[solid.stands]


def painted_line(
    points: Points, radius_mm: float, colour: Colour, *, around: int = 6
) -> Iterator[PaintedMesh]:
    """A line through places, shape (n, 3), as thin cylinders."""
    for start, end in itertools.pairwise(points):
        if np.linalg.norm(end - start) > 0.0:
            yield painted_cylinder(start, end, radius_mm, colour, around=around)

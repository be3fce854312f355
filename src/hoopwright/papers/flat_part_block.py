"""One flat part on the page: its outline, holes and folds, their places, and what to know."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from hoopwright.geometry import Vector
from hoopwright.joints import FlatPart, Fold
from hoopwright.papers.drawing import Circle, Item, Items, Point, Polygon, Polyline, Text, line
from hoopwright.papers.flat_part_name import name_inside
from hoopwright.papers.lettering import fitted, width_mm, wrapped
from hoopwright.papers.words import angle, both, measure
from hoopwright.units import LengthUnit

LEGEND = "cut on the middle of the heavy line; fold lines: the middle of the bend"
_LEFT_MM, _RIGHT_MM, _OVER_MM, _DIMENSION_MM = 11.0, 5.0, 12.0, 12.0
_LEAST_WIDTH_MM, _WIDEST_WORDS_MM = 88.0, 165.0
_WORDS_MM = 2.4
_OUTLINE_MM = 0.5
_UPRIGHT = 1e-6
_DASH_DOT = (5.0, 1.0, 1.0, 1.0)
Place = Callable[[float, float], Point]


def block_width_mm(part: FlatPart) -> float:
    """Width of a part with its dimensions and words."""
    return max(_LEAST_WIDTH_MM, _LEFT_MM + _size_mm(part)[0] + _RIGHT_MM)


def block_height_mm(part: FlatPart, unit: LengthUnit) -> float:
    """Height likewise."""
    rows = len(_lines(part, unit))
    return _OVER_MM + _size_mm(part)[1] + _DIMENSION_MM + rows * _WORDS_MM * 1.6 + 1.0


def flat_part_block(part: FlatPart, corner_mm: Point, unit: LengthUnit) -> Items:
    """A part and its words from the top left corner of its block; seen from the face that folds up."""
    left, low = (float(value) for value in part.outline_mm.min(axis=0))
    high = float(part.outline_mm[:, 1].max())

    def place(x_mm: float, y_mm: float) -> Point:
        return (corner_mm[0] + _LEFT_MM + x_mm - left, corner_mm[1] + _OVER_MM + high - y_mm)

    bottom = place(left, low)[1]
    outline = Polyline(
        points_mm=tuple(place(float(x), float(y)) for x, y in part.outline_mm),
        width_mm=_OUTLINE_MM,
        closed=True,
    )
    folds = tuple(item for number, fold in enumerate(part.folds, 1) for item in _fold(number, fold, place))
    holes = tuple(item for number in range(len(part.holes)) for item in _hole(part, number, place))
    return (
        *_heading(part, corner_mm, unit),
        *folds,
        outline,
        *holes,
        *name_inside(part, outline.points_mm, (*folds, *holes)),
        *_dimensions(part, place, unit),
        *_notes(part, (corner_mm[0], bottom + _DIMENSION_MM), unit),
    )


def _size_mm(part: FlatPart) -> tuple[float, float]:
    wide, high = np.ptp(part.outline_mm, axis=0)
    return float(wide), float(high)


def _words_mm(part: FlatPart) -> float:
    return min(block_width_mm(part), _WIDEST_WORDS_MM)


def _heading(part: FlatPart, corner_mm: Point, unit: LengthUnit) -> Items:
    left, top = corner_mm
    wide, high = _size_mm(part)
    room = _words_mm(part)
    data = (
        f"{both(part.thickness_mm, unit)} thick, {part.count} off; "
        f"flat {both(wide, unit)} x {both(high, unit)}"
    )
    return (
        fitted(part.name, (left, top + 4.4), room, 3.6, bold=True),
        fitted(data, (left, top + 8.6), room, 2.4, least_mm=1.7),
    )


def _fold(number: int, fold: Fold, place: Place) -> Items:
    """The middle of the bend, the edges of its zone, and its words along it."""
    a, b = np.array(place(*fold.start_mm)), np.array(place(*fold.end_mm))
    along = (b - a) / np.linalg.norm(b - a)
    aside = np.array([-along[1], along[0]]) * fold.allowance_mm / 2.0
    items: list[Item] = [line(_at(a), _at(b), width_mm=0.35, dash_mm=_DASH_DOT)]
    if fold.allowance_mm > 1.0:
        items += [
            line(_at(a + aside * side), _at(b + aside * side), width_mm=0.25, dash_mm=(1.5, 1.5))
            for side in (-1.0, 1.0)
        ]
    return (*items, *_fold_words(number, fold, (a + b) / 2.0, along))


def _fold_words(number: int, fold: Fold, middle: Vector, along: Vector) -> Items:
    """The fold's words beside its zone, read from the left or from below."""
    if along[0] < -_UPRIGHT or (abs(along[0]) <= _UPRIGHT and along[1] > 0.0):
        along = -along
    over = np.array([along[1], -along[0]])
    text = f"fold {number} {_way(fold)} {angle(abs(fold.angle_deg))}"
    reach = float(np.hypot(*np.subtract(fold.end_mm, fold.start_mm)))
    words = fitted(text, (0.0, 0.0), max(reach - 3.0, 8.0), 2.4, least_mm=1.5, bold=True)
    wide = width_mm(words.text, words.height_mm, bold=True)
    start = middle - along * wide / 2.0 + over * (fold.allowance_mm / 2.0 + 0.9)
    corners = (
        start - along * 0.5 - over * 0.4,
        start + along * (wide + 0.5) - over * 0.4,
        start + along * (wide + 0.5) + over * (words.height_mm + 0.4),
        start - along * 0.5 + over * (words.height_mm + 0.4),
    )
    turn_deg = math.degrees(math.atan2(-along[1], along[0]))
    return (
        Polygon(points_mm=tuple(map(_at, corners)), ink="white"),
        replace(words, at_mm=_at(start), turn_deg=turn_deg),
    )


def _way(fold: Fold) -> str:
    return "up" if fold.angle_deg > 0.0 else "down"


def _at(point: np.ndarray) -> Point:
    return (float(point[0]), float(point[1]))


def _hole(part: FlatPart, number: int, place: Place) -> Items:
    """The circle, its centre, its number."""
    hole = part.holes[number]
    right, down = place(*hole.centre_mm)
    radius = hole.diameter_mm / 2.0
    arm = radius + 2.0
    words = Text(
        at_mm=(right + radius * 0.71 + 0.8, down - radius * 0.71 - 0.8),
        text=str(number + 1),
        height_mm=2.2,
        bold=True,
    )
    return (
        Circle(centre_mm=(right, down), radius_mm=radius, width_mm=_OUTLINE_MM),
        line((right - arm, down), (right + arm, down), width_mm=0.25),
        line((right, down - arm), (right, down + arm), width_mm=0.25),
        words,
    )


def _dimensions(part: FlatPart, place: Place, unit: LengthUnit) -> Items:
    """Overall width under the part, overall height at its left, zero at the corner of both."""
    left, low = (float(value) for value in part.outline_mm.min(axis=0))
    right, high = (float(value) for value in part.outline_mm.max(axis=0))
    base, side = place(left, low), place(right, high)
    down, across = base[1] + 6.0, base[0] - 6.0
    wide = fitted(
        measure(right - left, unit),
        ((base[0] + side[0]) / 2.0, down + 4.0),
        max(side[0] - base[0], 24.0),
        2.6,
        anchor="middle",
        bold=True,
    )
    tall = Text(
        at_mm=(across - 1.2, (base[1] + side[1]) / 2.0),
        text=measure(high - low, unit),
        height_mm=2.6,
        anchor="middle",
        bold=True,
        turn_deg=90.0,
    )
    return (
        *_arrowed((base[0], down), (side[0], down)),
        *_arrowed((across, side[1]), (across, base[1])),
        *(line((x, base[1] + 1.5), (x, down + 1.2), width_mm=0.25) for x in (base[0], side[0])),
        *(line((base[0] - 1.5, y), (across - 1.2, y), width_mm=0.25) for y in (base[1], side[1])),
        Text(at_mm=(base[0] - 2.2, base[1] + 3.4), text="0", height_mm=2.2, bold=True),
        wide,
        tall,
    )


def _arrowed(start: Point, end: Point) -> Items:
    """A line with a head at each end, across or down."""
    along = np.subtract(end, start) / max(float(np.hypot(*np.subtract(end, start))), 1e-9)
    aside = np.array([-along[1], along[0]]) * 0.7
    heads = tuple(
        Polygon(
            points_mm=(
                tip,
                _at(np.add(tip, way * 2.2 * along) + aside),
                _at(np.add(tip, way * 2.2 * along) - aside),
            )
        )
        for tip, way in ((start, 1.0), (end, -1.0))
    )
    return (line(start, end, width_mm=0.25), *heads)


def _lines(part: FlatPart, unit: LengthUnit) -> list[str]:
    """What stands under the part."""
    left, low = (float(value) for value in part.outline_mm.min(axis=0))
    said = [
        f"fold {number}: {angle(abs(fold.angle_deg))} {_way(fold)} "
        f"({'toward' if fold.angle_deg > 0.0 else 'away from'} you), inside radius {both(fold.inside_radius_mm, unit)}"
        for number, fold in enumerate(part.folds, 1)
    ]
    said += [
        f"hole {number}: {both(hole.diameter_mm, unit)} across, its centre from 0: "
        f"{both(hole.centre_mm[0] - left, unit)} right, {both(hole.centre_mm[1] - low, unit)} up"
        for number, hole in enumerate(part.holes, 1)
    ]
    return [text for one in (*said, *part.notes) for text in wrapped(one, _words_mm(part), _WORDS_MM)]


def _notes(part: FlatPart, at: Point, unit: LengthUnit) -> Items:
    return tuple(
        Text(at_mm=(at[0], at[1] + _WORDS_MM + row * _WORDS_MM * 1.6), text=text, height_mm=_WORDS_MM)
        for row, text in enumerate(_lines(part, unit))
    )

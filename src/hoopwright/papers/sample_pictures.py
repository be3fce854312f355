"""Small drawings of the sample bends: what is measured from where to where."""

import math

from hoopwright.papers.drawing import (
    Box,
    Items,
    Point,
    Polygon,
    Polyline,
    Text,
    arc_points,
    line,
)
from hoopwright.papers.symbols import numbered_ring

_WIDE_MM, _SKIN_MM, _RADIUS_MM = 4.6, 0.5, 9.0
_RING_MM = 2.3


def leg_picture(box: Box) -> Items:
    """An L: leg A upright, leg B level, each measured from its end to the far side of the other."""
    half = _WIDE_MM / 2.0
    left, bottom = box.left_mm + 22.0, box.bottom_mm - 14.0
    top, right = box.top_mm + 8.0, box.right_mm - 8.0
    corner = arc_points((left + _RADIUS_MM, bottom - _RADIUS_MM), _RADIUS_MM, 270.0, -90.0)
    return (
        *_tube(((left, top), *corner, (right, bottom))),
        *numbered_ring((left, top - 4.2), "A", radius_mm=_RING_MM, dark=True),
        *_measure((left - half - 5.0, top), (left - half - 5.0, bottom + half), "leg_a_mm", aside=True),
        *_measure((left - half, bottom + half + 5.0), (right, bottom + half + 5.0), "leg_b_mm"),
    )


def u_picture(box: Box) -> Items:
    """A U and its outside width."""
    half, middle = _WIDE_MM / 2.0, box.middle_mm[0]
    radius, top = 15.0, box.top_mm + 18.0
    bottom = box.bottom_mm - 5.0
    bow = arc_points((middle, top + 5.0), radius, 270.0, 180.0)
    wide = radius + half
    return (
        *_tube(((middle - radius, bottom), *bow, (middle + radius, bottom))),
        *_measure((middle - wide, bottom - 6.0), (middle + wide, bottom - 6.0), "outside_mm"),
    )


def angle_picture(box: Box) -> Items:
    """A bend and the angle that is read: the change of direction."""
    left, bottom = box.left_mm + 8.0, box.bottom_mm - 10.0
    centre = (left + 24.0, bottom - 12.0)
    bow = arc_points(centre, 12.0, 180.0, -55.0)
    turned = math.radians(55.0)
    end = (bow[-1][0] + 26.0 * math.cos(turned), bow[-1][1] - 26.0 * math.sin(turned))
    on = (bow[0][0] + 28.0, bottom)
    return (
        *_tube(((left, bottom), *bow, end)),
        line(bow[0], on, width_mm=0.4, dash_mm=(1.4, 1.0)),
        Polyline(points_mm=arc_points((bow[0][0] + 5.0, bottom), 15.0, 90.0, -50.0), width_mm=0.5),
        Text(at_mm=(bow[0][0] + 22.0, bottom - 8.0), text="angle", height_mm=2.3),
    )


def _tube(points: tuple[Point, ...]) -> Items:
    return (
        Polyline(points_mm=points, width_mm=_WIDE_MM),
        Polyline(points_mm=_drawn_in(points), width_mm=_WIDE_MM - 2.0 * _SKIN_MM, ink="white"),
    )


def _drawn_in(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Both ends shortened by the skin, so that the outline closes there."""
    return (_toward(points[0], points[1]), *points[1:-1], _toward(points[-1], points[-2]))


def _toward(end: Point, inner: Point) -> Point:
    along = (inner[0] - end[0], inner[1] - end[1])
    length = math.hypot(*along)
    return (end[0] + along[0] / length * _SKIN_MM, end[1] + along[1] / length * _SKIN_MM)


def _measure(start: Point, end: Point, words: str, *, aside: bool = False) -> Items:
    """A line with a head at both ends and the name of what it measures."""
    middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    at = (middle[0] - 1.6, middle[1]) if aside else (middle[0], middle[1] + 4.0)
    return (
        line(start, end, width_mm=0.4),
        _head(start, end),
        _head(end, start),
        Text(
            at_mm=at, text=words, height_mm=2.3, anchor="middle", bold=True, turn_deg=90.0 if aside else 0.0
        ),
    )


def _head(tip: Point, other: Point) -> Polygon:
    along = (other[0] - tip[0], other[1] - tip[1])
    length = math.hypot(*along)
    right, down = along[0] / length, along[1] / length
    base = (tip[0] + 2.4 * right, tip[1] + 2.4 * down)
    return Polygon(
        points_mm=(
            tip,
            (base[0] - down * 0.8, base[1] + right * 0.8),
            (base[0] + down * 0.8, base[1] - right * 0.8),
        )
    )

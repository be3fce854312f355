"""The name on a flat part itself, so that it is still known when it is cut out."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hoopwright.geometry import Points
from hoopwright.joints import FlatPart
from hoopwright.papers.drawing import Box, Circle, Item, Items, Point, Text
from hoopwright.papers.lettering import text_box, width_mm

_LARGEST_MM = 225.0


def name_inside(part: FlatPart, outline_mm: Sequence[Point], drawn: Items) -> Items:
    """The name on the part itself, where there is room between its edges, folds and holes.

    A part that goes over several pages has none: its words would be pushed over others at the edge of a page.
    """
    if float(np.ptp(part.outline_mm, axis=0).max()) > _LARGEST_MM:
        return ()
    text = f"{part.name}, {part.thickness_mm:g} mm"
    corners = np.array(outline_mm)
    taken = [_reach(item) for item in drawn]
    (left, top), (right, bottom) = corners.min(axis=0), corners.max(axis=0)
    for height in (4.0, 3.0, 2.2, 1.8):
        wide = width_mm(text, height, bold=True) + 3.0
        tall = height + 3.0
        for down in _outward(top, bottom - tall):
            for across in _outward(left, right - wide):
                box = Box(left_mm=across, top_mm=down, width_mm=wide, height_mm=tall)
                if not any(_meets(box, other) for other in taken) and _within(box, corners):
                    at = (across + 1.5, down + tall - 1.8)
                    return (Text(at_mm=at, text=text, height_mm=height, bold=True),)
    return ()


def _outward(first: float, last: float) -> list[float]:
    """Places from the middle outward."""
    if last < first:
        return []
    places = np.linspace(first, last, 15)
    return sorted(map(float, places), key=lambda at: abs(at - (first + last) / 2.0))


def _reach(item: Item) -> Box:
    if isinstance(item, Text):
        return text_box(replace(item, turn_deg=90.0 * round(item.turn_deg / 90.0)))
    if isinstance(item, Circle):
        (x, y), r = item.centre_mm, item.radius_mm
        return Box(left_mm=x - r, top_mm=y - r, width_mm=2.0 * r, height_mm=2.0 * r)
    points = np.array(item.points_mm)
    (left, top), (wide, high) = points.min(axis=0), np.ptp(points, axis=0)
    return Box(left_mm=float(left), top_mm=float(top), width_mm=float(wide), height_mm=float(high))


def _meets(one: Box, other: Box) -> bool:
    return (
        one.left_mm <= other.right_mm
        and other.left_mm <= one.right_mm
        and one.top_mm <= other.bottom_mm
        and other.top_mm <= one.bottom_mm
    )


def _within(box: Box, corners: Points) -> bool:
    """Whether a box lies inside an outline: points along its edges all do."""
    share = np.linspace(0.0, 1.0, 9)
    across = box.left_mm + share * box.width_mm
    down = box.top_mm + share * box.height_mm
    ends = (box.left_mm, box.right_mm, box.top_mm, box.bottom_mm)
    edge = [(x, y) for x in across for y in ends[2:]] + [(x, y) for x in ends[:2] for y in down]
    return all(_inside(x, y, corners) for x, y in edge)


def _inside(x: float, y: float, corners: Points) -> bool:
    """Source: the crossings test, W. R. Franklin's form of M. Shimrat, Algorithm 112, CACM 5(8), 1962."""
    before = np.roll(corners, 1, axis=0)
    spans = (corners[:, 1] > y) != (before[:, 1] > y)
    rise = np.where(spans, before[:, 1] - corners[:, 1], 1.0)
    crossing = (before[:, 0] - corners[:, 0]) * (y - corners[:, 1]) / rise + corners[:, 0]
    return bool(np.count_nonzero(spans & (x < crossing)) % 2)

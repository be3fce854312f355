"""The full-size floor drawing of a flat bar, on tiles."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar
from hoopwright.geometry import Points, Vector
from hoopwright.papers.drawing import (
    A4,
    Box,
    Circle,
    Item,
    Items,
    Page,
    PaperSize,
    Point,
    Polyline,
    Text,
    filled,
    line,
)
from hoopwright.papers.floor_plan import FloorPlan, floor_plan
from hoopwright.papers.lettering import text_box
from hoopwright.papers.parted_pages import in_parts
from hoopwright.papers.symbols import numbered_ring
from hoopwright.papers.template_pages import numbered
from hoopwright.papers.words import tube_words
from hoopwright.units import LengthUnit

_SKIN_MM, _AXIS_MM, _TICK_MM = 0.5, 0.35, 0.35
_DASH_DOT = (8.0, 1.5, 1.5, 1.5)
_WORDS_MM = 3.0
LEGEND = "heavy: the tube's skin; dash-dot: its axis; T: bend starts or ends; +: node"


@dataclass(frozen=True, kw_only=True)
class FloorMark:
    """A mark on the bent tube.

    Args:
        words: What is written at it.
        along_mm: Where it lies along the centreline of the bent bar, from its end A.
    """

    words: str
    along_mm: float


def floor_pages(
    bar: Bar,
    size: PaperSize = A4,
    *,
    project: str,
    date: str,
    unit: LengthUnit = "mm",
    marks: Sequence[FloorMark] = (),
) -> tuple[Page, ...]:
    """A page with a small map, then the bar at 1:1 on tiles; tiles with nothing on them are left out.

    Args:
        bar: A bar that lies in one plane.
        size: A4 or letter.
        project: Name of the project.
        date: Day of issue, ISO 8601.
        unit: Unit of the lengths on the map.
        marks: Marks on the bent tube.

    Raises:
        UserError: `PAPER-101` for a bar that leaves its plane by more than 2 mm.
    """
    plan = floor_plan(bar)
    wide, high = plan.size_mm
    extent = Box(left_mm=0.0, top_mm=0.0, width_mm=wide, height_mm=high)
    bends = f", bends {bar.clr_mm:g} mm on the axis" if bar.bend_count else ""
    words = (
        f"Tube {tube_words(bar.tube, unit)}{bends}; seen from {plan.seen_from}.",
        "Lay the bent bar on it: the tube fills the heavy lines all along. Its ends are those of the finished axis; "
        "trim allowance stands over.",
    )
    sheets = in_parts(floor_items(bar, plan, marks), extent, f"{bar.name} on the floor", size, unit, words)
    return numbered(sheets, project, date, LEGEND)


def floor_items(bar: Bar, plan: FloorPlan, marks: Sequence[FloorMark] = ()) -> Items:
    """The bar at full size, in mm right and down from the top left of its skin."""
    return (
        Polyline(points_mm=_points(plan.left_skin), width_mm=_SKIN_MM),
        Polyline(points_mm=_points(plan.right_skin), width_mm=_SKIN_MM),
        Polyline(points_mm=_points(plan.axis), width_mm=_AXIS_MM, dash_mm=_DASH_DOT),
        *_ends(bar, plan),
        *_bends(plan),
        *_nodes(plan),
        *_marks(plan, marks),
    )


def _points(points: Points) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _at(point: Vector) -> Point:
    return (float(point[0]), float(point[1]))


def _ends(bar: Bar, plan: FloorPlan) -> Iterable[Item]:
    """A square line over each end, its letter, and the bar's name beside it."""
    for letter, index in (("A", 0), ("B", -1)):
        yield line(_at(plan.left_skin[index]), _at(plan.right_skin[index]), width_mm=_SKIN_MM)
        inward = plan.axis[1] - plan.axis[0] if index == 0 else plan.axis[-2] - plan.axis[-1]
        inward = inward / np.linalg.norm(inward)
        yield from numbered_ring(_at(plan.axis[index] + inward * 9.0), letter, radius_mm=4.5, dark=True)
        yield from _labelled(plan.axis[index] + inward * 22.0, bar.name, bold=True)


def _bends(plan: FloorPlan) -> Iterable[Item]:
    """A line across where a bend starts and ends, its number in the middle of the bend."""
    for number, pair in enumerate(zip(plan.tangents_mm[::2], plan.tangents_mm[1::2], strict=True), 1):
        for along in pair:
            axis, left, right = plan.across(along)
            yield line(_at(left), _at(right), width_mm=_TICK_MM, dash_mm=(3.0, 1.0))
            yield from _labelled(axis + (left - axis) * 0.5, "T")
        middle = plan.across((pair[0] + pair[1]) / 2.0)[0]
        yield from numbered_ring(_at(middle), str(number), radius_mm=5.0)


def _nodes(plan: FloorPlan) -> Iterable[Item]:
    """A small cross at each node that lies off the axis."""
    for node in plan.nodes[1:-1]:
        x, y = _at(node)
        yield line((x - 3.0, y), (x + 3.0, y), width_mm=0.25)
        yield line((x, y - 3.0), (x, y + 3.0), width_mm=0.25)
        yield Circle(centre_mm=(x, y), radius_mm=0.8, width_mm=0.25)


def _marks(plan: FloorPlan, marks: Sequence[FloorMark]) -> Iterable[Item]:
    """A heavy line over the skin at each mark, its words beside it."""
    for mark in marks:
        _, left, right = plan.across(mark.along_mm)
        beyond = (right - left) / np.linalg.norm(right - left) * 3.0
        yield line(_at(left - beyond), _at(right + beyond), width_mm=0.7)
        yield from _labelled((left + right) / 2.0 + beyond * 2.0, mark.words, bold=True)


def _labelled(at: Vector, words: str, *, bold: bool = False) -> Items:
    text = Text(
        at_mm=(float(at[0]), float(at[1]) + _WORDS_MM / 2.0),
        text=words,
        height_mm=_WORDS_MM,
        anchor="middle",
        bold=bold,
    )
    return (filled(text_box(text).inset(-0.6), "white"), text)

"""Small drawings that stand on several sheets."""

import math
from typing import Literal

import segno

from hoopwright.papers.drawing import (
    Box,
    Circle,
    Items,
    Point,
    Polygon,
    Polyline,
    Text,
    arc_points,
    filled,
    frame,
    line,
)
from hoopwright.papers.lettering import height_to_fit

CHECK_BAR_MM = 100.0
_QUIET_MODULES = 4


def turn_arrow(centre_mm: Point, radius_mm: float, *, clockwise: bool) -> Items:
    """Three quarters of a circle with a head: the way to turn."""
    way = 1.0 if clockwise else -1.0
    start, sweep = -135.0 * way, 250.0 * way
    ring = arc_points(centre_mm, radius_mm, start, sweep)
    end_rad = math.radians(start + sweep)
    outward = (math.sin(end_rad), -math.cos(end_rad))
    along = (math.cos(end_rad) * way, math.sin(end_rad) * way)
    length, half = radius_mm * 1.05, radius_mm * 0.55
    base = ring[-1]
    tip = (base[0] + along[0] * length, base[1] + along[1] * length)
    corners = tuple((base[0] + outward[0] * half * s, base[1] + outward[1] * half * s) for s in (1.0, -1.0))
    return (Polyline(points_mm=ring, width_mm=max(0.5, radius_mm * 0.22)), Polygon(points_mm=(tip, *corners)))


def no_turn(centre_mm: Point, radius_mm: float) -> Items:
    """A bare ring: nothing to turn."""
    return (Circle(centre_mm=centre_mm, radius_mm=radius_mm, width_mm=0.5),)


def clock_face(centre_mm: Point, radius_mm: float, hour: float) -> Items:
    """A clock face with one hand: where the leg points."""
    marks: list[Polyline] = []
    for mark in range(12):
        inner = radius_mm * (0.72 if mark % 3 == 0 else 0.86)
        a, b = (_on_clock(centre_mm, r, float(mark)) for r in (inner, radius_mm))
        marks.append(line(a, b, width_mm=0.5 if mark % 3 == 0 else 0.25))
    tip = _on_clock(centre_mm, radius_mm * 0.82, hour)
    hand = line(centre_mm, _on_clock(centre_mm, radius_mm * 0.5, hour), width_mm=1.1)
    base = _on_clock(centre_mm, radius_mm * 0.45, hour)
    rad = math.radians(hour * 30.0)
    half = radius_mm * 0.22
    side = (math.cos(rad) * half, math.sin(rad) * half)
    head = Polygon(
        points_mm=(tip, (base[0] + side[0], base[1] + side[1]), (base[0] - side[0], base[1] - side[1]))
    )
    return (
        Circle(centre_mm=centre_mm, radius_mm=radius_mm, width_mm=0.5, fill="white"),
        *marks,
        hand,
        head,
        Circle(centre_mm=centre_mm, radius_mm=radius_mm * 0.14, width_mm=0.0, fill="black"),
    )


def _on_clock(centre_mm: Point, radius_mm: float, hour: float) -> Point:
    turned_rad = math.radians(hour * 30.0)
    return (centre_mm[0] + radius_mm * math.sin(turned_rad), centre_mm[1] - radius_mm * math.cos(turned_rad))


def check_bar(corner_mm: Point, *, way: Literal["across", "down"]) -> Items:
    """A bar of exactly 100 mm, black at both ends, that shows whether the paper is true.

    Across it starts at its left end with words to the right of it; down, at its top with words beside it.
    """
    right, down = corner_mm
    thick = 2.4

    def part(start: float, length: float, sink: float) -> Box:
        if way == "across":
            return Box(
                left_mm=right + start, top_mm=down + sink, width_mm=length, height_mm=thick - 2.0 * sink
            )
        return Box(left_mm=right + sink, top_mm=down + start, width_mm=thick - 2.0 * sink, height_mm=length)

    gaps = tuple(filled(part(start, 20.0, 0.4), "white") for start in (20.0, 60.0))
    if way == "across":
        words = Text(at_mm=(right + CHECK_BAR_MM + 2.0, down + 2.2), text="100 mm", height_mm=2.2)
    else:
        words = Text(
            at_mm=(right + thick - 0.3, down + CHECK_BAR_MM + 2.0),
            text="100 mm",
            height_mm=2.2,
            anchor="right",
            turn_deg=90.0,
        )
    return (filled(part(0.0, CHECK_BAR_MM, 0.0)), *gaps, words)


def square_code(text: str, box: Box) -> Items:
    """A QR code (ISO/IEC 18004, level M) that fills the box, its quiet zone included."""
    matrix = [list(row) for row in segno.make_qr(text, error="m", boost_error=False).matrix]
    module = min(box.width_mm, box.height_mm) / (len(matrix) + 2 * _QUIET_MODULES)
    items: list[Polygon] = []
    for row, cells in enumerate(matrix):
        for first, count in _runs(cells):
            dark = Box(
                left_mm=box.left_mm + (first + _QUIET_MODULES) * module,
                top_mm=box.top_mm + (row + _QUIET_MODULES) * module,
                width_mm=count * module,
                height_mm=module,
            )
            items.append(filled(dark))
    return tuple(items)


def _runs(cells: list[int]) -> list[tuple[int, int]]:
    """First column and length of each dark run of a row."""
    runs: list[tuple[int, int]] = []
    for column, dark in enumerate(cells):
        if dark and runs and sum(runs[-1]) == column:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        elif dark:
            runs.append((column, 1))
    return runs


def numbered_ring(centre_mm: Point, words: str, *, radius_mm: float = 2.9, dark: bool = False) -> Items:
    """A ring with a number or letter in it."""
    height = height_to_fit(words, radius_mm * 1.5, radius_mm * 1.1, bold=True)
    return (
        Circle(centre_mm=centre_mm, radius_mm=radius_mm, width_mm=0.5, fill="black" if dark else "white"),
        Text(
            at_mm=(centre_mm[0], centre_mm[1] + height / 2.0),
            text=words,
            height_mm=height,
            anchor="middle",
            bold=True,
            ink="white" if dark else "black",
        ),
    )


def free_box(box: Box) -> Polyline:
    """The dashed outline that says: free, by eye."""
    return frame(box, width_mm=0.3, dash_mm=(0.9, 0.7))


def stamp(box: Box, words: str) -> Items:
    """Words in a heavy frame."""
    height = height_to_fit(words, box.width_mm - 4.0, box.height_mm - 3.4, bold=True)
    right, down = box.middle_mm
    return (
        frame(box.inset(0.5), width_mm=1.0),
        Text(at_mm=(right, down + height / 2.0), text=words, height_mm=height, anchor="middle", bold=True),
    )


def band(box: Box, words: str, tallest_mm: float) -> Items:
    """White words on a black band."""
    height = height_to_fit(words, box.width_mm - 4.0, tallest_mm, bold=True)
    right, down = box.middle_mm
    return (
        filled(box),
        Text(
            at_mm=(right, down + height / 2.0),
            text=words,
            height_mm=height,
            anchor="middle",
            bold=True,
            ink="white",
        ),
    )

"""The two pictures of a bar sheet: the bar in the car, and the bar alone."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, centreline
from hoopwright.bender.sheet import BarSheet
from hoopwright.geometry import Arc, Points
from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.context import shell_lines
from hoopwright.papers.drawing import Box, Item, Items, Point, Polyline, Text
from hoopwright.papers.symbols import numbered_ring
from hoopwright.papers.views import Fit, View, ViewName, axis_arrows, fit_view, fullest_view, view

OTHER_BAR_MM = 0.5
THIS_BAR_MM = 1.9
_ARC_STEP_MM = 12.0
_ARROWS_MM = 16.0
_RING_MM, _SMALL_RING_MM, _LOW_MM = 2.9, 2.2, 45.0
_TUBE_ROOM_MM = 2.0
_LEANS = (0.0, 0.7, -0.7, 1.6, -1.6)


def axis_points(bar: Bar) -> Points:
    """The bar's axis as a line that follows its arcs, shape (n, 3), mm."""
    path = centreline(bar)
    stops = path.starts_mm
    along = [np.array([0.0])]
    for piece, start, end in zip(path.pieces, stops, stops[1:], strict=False):
        steps = max(2, int((end - start) / _ARC_STEP_MM)) if isinstance(piece, Arc) else 1
        along.append(np.linspace(start, end, steps + 1)[1:])
    return path.at(np.concatenate(along))


def bar_in_car(sheet: BarSheet, car: CarLines, box: Box) -> Items:
    """The cage in the shell's lines, this bar bold, seen from the bar's own side."""
    seen = view("oblique right" if sheet.side == "R" else "oblique left")
    own = axis_points(sheet.bar)
    others = [bar.centreline for bar in car.bars if bar.bar_id != sheet.bar_id]
    fit = fit_view(seen, [*car.shell, *others, own], _picture(box))
    middle = [
        Polyline(points_mm=fit.points(points), width_mm=OTHER_BAR_MM, round_ends=True) for points in others
    ]
    bold = Polyline(points_mm=fit.points(own), width_mm=THIS_BAR_MM, round_ends=True)
    return (*shell_lines(car.shell, fit), *middle, bold, *_caption(seen, box, "in the car"))


def bar_alone(sheet: BarSheet, box: Box) -> Items:
    """The bar as a tube with its ends lettered and its bends numbered from end A."""
    return tube_alone(sheet.bar, sheet.side, box)


def tube_alone(bar: Bar, side: str, box: Box) -> Items:
    """The same from the bar and its side of the car: `L`, `R` or empty."""
    own = axis_points(bar)
    ring_mm = _RING_MM if box.height_mm > _LOW_MM else _SMALL_RING_MM
    room = _picture(box).inset(2.0 * ring_mm + _TUBE_ROOM_MM)
    right = side == "R"
    names: tuple[ViewName, ...] = (
        "front",
        "right side" if right else "side",
        "oblique right" if right else "oblique left",
        "top",
    )
    seen = fullest_view(own, names)
    fit = fit_view(seen, [own], room)
    on_paper = fit.points(own)
    wide = min(3.2, max(1.6, bar.tube.od_mm * fit.scale))
    return (
        Polyline(points_mm=on_paper, width_mm=wide),
        Polyline(points_mm=_shortened(on_paper, 0.45), width_mm=wide - 0.9, ink="white"),
        *_labels(bar, fit, on_paper, ring_mm),
        *_caption(seen, box, "the bar"),
    )


def _picture(box: Box) -> Box:
    """The part of a picture's box beside its arrows and above its caption."""
    return Box(
        left_mm=box.left_mm + _ARROWS_MM,
        top_mm=box.top_mm + 1.5,
        width_mm=box.width_mm - _ARROWS_MM - 1.0,
        height_mm=box.height_mm - 6.0,
    )


def _caption(seen: View, box: Box, words: str) -> Items:
    text = f"{words}, {seen.title}"
    return (
        Text(at_mm=(box.right_mm - 1.0, box.bottom_mm - 1.0), text=text, height_mm=2.3, anchor="right"),
        *axis_arrows(seen, (box.left_mm, box.bottom_mm - 0.5)),
    )


def _labels(bar: Bar, fit: Fit, on_paper: tuple[Point, ...], ring_mm: float) -> Items:
    """Ends in dark rings beyond the tube; bends in light ones on the outer side of each arc."""
    taken: list[NDArray[np.float64]] = []
    items: list[Item] = []
    for letter, end, inner in (("A", on_paper[0], on_paper[1]), ("B", on_paper[-1], on_paper[-2])):
        way = _unit(np.array(end) - np.array(inner))
        spot = _free_spot(np.array(end), (way,), taken, ring_mm)
        items.extend(numbered_ring(_pair(spot), letter, radius_mm=ring_mm, dark=True))
    arcs = [piece for piece in centreline(bar).pieces if isinstance(piece, Arc)]
    for number, arc in enumerate(arcs, start=1):
        middle = arc.at(np.array([arc.length_mm / 2.0]))[0]
        at, outside = (np.array(p) for p in fit.points([middle, 2.0 * middle - arc.centre_mm]))
        way = _unit(outside - at)
        across = np.array([-way[1], way[0]])
        sides = [_unit(way * toward + across * lean) for toward in (1.0, -1.0) for lean in _LEANS]
        spot = _free_spot(at, sides, taken, ring_mm)
        items.extend(numbered_ring(_pair(spot), str(number), radius_mm=ring_mm))
    return tuple(items)


def _free_spot(
    at: NDArray[np.float64],
    ways: Sequence[NDArray[np.float64]],
    taken: list[NDArray[np.float64]],
    ring_mm: float,
) -> NDArray[np.float64]:
    """The first place near a point that no other ring covers; it is then taken."""
    spots = [at + way * (ring_mm + _TUBE_ROOM_MM) for way in ways]
    apart = 2.0 * ring_mm + 0.4
    free = (spot for spot in spots if all(np.linalg.norm(spot - other) >= apart for other in taken))
    spot = next(free, spots[0])
    taken.append(spot)
    return spot


def _unit(way: NDArray[np.float64]) -> NDArray[np.float64]:
    """The direction on the paper; down where the view looks along it."""
    length = float(np.linalg.norm(way))
    return way / length if length > 1e-6 else np.array([0.0, 1.0])


def _pair(point: NDArray[np.float64]) -> Point:
    return (float(point[0]), float(point[1]))


def _shortened(points: tuple[Point, ...], by_mm: float) -> tuple[Point, ...]:
    """The line with `by_mm` taken off both ends, so that the outline closes there."""
    start, end = _moved(points[0], points[1], by_mm), _moved(points[-1], points[-2], by_mm)
    return (start, *points[1:-1], end)


def _moved(point: Point, toward: Point, by_mm: float) -> Point:
    way = np.array(toward) - np.array(point)
    length = max(float(np.linalg.norm(way)), 1e-9)
    moved = np.array(point) + way / length * min(by_mm, length * 0.4)
    return (float(moved[0]), float(moved[1]))

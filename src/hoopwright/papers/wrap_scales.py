"""The scales of a wrap: mm or inches up its edges, degrees and heights along its lower edge, heel and toe."""

import math

import numpy as np

from hoopwright.papers.drawing import Box, Item, Items, Polygon, Text, filled, line
from hoopwright.papers.lettering import fitted, text_box, width_mm
from hoopwright.papers.wrap_shape import Place, WrapShape
from hoopwright.units import MM_PER_INCH, LengthUnit, shown

_EDGE_MM = 1e-6
_STEPS_DEG = (30, 60, 90, 180)
_LEAST_ROOM_MM = 5.0
_FINE_DEG = 10
_TICK_MM = 10.0


def scale_up(shape: WrapShape, place: Place, unit: LengthUnit) -> Items:
    """Ticks along the left edge and the seam, from the lower edge: each 10 mm, or each half inch."""
    items: list[Item] = []
    taken = [box.middle_mm[1] for box, _ in pointers(shape, place) if box.left_mm < place(9.0, 0.0)[0]]
    step = _TICK_MM if unit == "mm" else MM_PER_INCH / 2.0
    for tick in np.arange(step, shape.upper_mm - shape.lower_mm - 0.5, step):
        up = shape.lower_mm + float(tick)
        for edge, inward in ((0.0, 2.0), (shape.turn_mm, -2.0)):
            items.append(line(place(edge, up), place(edge + inward, up), width_mm=0.25))
        at = place(2.4, up - 0.8)
        if (
            tick > 1.5 * step
            and up < shape.upper_mm - 2.0
            and all(abs(at[1] - other) > 4.0 for other in taken)
        ):
            words = Text(
                at_mm=at, text=shown(tick, 0) if unit == "mm" else f'{tick / MM_PER_INCH:g}"', height_mm=1.8
            )
            items += [filled(text_box(words).inset(-0.3), "white"), words]
    return tuple(items)


def scale_round(shape: WrapShape, place: Place, unit: LengthUnit) -> Items:
    """Ticks in degrees from the datum line along the lower edge, with the cut's height at each 30 or what has room."""
    items: list[Item] = []
    low = shape.lower_mm
    step, room = _step(shape)
    for around in range(0, 360, _FINE_DEG):
        long = around % step == 0
        for right in _both_edges(shape, around):
            items.append(line(place(right, low), place(right, low + (3.0 if long else 1.5)), width_mm=0.25))
            if long:
                items += _round_words(shape, around, right, room, place, unit)
    return tuple(items)


def _step(shape: WrapShape) -> tuple[int, float]:
    """Degrees from one figure to the next, and the room that each has."""
    rooms = [(step, shape.turn_mm * step / 360.0 - 0.8) for step in _STEPS_DEG]
    return next((one for one in rooms if one[1] >= _LEAST_ROOM_MM), rooms[-1])


def _both_edges(shape: WrapShape, around_deg: float) -> tuple[float, ...]:
    right = shape.right_mm(around_deg)
    return (right, shape.turn_mm) if right < _EDGE_MM else (right,)


def _round_words(
    shape: WrapShape, around: int, right: float, room: float, place: Place, unit: LengthUnit
) -> Items:
    """Degrees, and the height of the cut over them; beside the left edge in one row above the others."""
    cut = shape.cut_at_mm(around) - shape.lower_mm
    figure = "-" if math.isnan(cut) else (shown(cut, 1) if unit == "mm" else shown(cut / MM_PER_INCH, 2))
    low = shape.lower_mm
    if right > shape.turn_mm - _EDGE_MM:
        return ()
    words: tuple[Text, ...]
    if right < _EDGE_MM:
        words = (
            fitted(f"{around}°: {figure}", place(0.8, low + 10.4), room * 2.6, 2.0, least_mm=1.5, bold=True),
        )
    else:
        words = (
            fitted(f"{around}°", place(right, low + 3.9), room, 2.2, least_mm=1.5, anchor="middle"),
            fitted(figure, place(right, low + 7.1), room, 2.2, least_mm=1.5, anchor="middle", bold=True),
        )
    return tuple(item for one in words for item in (filled(text_box(one).inset(-0.2), "white"), one))


def pointers(shape: WrapShape, place: Place) -> list[tuple[Box, Items]]:
    """Pointers to heel and toe with the boxes of their words."""
    found: list[tuple[Box, Items]] = []
    heel_deg = shape.wrap.heel_deg
    for text, around in () if heel_deg is None else (("heel", heel_deg), ("toe", heel_deg + 180.0)):
        up = shape.cut_at_mm(around)
        if math.isnan(up):
            continue
        right = shape.right_mm(around)
        half = width_mm(text, 2.4, bold=True) / 2.0 + 0.8
        foot = (max(right - 1.0, 0.0), min(right + 1.0, shape.turn_mm))
        inside = float(np.clip(right, half, shape.turn_mm - half))
        if abs(inside - shape.right_mm(0.0)) < half + 0.8:
            inside = shape.right_mm(0.0) + half + 0.8
        words = Text(at_mm=place(inside, up - 5.8), text=text, height_mm=2.4, anchor="middle", bold=True)
        box = text_box(words).inset(-0.3)
        corners = (place(right, up), place(foot[0], up - 2.6), place(foot[1], up - 2.6))
        found.append((box, (Polygon(points_mm=corners), filled(box, "white"), words)))
    return found

"""One wrap on the page: what is cut out, and the words over and under it."""

import itertools

import numpy as np

from hoopwright.papers.drawing import Item, Items, Point, Polyline, Text, filled, line
from hoopwright.papers.lettering import height_to_fit, text_box, width_mm
from hoopwright.papers.wrap_scales import pointers, scale_round, scale_up
from hoopwright.papers.wrap_shape import Place, WrapShape
from hoopwright.papers.wrap_words import (
    OVER_MM,
    band_words,
    overlap_words,
    under_mm,
    words_over,
    words_under,
)
from hoopwright.units import LengthUnit

CUT_LINE_MM = 0.5
DATUM_LINE_MM = 0.7
_HATCH_MM = 6.0


def block_height_mm(shape: WrapShape, unit: LengthUnit) -> float:
    """Height of a wrap with its words."""
    return OVER_MM + shape.upper_mm - shape.lower_mm + under_mm(shape, unit) + 2.0


def wrap_block(shape: WrapShape, corner_mm: Point, unit: LengthUnit) -> Items:
    """A wrap and its words from the top left corner of its block."""
    left, top = corner_mm[0], corner_mm[1] + OVER_MM

    def place(right_mm: float, up_mm: float) -> Point:
        return (left + right_mm, top + shape.upper_mm - up_mm)

    return (
        *_hatched(shape, place),
        *_waste_words(shape, place),
        *_edges(shape, place),
        *scale_up(shape, place, unit),
        *scale_round(shape, place, unit),
        *(item for _, items in pointers(shape, place) for item in items),
        *band_words(shape, place),
        *_cut(shape, place),
        *overlap_words(shape, place),
        *words_over(shape, corner_mm, unit),
        *words_under(shape, place, unit),
    )


def _edges(shape: WrapShape, place: Place) -> Items:
    """The paper's outline, the line where its left edge is laid, the datum line, the reference line."""
    low, high, turn, wide = shape.lower_mm, shape.upper_mm, shape.turn_mm, shape.width_mm
    corners = (place(0.0, low), place(0.0, high), place(wide, high), place(wide, low))
    middle = shape.right_mm(0.0)
    items: list[Item] = [
        Polyline(points_mm=corners, width_mm=0.35, closed=True),
        line(place(turn, low), place(turn, high), width_mm=0.35, dash_mm=(2.0, 1.0)),
        line(place(middle, low), place(middle, high), width_mm=DATUM_LINE_MM, dash_mm=(6.0, 1.2, 1.2, 1.2)),
    ]
    if low < 0.0:
        items.append(line(place(0.0, 0.0), place(turn, 0.0), width_mm=0.25, dash_mm=(3.0, 1.5)))
    return tuple(items)


def _cut(shape: WrapShape, place: Place) -> Items:
    """The line to cut, and on over the overlap; dashes and words where no header cuts."""
    items: list[Item] = []
    for pieces, wide in ((shape.cuts, CUT_LINE_MM), (shape.tab_cuts, 0.25)):
        items += [
            Polyline(points_mm=tuple(place(float(x), float(y)) for x, y in piece), width_mm=wide)
            for piece in pieces
        ]
    for pieces, wide in ((shape.bridges, 0.35), (shape.tab_bridges, 0.25)):
        items += [
            Polyline(
                points_mm=tuple(place(float(x), float(y)) for x, y in piece),
                width_mm=wide,
                dash_mm=(2.0, 1.5),
            )
            for piece in pieces
        ]
    for left, right in shape.uncut:
        items += [
            line(place(x, _foot_mm(shape, x)), place(x, shape.upper_mm), width_mm=0.35, dash_mm=(1.0, 1.0))
            for x in (left, right)
        ]
        room = right - left - 1.0
        if room > 4.0:
            at = place((left + right) / 2.0, shape.upper_mm - 4.5)
            height = height_to_fit("not cut here", room, 2.4)
            items.append(Text(at_mm=at, text="not cut here", height_mm=height, anchor="middle"))
    return tuple(items)


def _foot_mm(shape: WrapShape, right_mm: float) -> float:
    """Where the edge of a stretch that is not cut begins: on its bridge, where it has one."""
    ends = [end for bridge in shape.bridges for end in (bridge[0], bridge[-1])]
    near = (float(end[1]) for end in ends if abs(float(end[0]) - right_mm) < 1e-6)
    return next(near, shape.lowest_mm)


def _hatched(shape: WrapShape, place: Place) -> Items:
    """Slanting lines over what is cut off."""
    items: list[Item] = []
    span = shape.upper_mm - shape.lowest_mm
    for first in np.arange(-span, shape.turn_mm, _HATCH_MM):
        up = np.arange(0.0, span + 1e-9, min(0.25, span / 8.0))
        right = first + up
        over = _is_waste(shape, right, shape.lowest_mm + up)
        for inside, rows in itertools.groupby(range(len(up)), key=lambda row: bool(over[row])):
            found = list(rows)
            if inside and len(found) > 1:
                ends = (found[0], found[-1])
                a, b = (place(float(right[row]), shape.lowest_mm + float(up[row])) for row in ends)
                items.append(line(a, b, width_mm=0.25))
    return tuple(items)


def _is_waste(shape: WrapShape, right: np.ndarray, up: np.ndarray) -> np.ndarray:
    waste = np.zeros(len(right), dtype=bool)
    for piece in shape.cuts:
        here = (right > piece[0, 0]) & (right < piece[-1, 0])
        waste |= here & (up > np.interp(right, piece[:, 0], piece[:, 1])) & (up < shape.upper_mm)
    return waste


def _waste_words(shape: WrapShape, place: Place) -> Items:
    """WASTE where there is most room for it."""
    text, height = "WASTE", 4.0
    half = width_mm(text, height, bold=True) / 2.0 + 1.0
    middle = shape.right_mm(0.0)
    best_mm, best_right = 0.0, None
    for right in np.arange(half + 7.0, shape.turn_mm - half, 1.0):
        if abs(right - middle) < half + 1.0:
            continue
        over = shape.upper_mm - _highest_within(shape, right - half, right + half)
        if over > best_mm + 1e-9:
            best_mm, best_right = over, float(right)
    if best_right is None or best_mm < height * 0.6:
        return ()
    height = min(height, best_mm * 0.55)
    base = shape.upper_mm - best_mm / 2.0 - height / 2.0
    words = Text(at_mm=place(best_right, base), text=text, height_mm=height, anchor="middle", bold=True)
    return (filled(text_box(words).inset(-0.6), "white"), words)


def _highest_within(shape: WrapShape, left_mm: float, right_mm: float) -> float:
    """Highest place of the cut over a stretch; the upper edge where part of the stretch is not cut."""
    for piece in shape.cuts:
        if piece[0, 0] <= left_mm and right_mm <= piece[-1, 0]:
            inside = (piece[:, 0] > left_mm) & (piece[:, 0] < right_mm)
            ends = np.interp([left_mm, right_mm], piece[:, 0], piece[:, 1])
            return float(max(*ends, piece[inside, 1].max(initial=-np.inf)))
    return shape.upper_mm

"""One wrap on the page: what is cut out, and the words over and under it."""

import itertools
import math
from collections.abc import Callable

import numpy as np

from hoopwright.papers.drawing import Box, Item, Items, Point, Polygon, Polyline, Text, filled, line
from hoopwright.papers.lettering import fitted, height_to_fit, text_box, width_mm, wrapped
from hoopwright.papers.words import both
from hoopwright.papers.wrap_shape import WrapShape
from hoopwright.units import MM_PER_INCH, LengthUnit

OVER_MM = 10.0
CUT_LINE_MM = 0.5
DATUM_LINE_MM = 0.7
_HATCH_MM = 6.0
_EDGE_MM = 1e-6
_STEP_DEG = 30
_FINE_DEG = 10
_TICK_MM = 10.0
_WIDEST_WORDS_MM = 165.0
_SEAT_MM, _NOTE_MM = 2.8, 2.2
LEGEND = "cut on the middle of the heavy line; figures: degrees from the datum line and height of the cut"
Place = Callable[[float, float], Point]


def block_height_mm(shape: WrapShape, unit: LengthUnit) -> float:
    """Height of a wrap with its words."""
    under = sum(height * 1.5 for _, height, _ in _under_lines(shape, unit))
    return OVER_MM + shape.upper_mm - shape.lower_mm + under + 2.0


def wrap_block(shape: WrapShape, corner_mm: Point, unit: LengthUnit) -> Items:
    """A wrap and its words from the top left corner of its block."""
    left, top = corner_mm[0], corner_mm[1] + OVER_MM

    def place(right_mm: float, up_mm: float) -> Point:
        return (left + right_mm, top + shape.upper_mm - up_mm)

    return (
        *_hatched(shape, place),
        *_waste_words(shape, place),
        *_edges(shape, place),
        *_cut(shape, place),
        *_scale_up(shape, place),
        *_scale_round(shape, place, unit),
        *(item for _, items in _pointers(shape, place) for item in items),
        *_band_words(shape, place),
        *_overlap_words(shape, place),
        *_over(shape, corner_mm, unit),
        *_under(shape, place, unit),
    )


def heading(shape: WrapShape) -> str:
    """Which end of which bar, and to what it is cut."""
    return f"{shape.wrap.bar_id} end {shape.wrap.end}, cut to {' and '.join(shape.wrap.headers)}"


def seat_words(shape: WrapShape, unit: LengthUnit) -> str:
    """Where the lower edge of the paper is set."""
    wrap = shape.wrap
    from_a = _along(shape, shape.lower_mm)
    words = f"Set the lower edge square round the tube {both(from_a, unit)} from end A"
    if wrap.mark_mm is None:
        return words
    way = "A" if from_a < wrap.mark_mm else "B"
    return f"{words}, {both(abs(from_a - wrap.mark_mm), unit)} from the {wrap.mark} toward end {way}"


def _along(shape: WrapShape, up_mm: float) -> float:
    """Along the marked tube from end A to a height on the paper."""
    return shape.wrap.reference_mm + (up_mm if shape.wrap.end == "B" else -up_mm)


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
    """The line to cut, and on over the overlap; where nothing is cut the paper says so."""
    items: list[Item] = []
    for pieces, wide in ((shape.cuts, CUT_LINE_MM), (shape.tab_cuts, 0.25)):
        items += [
            Polyline(points_mm=tuple(place(float(x), float(y)) for x, y in piece), width_mm=wide)
            for piece in pieces
        ]
    for left, right in shape.uncut:
        items += [
            line(place(x, shape.lowest_mm), place(x, shape.upper_mm), width_mm=0.35, dash_mm=(1.0, 1.0))
            for x in (left, right)
        ]
        room = right - left - 1.0
        if room > 4.0:
            at = place((left + right) / 2.0, shape.upper_mm - 4.5)
            height = height_to_fit("not cut here", room, 2.4)
            items.append(Text(at_mm=at, text="not cut here", height_mm=height, anchor="middle"))
    return tuple(items)


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


def _scale_up(shape: WrapShape, place: Place) -> Items:
    """Ticks in mm along the left edge and the seam, from the reference line."""
    items: list[Item] = []
    first = math.ceil(shape.lower_mm / _TICK_MM) * _TICK_MM
    taken = [
        words[0].middle_mm[1] for words in _pointers(shape, place) if words[0].left_mm < place(9.0, 0.0)[0]
    ]
    for up in np.arange(first, shape.upper_mm - 0.5, _TICK_MM):
        for edge, inward in ((0.0, 2.0), (shape.turn_mm, -2.0)):
            items.append(line(place(edge, float(up)), place(edge + inward, float(up)), width_mm=0.25))
        at = place(2.4, float(up) - 0.8)
        free = all(abs(at[1] - other) > 4.0 for other in taken)
        if up != 0.0 and up > shape.lower_mm + 14.5 and free:
            words = Text(at_mm=at, text=f"{up:.0f}", height_mm=1.8)
            items += [filled(text_box(words).inset(-0.3), "white"), words]
    return tuple(items)


def _scale_round(shape: WrapShape, place: Place, unit: LengthUnit) -> Items:
    """Ticks in degrees from the datum line along the lower edge, with the cut's height at each 30."""
    items: list[Item] = []
    low = shape.lower_mm
    room = shape.turn_mm * _STEP_DEG / 360.0 - 0.8
    for around in range(0, 360, _FINE_DEG):
        long = around % _STEP_DEG == 0
        for right in _both_edges(shape, around):
            items.append(line(place(right, low), place(right, low + (3.0 if long else 1.5)), width_mm=0.25))
            if long:
                items += _round_words(shape, around, right, room, place, unit)
    return tuple(items)


def _both_edges(shape: WrapShape, around_deg: float) -> tuple[float, ...]:
    right = shape.right_mm(around_deg)
    return (right, shape.turn_mm) if right < _EDGE_MM else (right,)


def _round_words(
    shape: WrapShape, around: int, right: float, room: float, place: Place, unit: LengthUnit
) -> Items:
    """Degrees, and the height of the cut over them; beside the left edge in one row above the others."""
    cut = shape.cut_at_mm(around) - shape.lower_mm
    figure = "-" if math.isnan(cut) else (f"{cut:.1f}" if unit == "mm" else f"{cut / MM_PER_INCH:.2f}")
    low = shape.lower_mm
    if right > shape.turn_mm - _EDGE_MM:
        return ()
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


def _pointers(shape: WrapShape, place: Place) -> list[tuple[Box, Items]]:
    """Pointers to heel and toe with the boxes of their words."""
    found: list[tuple[Box, Items]] = []
    for text, around in (("heel", shape.wrap.heel_deg), ("toe", shape.wrap.heel_deg + 180.0)):
        up = shape.cut_at_mm(around)
        if math.isnan(up):
            continue
        right = shape.right_mm(around)
        half = width_mm(text, 2.4, bold=True) / 2.0 + 0.8
        foot = (max(right - 1.0, 0.0), min(right + 1.0, shape.turn_mm))
        shown = float(np.clip(right, half, shape.turn_mm - half))
        if abs(shown - shape.right_mm(0.0)) < half + 0.8:
            shown = shape.right_mm(0.0) + half + 0.8
        words = Text(at_mm=place(shown, up - 5.8), text=text, height_mm=2.4, anchor="middle", bold=True)
        box = text_box(words).inset(-0.3)
        corners = (place(right, up), place(foot[0], up - 2.6), place(foot[1], up - 2.6))
        found.append((box, (Polygon(points_mm=corners), filled(box, "white"), words)))
    return found


def _band_words(shape: WrapShape, place: Place) -> Items:
    """What it is and how it lies, left and right of the datum line."""
    wrap = shape.wrap
    half = shape.turn_mm / 2.0 - 9.0
    left, right = 7.0, shape.turn_mm / 2.0 + 2.0
    low = shape.lower_mm
    other = "A" if wrap.end == "B" else "B"
    rows = (
        (left, 18.6, f"{wrap.bar_id} end {wrap.end}", 5.2, True),
        (left, 14.2, f"to {', '.join(wrap.headers)}", 2.6, False),
        (right, 19.0, "THIS SIDE OUT", 3.6, True),
        (right, 13.6, f"lower edge toward end {other}", 2.6, True),
    )
    words = (
        fitted(text, place(at, low + up), half, tallest, bold=bold) for at, up, text, tallest, bold in rows
    )
    return (*words, *_arrow(shape, place))


def _arrow(shape: WrapShape, place: Place) -> Items:
    """An arrow to the middle of the tube, at the right."""
    right, low = shape.turn_mm - 4.2, shape.lower_mm
    tip = place(right, low + 11.4)
    wings = (place(right - 1.6, low + 15.0), place(right + 1.6, low + 15.0))
    return (
        line(place(right, low + 22.0), place(right, low + 14.6), width_mm=0.8),
        Polygon(points_mm=(tip, *wings)),
    )


def _overlap_words(shape: WrapShape, place: Place) -> Items:
    """The overlap: glued under the left edge."""
    low = shape.lower_mm
    room = shape.lowest_mm - low - 4.0
    rows = (("left edge lies on this line", 3.2), ("overlap: glue under the left edge", 7.6))
    return tuple(
        Text(
            at_mm=place(shape.turn_mm + aside, low + 2.0),
            text=text,
            height_mm=height_to_fit(text, room, 2.2),
            turn_deg=90.0,
        )
        for text, aside in rows
    )


def _words_mm(shape: WrapShape) -> float:
    return min(shape.width_mm, _WIDEST_WORDS_MM)


def _over(shape: WrapShape, corner_mm: Point, unit: LengthUnit) -> Items:
    left, top = corner_mm
    depth = both(shape.highest_mm - shape.lowest_mm, unit)
    data = f"tube {both(shape.wrap.od_mm, unit)}, {shape.turn_mm:.1f} mm round; cut {depth} deep"
    room = _words_mm(shape)
    return (
        fitted(heading(shape), (left, top + 4.4), room, 3.4, bold=True),
        fitted(data, (left, top + 8.4), room, 2.3, least_mm=1.7),
    )


def _under_lines(shape: WrapShape, unit: LengthUnit) -> list[tuple[str, float, bool]]:
    """Lines under the paper with their height, and whether they are bold."""
    room = _words_mm(shape)
    seat = wrapped(seat_words(shape, unit), room, _SEAT_MM, bold=True)
    datum = wrapped(f"Datum line: {shape.wrap.datum}.", room, _NOTE_MM)
    return [*((text, _SEAT_MM, True) for text in seat), *((text, _NOTE_MM, False) for text in datum)]


def _under(shape: WrapShape, place: Place, unit: LengthUnit) -> Items:
    items: list[Item] = []
    down = 0.4
    for text, height, bold in _under_lines(shape, unit):
        down += height * 1.5
        at = place(0.0, shape.lower_mm - down)
        items.append(Text(at_mm=at, text=text, height_mm=height, bold=bold))
    return tuple(items)

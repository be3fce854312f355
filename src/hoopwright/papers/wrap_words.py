"""The words of a wrap: on it, over it and under it."""

from hoopwright.papers.drawing import Item, Items, Point, Polygon, Text, filled, line
from hoopwright.papers.lettering import fitted, height_to_fit, text_box, width_mm, wrapped
from hoopwright.papers.words import both
from hoopwright.papers.wrap_shape import Place, WrapShape
from hoopwright.units import MM_PER_INCH, LengthUnit, shown

LEGEND = "cut on the middle of the heavy line; figures: degrees from the datum line and height of the cut"
OVERHANGS = "no header cuts the tube there: it overhangs. Saw along that line by eye and close the opening with a plate"
OVER_MM = 9.4
_WIDEST_WORDS_MM = 165.0
_NARROWEST_WORDS_MM = 80.0
_SEAT_MM, _NOTE_MM, _LEAST_MM = 2.8, 2.2, 1.8
_WIDE_MM = 17.0


def heading(shape: WrapShape) -> str:
    """Which end of which bar, and to what it is cut."""
    return f"{shape.wrap.bar_id} end {shape.wrap.end}, cut to {' and '.join(shape.wrap.headers)}"


def seat_words(shape: WrapShape, unit: LengthUnit) -> str:
    """Where the lower edge of the paper is set."""
    wrap = shape.wrap
    edge = _along(shape, shape.lower_mm)
    words = f"Lower edge square round the tube {both(edge, unit)} from {wrap.measured_from}"
    if wrap.mark_mm is not None:
        way = "A" if edge < wrap.mark_mm else "B"
        words += f", {both(abs(edge - wrap.mark_mm), unit)} from {wrap.mark} toward end {way}"
    if shape.lower_mm < 0.0:
        line_at = both(_along(shape, 0.0), unit)
        words += f". Where a bend is in the way, trim the paper at the dashed line, {line_at} from {wrap.measured_from}"
    return f"{words}."


def _along(shape: WrapShape, up_mm: float) -> float:
    """Along the tube, from where the reference line is measured, to a height on the paper."""
    return shape.wrap.reference_mm + (up_mm if shape.wrap.end == "B" else -up_mm)


def band_words(shape: WrapShape, place: Place) -> Items:
    """What it is and how it lies, left and right of the datum line."""
    wrap = shape.wrap
    half = shape.turn_mm / 2.0 - 9.0
    left, right = 7.0, shape.turn_mm / 2.0 + 2.0
    low = shape.lower_mm
    other = "A" if wrap.end == "B" else "B"
    rows = (
        (left, 18.6, f"{wrap.bar_id} end {wrap.end}", 5.2, True),
        (left, 14.2, f"to {', '.join(wrap.headers)}", 2.6, False),
        (right, 19.0, "THIS SIDE OUT" if half > _WIDE_MM else "OUT", 3.6, True),
        (right, 13.6, f"lower edge toward end {other}", 2.6, True),
    )
    words = [
        fitted(text, place(at, low + up), half, tallest, bold=bold)
        for at, up, text, tallest, bold in rows
        if half > 0.0 and width_mm(text, _LEAST_MM, bold=bold) <= half
    ]
    backs = (filled(text_box(one).inset(-0.4), "white") for one in words)
    return (*backs, *words, *_arrow(shape, place))


def _arrow(shape: WrapShape, place: Place) -> Items:
    """An arrow to the middle of the tube, at the right."""
    right, low = shape.turn_mm - 4.2, shape.lower_mm
    tip = place(right, low + 11.4)
    wings = (place(right - 1.6, low + 15.0), place(right + 1.6, low + 15.0))
    return (
        line(place(right, low + 22.0), place(right, low + 14.6), width_mm=0.8),
        Polygon(points_mm=(tip, *wings)),
    )


def overlap_words(shape: WrapShape, place: Place) -> Items:
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


def block_width_mm(shape: WrapShape) -> float:
    """Width of a wrap with its words."""
    return max(shape.width_mm, _NARROWEST_WORDS_MM)


def _words_mm(shape: WrapShape) -> float:
    return min(block_width_mm(shape), _WIDEST_WORDS_MM)


def words_over(shape: WrapShape, corner_mm: Point, unit: LengthUnit) -> Items:
    """Which end it is, its tube and how deep the cut is."""
    left, top = corner_mm
    depth_mm = shape.highest_mm - shape.lowest_mm
    tube, turn, depth = both(shape.wrap.od_mm, unit), f"{shown(shape.turn_mm, 1)} mm", both(depth_mm, unit)
    if unit == "in":
        tube, turn, depth = (_exact(one) for one in (shape.wrap.od_mm, shape.turn_mm, depth_mm))
    data = f"tube {tube}, {turn} round; cut {depth} deep"
    room = _words_mm(shape)
    return (
        fitted(heading(shape), (left, top + 4.4), room, 3.4, bold=True),
        fitted(data, (left, top + 8.4), room, 2.3, least_mm=1.7),
    )


def _exact(length_mm: float) -> str:
    """Inches finer than a tape has them, and mm."""
    return f'{shown(length_mm / MM_PER_INCH, 3)}" ({shown(length_mm, 1)} mm)'


def _lines_under(shape: WrapShape, unit: LengthUnit) -> list[tuple[str, float, bool]]:
    """Lines under the paper with their height, and whether they are bold."""
    room = _words_mm(shape)
    seat = wrapped(seat_words(shape, unit), room, _SEAT_MM, bold=True)
    datum = wrapped(f"Datum line: {shape.wrap.datum}.", room, _NOTE_MM)
    notes = [*datum, *(wrapped(f"Dashes: {OVERHANGS}.", room, _NOTE_MM) if shape.bridges else ())]
    return [*((text, _SEAT_MM, True) for text in seat), *((text, _NOTE_MM, False) for text in notes)]


def words_under(shape: WrapShape, place: Place, unit: LengthUnit) -> Items:
    """Where the lower edge goes, and what the datum line is."""
    items: list[Item] = []
    down = 0.4
    for text, height, bold in _lines_under(shape, unit):
        down += height * 1.5
        at = place(0.0, shape.lower_mm - down)
        items.append(Text(at_mm=at, text=text, height_mm=height, bold=bold))
    return tuple(items)


def under_mm(shape: WrapShape, unit: LengthUnit) -> float:
    """Height of the words under the paper."""
    return sum(height * 1.5 for _, height, _ in _lines_under(shape, unit))

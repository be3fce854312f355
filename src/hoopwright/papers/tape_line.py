"""The blank as a line with its marks: running from end A, and again from end B."""

from dataclasses import dataclass

from hoopwright.bender.sheet import BarSheet, TubeEnd
from hoopwright.papers.drawing import Box, Item, Items, Polyline, Text, frame, line
from hoopwright.papers.lettering import width_mm
from hoopwright.papers.symbols import numbered_ring
from hoopwright.papers.words import figure, measure
from hoopwright.units import LengthUnit

TAPE_LINE_HEIGHT_MM = 27.4
BARE_TAPE_LINE_HEIGHT_MM = 16.0
_TUBE_MM = 4.0
_GAP_MM = 2.2
_TITLES_MM = 23.0


@dataclass(frozen=True, kw_only=True)
class _Label:
    along_mm: float
    words: str
    bend: int | None


def tape_line(sheet: BarSheet, box: Box, unit: LengthUnit) -> Items:
    """The tube from A to B with the mark of each bend; above it distances from A, below it from B."""
    bends = sorted(sheet.steps, key=lambda step: step.mark_mm)
    from_a = [_Label(along_mm=s.mark_mm, words=figure(s.mark_mm, unit), bend=s.bend) for s in bends]
    from_b = [_Label(along_mm=s.mark_mm, words=figure(s.mark_from_b_mm, unit), bend=None) for s in bends]
    from_a.append(_Label(along_mm=sheet.blank_mm, words=measure(sheet.blank_mm, unit), bend=None))
    room = Box(
        left_mm=box.left_mm + _TITLES_MM,
        top_mm=box.top_mm,
        width_mm=box.width_mm - _TITLES_MM,
        height_mm=box.height_mm,
    )
    tube = Box(
        left_mm=room.left_mm + 9.0,
        top_mm=room.top_mm + (14.0 if bends else 10.0),
        width_mm=room.width_mm - 18.0,
        height_mm=_TUBE_MM,
    )
    return (
        frame(tube, width_mm=0.5),
        *_end(tube, "A"),
        *_end(tube, "B"),
        *_trims(sheet, tube),
        *_labels(from_a, sheet.blank_mm, tube, room, above=True),
        *_labels(from_b, sheet.blank_mm, tube, room, above=False),
        Text(at_mm=(box.left_mm, tube.top_mm - 4.4), text="tape from A", height_mm=2.4, bold=True),
        *_title(bool(bends), box, tube),
    )


def _title(bends: bool, box: Box, tube: Box) -> Items:
    at = (box.left_mm, tube.bottom_mm + 7.4)
    return (Text(at_mm=at, text="tape from B", height_mm=2.4, bold=True),) if bends else ()


def _end(tube: Box, end: TubeEnd) -> Items:
    middle = tube.middle_mm[1]
    right = tube.left_mm - 4.6 if end == "A" else tube.right_mm + 4.6
    return numbered_ring((right, middle), end, radius_mm=3.4, dark=True)


def _trims(sheet: BarSheet, tube: Box) -> Items:
    """Hatched ends: tube that is cut off after the test fit."""
    items: list[Item] = []
    scale = tube.width_mm / sheet.blank_mm
    for trim, at_a in ((sheet.trim_a_mm, True), (sheet.trim_b_mm, False)):
        if trim > 0.0:
            edge = tube.left_mm + trim * scale if at_a else tube.right_mm - trim * scale
            items.append(line((edge, tube.top_mm), (edge, tube.bottom_mm), width_mm=0.35, dash_mm=(0.8, 0.6)))
    return tuple(items)


def _labels(labels: list[_Label], blank_mm: float, tube: Box, box: Box, *, above: bool) -> Items:
    """Figures beside the tube, pushed apart, each with a leader to its mark."""
    height = _height(labels, box.width_mm)
    widths = [width_mm(label.words, height, bold=True) for label in labels]
    scale = tube.width_mm / blank_mm
    marks = [tube.left_mm + label.along_mm * scale for label in labels]
    places = _pushed_apart(marks, widths, box)
    items: list[Item] = []
    edge, knee, base = (
        (tube.top_mm, tube.top_mm - 3.2, tube.top_mm - 4.4)
        if above
        else (tube.bottom_mm, tube.bottom_mm + 3.2, tube.bottom_mm + 4.4 + height)
    )
    for label, mark, place in zip(labels, marks, places, strict=True):
        inner = tube.bottom_mm if above else edge
        items.append(
            Polyline(
                points_mm=((mark, inner), (mark, edge), (place, knee), (place, _beyond(knee, above))),
                width_mm=0.5,
            )
        )
        items.append(
            Text(at_mm=(place, base), text=label.words, height_mm=height, anchor="middle", bold=True)
        )
        if label.bend is not None:
            items.extend(numbered_ring((place, base - height - 3.4), str(label.bend), radius_mm=2.4))
    return tuple(items)


def _beyond(knee_mm: float, above: bool) -> float:
    return knee_mm - 0.5 if above else knee_mm + 0.5


def _height(labels: list[_Label], room_mm: float) -> float:
    tallest = 4.0
    needed = sum(width_mm(label.words, tallest, bold=True) + _GAP_MM for label in labels)
    return tallest if needed <= room_mm else max(2.0, tallest * room_mm / needed * 0.98)


def _pushed_apart(marks_mm: list[float], widths_mm: list[float], box: Box) -> list[float]:
    """Middles of the figures, in order, none on another, all within the box."""
    places: list[float] = []
    edge = box.left_mm
    for mark, wide in zip(marks_mm, widths_mm, strict=True):
        place = max(mark, edge + wide / 2.0)
        places.append(place)
        edge = place + wide / 2.0 + _GAP_MM
    edge = box.right_mm
    for index in range(len(places) - 1, -1, -1):
        places[index] = min(places[index], edge - widths_mm[index] / 2.0)
        edge = places[index] - widths_mm[index] / 2.0 - _GAP_MM
    return places

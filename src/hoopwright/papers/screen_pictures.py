"""Pictures for a small screen at the bender: few lines, large words, and the wrong way beside the right one."""

from collections.abc import Sequence

from hoopwright.bars import Bar
from hoopwright.bender.machine import Swing
from hoopwright.bender.sheet import BendStep, TubeEnd
from hoopwright.bender.step_poses import StepPose
from hoopwright.papers.bar_pictures import tube_alone
from hoopwright.papers.bend_pose import OperatorEye, bend_pose
from hoopwright.papers.drawing import Box, Items, Page, Point, Polygon, Polyline, Text, frame, line
from hoopwright.papers.lettering import width_mm
from hoopwright.papers.symbols import clock_face, numbered_ring, turn_arrow

POSE_BOX = Box(left_mm=0.0, top_mm=0.0, width_mm=84.0, height_mm=50.0)
BAR_BOX = Box(left_mm=0.0, top_mm=0.0, width_mm=84.0, height_mm=44.0)
_SMALL = Box(left_mm=0.0, top_mm=0.0, width_mm=40.0, height_mm=26.0)
_TAPE = Box(left_mm=0.0, top_mm=0.0, width_mm=84.0, height_mm=22.0)
_CROSS_MM = 1.6
_TUBE_MM, _DIE_MM = 3.6, 6.0


def pose_picture(pose: StepPose, eye: OperatorEye | None = None) -> Page:
    """The tube in the die, as the operator sees it; the screen says in its own words from where."""
    return _page(POSE_BOX, bend_pose(pose, eye or OperatorEye(words=""), POSE_BOX))


def bar_picture(bar: Bar, side: str) -> Page:
    """The finished bar, its ends lettered and its bends numbered."""
    return _page(BAR_BOX, tube_alone(bar, side, BAR_BOX))


def turn_picture(turn_deg: float, hour: float | None, *, crossed: bool) -> Page:
    """Which way to turn, and where the leg then points; crossed out for the way that is wrong.

    Args:
        turn_deg: Clockwise positive, seen from the tail.
        hour: Where the leg points, as the hour on a clock; None where no leg is there to point.
        crossed: Whether this is the wrong way.
    """
    middle = _SMALL.middle_mm[1]
    arrow = turn_arrow((10.0, middle), 6.0, clockwise=turn_deg > 0.0)
    clock: Items = () if hour is None else clock_face((29.0, middle), 9.0, hour)
    return _page(_SMALL, (*arrow, *clock, *(_crossed(_SMALL) if crossed else ())))


def end_picture(leads: TubeEnd, *, crossed: bool) -> Page:
    """Which end goes through the die first: tube from the left, die at the right."""
    tail: TubeEnd = "B" if leads == "A" else "A"
    down = _SMALL.middle_mm[1] - 3.0
    tube = Box(left_mm=8.0, top_mm=down - _TUBE_MM / 2.0, width_mm=23.0, height_mm=_TUBE_MM)
    die = (27.0, down + _TUBE_MM / 2.0 + _DIE_MM)
    drawn: Items = (
        *numbered_ring(die, "die", radius_mm=_DIE_MM),
        frame(tube, width_mm=0.6),
        *numbered_ring((35.0, down), leads, radius_mm=3.4, dark=True),
        *numbered_ring((4.2, down), tail, radius_mm=3.4, dark=True),
        *_arrow((9.0, down - 5.0), (24.0, down - 5.0)),
    )
    return _page(_SMALL, (*drawn, *(_crossed(_SMALL) if crossed else ())))


def mark_picture(steps: Sequence[BendStep], blank_mm: float, bend: int | None) -> Page:
    """The blank with every mark; the one in hand tall, with the side of it on which the bend comes.

    Args:
        steps: The bends.
        blank_mm: Length of the tube.
        bend: The bend whose mark is in hand; None shows all alike.
    """
    tube = Box(left_mm=9.0, top_mm=9.0, width_mm=_TAPE.width_mm - 18.0, height_mm=3.6)
    scale = tube.width_mm / blank_mm
    drawn: list[Items] = [
        (frame(tube, width_mm=0.6),),
        numbered_ring((4.6, tube.middle_mm[1]), "A", radius_mm=3.4, dark=True),
        numbered_ring((_TAPE.width_mm - 4.6, tube.middle_mm[1]), "B", radius_mm=3.4, dark=True),
    ]
    for step in steps:
        at = tube.left_mm + step.mark_mm * scale
        is_it = step.bend == bend
        reach = 2.4 if is_it else 0.0
        drawn.append(
            (line((at, tube.top_mm - reach), (at, tube.bottom_mm + reach), width_mm=1.0 if is_it else 0.5),)
        )
        if is_it:
            way = 1.0 if step.fed_from == "A" else -1.0
            drawn.append(numbered_ring((at, tube.top_mm - 5.2), str(step.bend), radius_mm=2.6))
            drawn.append(_arrow((at, tube.bottom_mm + 4.4), (at + way * 8.0, tube.bottom_mm + 4.4)))
            drawn.append((_under(at + way * 4.0, tube.bottom_mm + 8.6),))
    return _page(_TAPE, tuple(item for items in drawn for item in items))


def wrong_hour(hour: float | None, turn_deg: float, swings: Swing) -> float | None:
    """Where the leg would point if the tube were turned the other way."""
    if hour is None:
        return None
    as_bent = 3.0 if swings == "clockwise" else 9.0
    other = (as_bent - turn_deg / 30.0) % 12.0
    return other or 12.0


def _under(right_mm: float, down_mm: float) -> Text:
    words, height = "the bend comes on this side", 2.4
    half = width_mm(words, height) / 2.0 + 0.5
    middle = min(max(right_mm, half), _TAPE.width_mm - half)
    return Text(at_mm=(middle, down_mm), text=words, height_mm=height, anchor="middle")


def _crossed(box: Box) -> Items:
    """Two strokes through the picture, black on a white edge so that they stand out from what they cross."""
    inner = box.inset(1.5)
    left, top, right, bottom = inner.left_mm, inner.top_mm, inner.right_mm, inner.bottom_mm
    both = (((left, top), (right, bottom)), ((left, bottom), (right, top)))
    return (
        *(Polyline(points_mm=ends, width_mm=_CROSS_MM + 1.2, ink="white") for ends in both),
        *(Polyline(points_mm=ends, width_mm=_CROSS_MM) for ends in both),
    )


def _arrow(start: Point, end: Point) -> Items:
    way = 1.0 if end[0] > start[0] else -1.0
    tip, base = end, (end[0] - way * 3.0, end[1])
    return (
        line(start, base, width_mm=0.8),
        Polygon(points_mm=(tip, (base[0], base[1] - 1.5), (base[0], base[1] + 1.5))),
    )


def _page(box: Box, items: Items) -> Page:
    return Page(width_mm=box.width_mm, height_mm=box.height_mm, items=items)

"""One card for each bend: how the tube lies, what the protractors show, how far to pull, whether it slipped."""

from collections.abc import Sequence
from itertools import pairwise

from hoopwright.bender.step_poses import StepPose
from hoopwright.papers.bend_pose import OperatorEye, bend_pose, crossed
from hoopwright.papers.drawing import Box, Item, Items, Text, frame, line
from hoopwright.papers.lettering import height_to_fit, wrapped
from hoopwright.papers.step_words import StepLine, step_lines
from hoopwright.papers.symbols import band, clock_face, numbered_ring
from hoopwright.papers.words import clock_words, turn_end_words
from hoopwright.units import LengthUnit

CARDS_ON_A_PAGE = 3
CARD_GAP_MM = 2.0
_BAND_MM, _TALLEST_MM = 6.0, 100.0
_ANSWER_MM = 24.0, 8.0
_PICTURE_SHARE = 0.5
_CLOCK_MM, _CAPTION_MM = 6.0, 4.0


def card_groups(poses: Sequence[StepPose]) -> list[tuple[StepPose, ...]]:
    """The cards of each page, shared out evenly."""
    pages = -(-len(poses) // CARDS_ON_A_PAGE)
    ends = [len(poses) * page // pages for page in range(pages + 1)] if pages else []
    return [tuple(poses[start:end]) for start, end in pairwise(ends)]


def bend_cards(poses: Sequence[StepPose], eye: OperatorEye, box: Box, unit: LengthUnit) -> Items:
    """The cards under each other; fewer are taller, so that their pictures are larger."""
    tall = min(_TALLEST_MM, (box.height_mm - CARD_GAP_MM * (len(poses) - 1)) / len(poses))
    items: list[Item] = []
    for place, pose in enumerate(poses):
        top = box.top_mm + place * (tall + CARD_GAP_MM)
        card = Box(left_mm=box.left_mm, top_mm=top, width_mm=box.width_mm, height_mm=tall)
        items += _card(pose, eye, card, unit)
    return tuple(items)


def _card(pose: StepPose, eye: OperatorEye, card: Box, unit: LengthUnit) -> Items:
    items: list[Item] = [frame(card, width_mm=0.7)]
    top = card.top_mm
    if pose.step.turn_end_for_end:
        strip = Box(left_mm=card.left_mm, top_mm=top, width_mm=card.width_mm, height_mm=_BAND_MM)
        items += band(strip, turn_end_words(pose.step), 3.2)
        top += _BAND_MM
    wide = card.width_mm * _PICTURE_SHARE
    picture = Box(left_mm=card.left_mm, top_mm=top, width_mm=wide, height_mm=card.bottom_mm - top)
    words = Box(
        left_mm=card.left_mm + wide + 1.0,
        top_mm=top,
        width_mm=card.width_mm - wide - 2.5,
        height_mm=card.bottom_mm - top,
    )
    drawn = bend_pose(pose, eye, picture)
    return (
        *items,
        line((card.left_mm + wide, top), (card.left_mm + wide, card.bottom_mm)),
        *drawn,
        *_clock(pose, picture, drawn),
        *_words(pose, words, unit),
    )


def _clock(pose: StepPose, picture: Box, drawn: Items) -> Items:
    """Where the last leg points, in the corner in which least is drawn."""
    hour = pose.step.leg_clock
    if hour is None:
        return ()
    wide, tall = 2.0 * _CLOCK_MM + 1.6, 2.0 * _CLOCK_MM + 5.4
    corners = [
        Box(left_mm=left, top_mm=top, width_mm=wide, height_mm=tall)
        for top in (picture.top_mm + 0.8, picture.bottom_mm - tall - _CAPTION_MM)
        for left in (picture.left_mm + 0.8, picture.right_mm - wide - 0.8)
    ]
    corner = min(corners, key=lambda one: crossed(drawn, one))
    centre = (corner.middle_mm[0], corner.top_mm + _CLOCK_MM + 0.8)
    return (
        *clock_face(centre, _CLOCK_MM, hour),
        Text(
            at_mm=(centre[0], centre[1] + _CLOCK_MM + 3.0),
            text=clock_words(hour),
            height_mm=2.2,
            anchor="middle",
        ),
    )


def _words(pose: StepPose, box: Box, unit: LengthUnit) -> Items:
    step = pose.step
    base = box.top_mm + 6.2
    ring = (box.left_mm + 12.0, base - 2.2)
    head = f"end {step.fed_from} first"
    items: list[Item] = [
        Text(at_mm=(box.left_mm + 1.0, base), text=f"{step.step}.", height_mm=4.6, bold=True),
        *numbered_ring(ring, str(step.bend), radius_mm=3.2),
        Text(at_mm=(ring[0] + 5.0, base), text=head, height_mm=3.6, bold=True),
    ]
    wide, tall = _ANSWER_MM
    answer = Box(
        left_mm=box.right_mm - wide, top_mm=box.bottom_mm - tall - 1.5, width_mm=wide, height_mm=tall
    )
    items += [
        frame(answer, width_mm=0.5),
        Text(
            at_mm=(answer.left_mm - 1.5, answer.bottom_mm - 2.6),
            text="between the lines it measures",
            height_mm=2.2,
            anchor="right",
        ),
    ]
    words = Box(
        left_mm=box.left_mm,
        top_mm=box.top_mm,
        width_mm=box.width_mm,
        height_mm=answer.top_mm - box.top_mm,
    )
    return (*items, *_lines(step_lines(pose, unit), words, base + 2.0))


def _lines(lines: Sequence[StepLine], box: Box, top_mm: float) -> Items:
    """Words under each other, smaller where they would not all go in."""
    room = box.bottom_mm - 1.5 - top_mm
    for small in (2.9, 2.7, 2.5, 2.3, 2.1, 1.9):
        laid = [
            (one, small * (1.35 if one.big else 1.0), text)
            for one in lines
            for text in wrapped(
                one.words, box.width_mm - 1.0, small * (1.35 if one.big else 1.0), bold=one.big
            )
        ]
        if sum(height * 1.62 for _, height, _ in laid) <= room:
            break
    items: list[Item] = []
    base = top_mm
    for one, height, text in laid:
        base += height * 1.62
        fitted = min(height, height_to_fit(text, box.width_mm, height, bold=one.big))
        items.append(Text(at_mm=(box.left_mm + 1.0, base), text=text, height_mm=fitted, bold=one.big))
    return tuple(items)

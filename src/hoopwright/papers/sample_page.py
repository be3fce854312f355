"""A sheet for sample bends: what to bend, from how long a tube, what to measure, and boxes to write it into."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hoopwright.bender.sample_plan import PlannedSample, SamplePlan
from hoopwright.papers.drawing import A4, Box, Item, Items, Page, PaperSize, Text, frame
from hoopwright.papers.lettering import height_to_fit, wrapped
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.sample_pictures import angle_picture, leg_picture, u_picture
from hoopwright.papers.symbols import band
from hoopwright.papers.words import measure, other_unit
from hoopwright.units import LengthUnit

_HEAD_MM, _GAP_MM, _IDENTITY_MM, _WHY_MM, _WARN_MM = 6.0, 2.0, 14.0, 12.0, 12.0
_PICTURE_MM, _BOX_MM, _TALLEST_MM = 62.0, 8.0, 74.0
_WORDS_MM, _PITCH = 2.5, 1.55
_WARNINGS = (
    "Same die, same tube, same batch as the bars. Keep hands and body out of the sweep; the tail swings too.",
    "Mark slipped, kink or ripple: the sample is void, bend another. Never heat the tube to bend it.",
)


@dataclass(frozen=True, kw_only=True)
class SampleHeader:
    """What is known of die and tube; what is empty is written in by hand.

    Args:
        die: Name of the die.
        batch: Tube batch.
        wall_mm: Wall of the tube; None to be written in.
        date: Day, ISO 8601; empty to be written in.
    """

    die: str = ""
    batch: str = ""
    wall_mm: float | None = None
    date: str = ""


@dataclass(frozen=True, kw_only=True)
class _Block:
    """One frame: its head, how to do it, its boxes in rows."""

    head: str
    lines: tuple[str, ...]
    rows: tuple[tuple[tuple[str, str], ...], ...]
    picture: Callable[[Box], Items]


def sample_pages(
    plan: SamplePlan, header: SampleHeader, *, unit: LengthUnit = "mm", paper: PaperSize = A4
) -> tuple[Page, ...]:
    """One page with a frame for each kind of sample.

    Args:
        plan: What to bend.
        header: Die, batch, wall and day as far as they are known.
        unit: Unit of lengths; the other stands beside it. What is measured is written down in mm.
        paper: A4 or letter.
    """
    inside = body(paper)
    blocks = _blocks(plan, unit)
    radius = f"radius {measure(plan.clr_mm, unit)}" + (
        " (taken: 3 x diameter)" if plan.is_radius_taken else ""
    )
    total = f"tube needed {measure(plan.tube_mm, unit)} ({measure(plan.tube_mm, other_unit(unit))})"
    title = ("Next sample bend" if plan.why else "Sample bends") + (
        f", die {header.die}" if header.die else ""
    )
    items: list[Item] = list(page_frame(paper, title, f"{total}; {radius}; write all lengths in mm"))
    items += _identity(plan, header, _part(inside, 0.0, _IDENTITY_MM))
    top = _IDENTITY_MM + _GAP_MM
    if plan.why:
        items += _said((plan.why,), _part(inside, top, _WHY_MM))
        top += _WHY_MM + _GAP_MM
    room = inside.height_mm - top - _WARN_MM - _GAP_MM * len(blocks)
    tall = min(_TALLEST_MM, room / len(blocks))
    for block in blocks:
        items += _drawn(block, _part(inside, top, tall))
        top += tall + _GAP_MM
    items += _said(_WARNINGS, _part(inside, top, _WARN_MM))
    return (Page(width_mm=paper.width_mm, height_mm=paper.height_mm, items=tuple(items)),)


def _part(inside: Box, top_mm: float, height_mm: float) -> Box:
    return Box(
        left_mm=inside.left_mm, top_mm=inside.top_mm + top_mm, width_mm=inside.width_mm, height_mm=height_mm
    )


def _identity(plan: SamplePlan, header: SampleHeader, box: Box) -> Items:
    known = (
        ("name", ""),
        ("die", header.die),
        ("batch", header.batch),
        ("od_mm", f"{plan.od_mm:g}"),
        ("wall_mm", "" if header.wall_mm is None else f"{header.wall_mm:g}"),
        ("date", header.date),
    )
    return _answers(known, Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=12.0))


def _blocks(plan: SamplePlan, unit: LengthUnit) -> tuple[_Block, ...]:
    legs = [one for one in plan.samples if one.kind == "leg"]
    us = [one for one in plan.samples if one.kind == "u"]
    angles = [one for one in plan.samples if one.kind == "angle"]
    return (
        *(_leg_block(one, unit) for one in legs),
        *(_u_block(one, unit) for one in us),
        *((_angle_block(angles, unit),) if angles else ()),
    )


def _both(length_mm: float, unit: LengthUnit) -> str:
    return f"{measure(length_mm, unit)} ({measure(length_mm, other_unit(unit))})"


def _leg_block(one: PlannedSample, unit: LengthUnit) -> _Block:
    return _Block(
        head="a 90 with both legs measured: [[leg]]",
        lines=(
            f"Cut {_both(one.cut_mm, unit)}, ends square. One end is A.",
            f"Mark {_both(one.mark_mm, unit)} from A. Mark on the die face, A first; slack out, gauge to zero.",
            "Sneak up until it is 90° after release (within 0.5°).",
            "Lay a square against the back of each leg and measure from the other leg's end to it.",
        ),
        rows=(
            (("cut_mm", ""), ("mark_mm", ""), ("released_deg", "")),
            (("leg_a_mm", ""), ("leg_b_mm", "")),
        ),
        picture=leg_picture,
    )


def _u_block(one: PlannedSample, unit: LengthUnit) -> _Block:
    return _Block(
        head="a U with parallel legs: [[u]]",
        lines=(
            f"Cut {_both(one.cut_mm, unit)}, mark {_both(one.mark_mm, unit)} from A, mark on the die face, A first.",
            "Bend until both legs are parallel after release: as wide at the ends as at the bend.",
            "Measure over both legs, outside to outside.",
            "It takes some 187° under load: leave it out where the die stops earlier.",
        ),
        rows=((("outside_mm", ""),),),
        picture=u_picture,
    )


def _angle_block(angles: Sequence[PlannedSample], unit: LengthUnit) -> _Block:
    lengths = ", ".join(f"{one.command_deg:g}°: {measure(one.cut_mm, unit)}" for one in angles)
    return _Block(
        head="angles under load and after release: [[angle]]",
        lines=(
            f"Cut one piece each ({lengths}), mark {_both(angles[0].mark_mm, unit)} from A on the die face.",
            "Slack out, gauge to zero. Pull to about the angle named and write what the gauge reads there.",
            "Release, take it out, measure the change of direction on straight tube.",
        ),
        rows=tuple(
            ((f"command_deg (about {one.command_deg:g})", ""), ("released_deg", "")) for one in angles
        ),
        picture=angle_picture,
    )


def _drawn(block: _Block, box: Box) -> Items:
    strip = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=_HEAD_MM)
    picture = Box(
        left_mm=box.left_mm,
        top_mm=box.top_mm + _HEAD_MM,
        width_mm=_PICTURE_MM,
        height_mm=min(box.height_mm - _HEAD_MM, 56.0),
    )
    right = Box(
        left_mm=picture.right_mm + 2.0,
        top_mm=picture.top_mm + 1.0,
        width_mm=box.width_mm - _PICTURE_MM - 4.0,
        height_mm=box.height_mm - _HEAD_MM - 2.0,
    )
    row_mm = _BOX_MM + 4.0
    items: list[Item] = [frame(box, width_mm=0.7), *band(strip, block.head, 3.2), *block.picture(picture)]
    words = Box(
        left_mm=right.left_mm,
        top_mm=right.top_mm,
        width_mm=right.width_mm,
        height_mm=right.height_mm - row_mm * len(block.rows),
    )
    items += _said(block.lines, words)
    for place, row in enumerate(block.rows):
        top = words.bottom_mm + place * row_mm
        items += _answers(
            row, Box(left_mm=right.left_mm, top_mm=top, width_mm=right.width_mm, height_mm=row_mm)
        )
    return tuple(items)


def _answers(row: Sequence[tuple[str, str]], box: Box) -> Items:
    """Boxes beside each other with their names over them; what is known is printed in."""
    wide = box.width_mm / max(len(row), 2)
    items: list[Item] = []
    for place, (name, known) in enumerate(row):
        left = box.left_mm + place * wide
        answer = Box(left_mm=left, top_mm=box.bottom_mm - _BOX_MM, width_mm=wide - 2.0, height_mm=_BOX_MM)
        at = (left, answer.top_mm - 0.9)
        items += [frame(answer, width_mm=0.5), Text(at_mm=at, text=name, height_mm=2.2, bold=True)]
        if known:
            height = height_to_fit(known, answer.width_mm - 2.0, 3.4)
            base = answer.middle_mm[1] + height / 2.0
            items.append(Text(at_mm=(left + 1.2, base), text=known, height_mm=height))
    return tuple(items)


def _said(lines: Sequence[str], box: Box) -> Items:
    """Words in lines, smaller where they would not all go in."""
    for height in (_WORDS_MM, 2.3, 2.1, 1.9):
        laid = [text for words in lines for text in wrapped(words, box.width_mm, height)]
        if len(laid) * height * _PITCH <= box.height_mm:
            break
    return tuple(
        Text(at_mm=(box.left_mm, box.top_mm + height * (1.0 + _PITCH * row)), text=text, height_mm=height)
        for row, text in enumerate(laid)
    )

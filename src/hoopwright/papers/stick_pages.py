"""The list to saw sticks by: each stick drawn with its parts, where to cut, and fields for heat numbers."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import (
    A4,
    Box,
    Item,
    Items,
    Page,
    PaperSize,
    Polygon,
    Polyline,
    Text,
    frame,
    line,
)
from hoopwright.papers.lettering import height_to_fit, shortened, width_mm
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.tables import HEAD_MM, ROW_MM, TICK, Column, ruled_table
from hoopwright.papers.words import count_words, measure, other_unit
from hoopwright.stock import CutPart, CutStick
from hoopwright.units import LengthUnit

_PARTS = (
    Column(head="cut", share=8, anchor="middle"),
    Column(head="part", share=44, bold=True),
    Column(head="length", share=24, anchor="right", bold=True),
    Column(head="", share=22, anchor="right"),
    Column(head="begins at", share=24, anchor="right"),
    Column(head="ends at", share=24, anchor="right"),
    Column(head="as cut", share=26),
)
_WORDS_MM, _BAR_MM, _GAP_MM = 9.0, 10.0, 5.0
_LEAST_IN_BAR_MM = 1.7


@dataclass(frozen=True, kw_only=True)
class StickGroup:
    """Sticks of one tube size and steel.

    Args:
        title: Size and steel in words; empty where not known.
        sticks: With their parts.
        kerf_mm: What the saw takes between two parts.
        trim_mm: Taken off each end of a whole stick.
        least_offcut_mm: Length from which what is left goes back to the rack.
    """

    title: str
    sticks: tuple[CutStick, ...]
    kerf_mm: float
    trim_mm: float = 0.0
    least_offcut_mm: float = 300.0


@dataclass(frozen=True, kw_only=True)
class _Block:
    height_mm: float
    group: StickGroup
    stick: CutStick
    parts: tuple[tuple[CutPart, float, float], ...]
    goes_on: bool


def stick_pages(
    groups: Sequence[StickGroup],
    *,
    project: str,
    date: str,
    identity: str = "",
    unit: LengthUnit = "mm",
    paper: PaperSize = A4,
) -> tuple[Page, ...]:
    """One block for each stick: what it is, a drawing to scale, and its parts from one end to the other.

    Args:
        groups: Sticks by tube size and steel.
        project: Name of the project or of the list.
        date: Day of making, ISO 8601.
        identity: Of the plan; empty for none.
        unit: Unit of the lengths; the other stands beside it.
        paper: A4 or letter.
    """
    inside = body(paper)
    laid = list(_laid_out([block for group in groups for block in _blocks(group, inside)], inside))
    sticks, parts = sum(len(g.sticks) for g in groups), sum(len(s.parts) for g in groups for s in g.sticks)
    pages = []
    for number, blocks in enumerate(laid, start=1):
        second = "    ".join(
            filter(
                None,
                (
                    f"{count_words(sticks, 'stick')}, {count_words(parts, 'part')}",
                    date,
                    f"plan {identity}" if identity else "",
                    f"page {number} of {len(laid)}",
                ),
            )
        )
        items: list[Item] = [*page_frame(paper, f"{project}: sticks to saw", second)]
        top = inside.top_mm + 2.0
        for block in blocks:
            items += _drawn(block, top, inside, unit)
            top += block.height_mm
        pages.append(Page(width_mm=paper.width_mm, height_mm=paper.height_mm, items=tuple(items)))
    return tuple(pages)


def _blocks(group: StickGroup, inside: Box) -> Iterator[_Block]:
    """A stick as a block; one with more parts than a page has rows goes on in another."""
    most = int((inside.height_mm - _WORDS_MM - _BAR_MM - HEAD_MM - _GAP_MM - 4.0) // ROW_MM)
    for stick in group.sticks:
        parts = _with_places(group, stick)
        for first in range(0, len(parts), most):
            some = parts[first : first + most]
            height = _WORDS_MM + _BAR_MM + HEAD_MM + ROW_MM * len(some) + _GAP_MM
            yield _Block(height_mm=height, group=group, stick=stick, parts=some, goes_on=first > 0)


def _with_places(group: StickGroup, stick: CutStick) -> tuple[tuple[CutPart, float, float], ...]:
    """Parts with where each begins and ends, from the end of the stick that is sawn from."""
    at = 0.0 if stick.offer.source == "offcut" else group.trim_mm
    placed = []
    for part in stick.parts:
        placed.append((part, at, at + part.length_mm))
        at += part.length_mm + group.kerf_mm
    return tuple(placed)


def _laid_out(blocks: Sequence[_Block], inside: Box) -> Iterator[list[_Block]]:
    page: list[_Block] = []
    used = 2.0
    for block in blocks:
        if page and used + block.height_mm > inside.height_mm:
            yield page
            page, used = [], 2.0
        page.append(block)
        used += block.height_mm
    yield page


def _drawn(block: _Block, top_mm: float, inside: Box, unit: LengthUnit) -> Items:
    bar = Box(
        left_mm=inside.left_mm, top_mm=top_mm + _WORDS_MM, width_mm=inside.width_mm, height_mm=_BAR_MM - 3.0
    )
    rows = [
        (
            TICK,
            part.name,
            measure(part.length_mm, unit),
            measure(part.length_mm, other_unit(unit)),
            measure(begins, unit),
            measure(ends, unit),
            "",
        )
        for part, begins, ends in block.parts
    ]
    table = Box(
        left_mm=inside.left_mm,
        top_mm=top_mm + _WORDS_MM + _BAR_MM,
        width_mm=inside.width_mm,
        height_mm=0.0,
    )
    return (*_words(block, top_mm, inside, unit), *_bar(block, bar, unit), *ruled_table(_PARTS, rows, table))


def _words(block: _Block, top_mm: float, inside: Box, unit: LengthUnit) -> Items:
    """What the stick is on the left, its heat number or a field for it on the right."""
    offer = block.stick.offer
    kind = {"buy": "stick to buy", "rack": "stick", "offcut": "offcut"}[offer.source]
    label = f" {offer.label}" if offer.label else ""
    on = " goes on" if block.goes_on else ""
    head = f"{block.stick.number}{on}   {kind}{label}, {measure(offer.length_mm, unit)}"
    head += f", {block.group.title}" if block.group.title else ""
    heat = ", ".join(
        filter(
            None,
            (
                f"batch {offer.batch}" if offer.batch and offer.source != "buy" else "",
                f"heat number {offer.heat_number}" if offer.heat_number else "",
            ),
        )
    )
    room = inside.width_mm * 0.58
    size = max(2.2, height_to_fit(head, room, 3.2, bold=True))
    base = top_mm + 5.6
    left = Text(
        at_mm=(inside.left_mm, base), text=shortened(head, room, size, bold=True), height_mm=size, bold=True
    )
    if offer.heat_number:
        fits = max(2.0, height_to_fit(heat, inside.width_mm * 0.40, 2.9))
        shown = shortened(heat, inside.width_mm * 0.40, fits)
        return (left, Text(at_mm=(inside.right_mm, base), text=shown, height_mm=fits, anchor="right"))
    said = f"{heat}, heat number" if heat else "heat number"
    begin = inside.right_mm - 44.0
    asked = Text(at_mm=(begin - 2.0, base), text=said, height_mm=2.6, anchor="right")
    return (left, asked, line((begin, base + 0.8), (inside.right_mm, base + 0.8)))


def _bar(block: _Block, box: Box, unit: LengthUnit) -> Items:
    """The stick to scale: parts with their names, what is left hatched, trims and kerfs as gaps."""
    stick, scale = block.stick, box.width_mm / block.stick.offer.length_mm
    items: list[Item] = [frame(box, width_mm=0.25)]
    end = 0.0
    for part, begins, ends in _with_places(block.group, stick):
        cell = Box(
            left_mm=box.left_mm + begins * scale,
            top_mm=box.top_mm,
            width_mm=(ends - begins) * scale,
            height_mm=box.height_mm,
        )
        items.append(frame(cell, width_mm=0.5))
        items += _in_middle(f"{part.name}  {measure(part.length_mm, unit)}", part.name, cell)
        end = ends
    if stick.rest_mm > 0.0:
        left = box.left_mm + (end + block.group.kerf_mm) * scale
        rest = Box(left_mm=left, top_mm=box.top_mm, width_mm=stick.rest_mm * scale, height_mm=box.height_mm)
        items += _hatched(rest)
        keeps = stick.rest_mm >= block.group.least_offcut_mm
        words = f"{'offcut' if keeps else 'left'} {measure(stick.rest_mm, unit)}"
        items += _in_middle(words, "", rest, on_white=True)
    return tuple(items)


def _in_middle(words: str, shorter: str, box: Box, *, on_white: bool = False) -> Items:
    right, down = box.middle_mm
    for said in (words, shorter):
        height = height_to_fit(said, box.width_mm - 1.2, 2.6) if said else 0.0
        if height >= _LEAST_IN_BAR_MM:
            half = width_mm(said, height) / 2.0 + 0.8
            white = Polygon(
                points_mm=tuple(
                    (right + side * half, down + up * (height / 2.0 + 0.8))
                    for side, up in ((-1, -1), (1, -1), (1, 1), (-1, 1))
                ),
                ink="white",
            )
            text = Text(at_mm=(right, down + height / 2.0), text=said, height_mm=height, anchor="middle")
            return (white, text) if on_white else (text,)
    return ()


def _hatched(box: Box) -> Iterator[Polyline]:
    yield frame(box, width_mm=0.25, dash_mm=(1.0, 1.0))
    at = box.left_mm + 2.5
    while at < box.right_mm + box.height_mm:
        low, high = max(box.left_mm, at - box.height_mm), min(at, box.right_mm)
        if high > low:
            yield line((low, box.top_mm + at - low), (high, box.top_mm + at - high), width_mm=0.25)
        at += 2.5

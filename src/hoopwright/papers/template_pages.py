"""Blocks at full size onto pages: beside each other where they fit, over several pages where they do not."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Box, Item, Items, Page, PaperSize, Point
from hoopwright.papers.parted_pages import Sheet, in_parts
from hoopwright.papers.template_frame import template_body, template_page, turned
from hoopwright.papers.words import count_words
from hoopwright.units import LengthUnit

_APART_MM = 4.0


@dataclass(frozen=True, kw_only=True)
class Block:
    """Something at full size that is cut out or laid on.

    Args:
        name: Short, for the title of a page with several; empty for what goes along with another.
        heading: In words, for the title of a page of its own.
        width_mm: On the page, its words included.
        height_mm: Likewise.
        draw: What is drawn from a top left corner.
    """

    name: str
    heading: str
    width_mm: float
    height_mm: float
    draw: Callable[[Point], Items]


def laid_out(blocks: Sequence[Block], size: PaperSize, noun: str, unit: LengthUnit) -> tuple[Sheet, ...]:
    """Blocks in their order: those that fit the upright page, those that fit it turned, those in parts.

    Args:
        blocks: At full size.
        size: A4 or letter.
        noun: What one block is.
        unit: Of the lengths on the page that shows how parts lie.
    """
    upright = [block for block in blocks if _fits(block, size)]
    lying = [block for block in blocks if not _fits(block, size) and _fits(block, turned(size))]
    large = [block for block in blocks if not _fits(block, size) and not _fits(block, turned(size))]
    return (
        *_packed(upright, size, noun),
        *_packed(lying, turned(size), noun),
        *(
            sheet
            for block in large
            for sheet in in_parts(
                block.draw((0.0, 0.0)),
                Box(left_mm=0.0, top_mm=0.0, width_mm=block.width_mm, height_mm=block.height_mm),
                f"{noun} {block.heading}",
                size,
                unit,
            )
        ),
    )


def numbered(sheets: Sequence[Sheet], project: str, date: str, legend: str) -> tuple[Page, ...]:
    """The sheets as pages."""
    return tuple(
        template_page(
            sheet.size,
            sheet.title,
            (f"{project}    {date}    page {number} of {len(sheets)}", legend),
            sheet.items,
        )
        for number, sheet in enumerate(sheets, start=1)
    )


def _fits(block: Block, size: PaperSize) -> bool:
    body = template_body(size)
    return block.width_mm <= body.width_mm and block.height_mm <= body.height_mm


def _packed(blocks: Sequence[Block], size: PaperSize, noun: str) -> list[Sheet]:
    """Blocks beside and under each other in their order."""
    body = template_body(size)
    held: list[list[Block]] = []
    drawn: list[list[Item]] = []
    right, top, row_mm = body.right_mm, body.bottom_mm, 0.0
    for block in blocks:
        if right + block.width_mm > body.right_mm + 1e-6 or top + block.height_mm > body.bottom_mm + 1e-6:
            right, top, row_mm = body.left_mm, top + row_mm + _APART_MM, 0.0
        if not held or top + block.height_mm > body.bottom_mm + 1e-6:
            held.append([])
            drawn.append([])
            right, top, row_mm = body.left_mm, body.top_mm, 0.0
        held[-1].append(block)
        drawn[-1] += block.draw((right, top))
        right, row_mm = right + block.width_mm + _APART_MM, max(row_mm, block.height_mm)
    return [
        Sheet(size=size, title=_title(some, noun), items=tuple(items))
        for some, items in zip(held, drawn, strict=True)
    ]


def _title(blocks: Sequence[Block], noun: str) -> str:
    named = [block for block in blocks if block.name]
    if len(named) < 2:
        return " ".join([noun, *(block.heading for block in named)]) if named else blocks[0].heading
    return f"{count_words(len(named), noun)}: {', '.join(block.name for block in named)}"

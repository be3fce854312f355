"""Parts that follow each other down the page and go on over the next."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Box, Item, Items, Page, PaperSize, PlacedPhoto

Drawn = tuple[Item | PlacedPhoto, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Part:
    """Something of a set height that a page break never cuts.

    Args:
        height_mm: Its height; more than a page has is cut down to the page.
        draw: Draws it into a box of the width of the page and that height.
        head: Stands over it where it is the first on a page, such as the head of a table.
        holds: Whether it stays on one page with the part after it, such as a heading.
    """

    height_mm: float
    draw: Callable[[Box], Drawn]
    head: "Part | None" = None
    holds: bool = False


def flow(parts: Sequence[Part], room: Box, *, used_mm: float = 0.0) -> list[list[tuple[Part, Box]]]:
    """The parts on pages of one room, the first of which is used already down to `used_mm`."""
    pages: list[list[tuple[Part, Box]]] = [[]]
    at = used_mm
    start = 0
    while start < len(parts):
        group = _held_together(parts, start)
        need = sum(part.height_mm for part in group)
        if at > 0.0 and at + need > room.height_mm + 1e-6:
            pages.append([])
            at = 0.0
            if group[0].head is not None:
                at = _put(pages[-1], group[0].head, room, at)
        for part in group:
            at = _put(pages[-1], part, room, at)
        start += len(group)
    return pages


def drawn_items(page: Sequence[tuple[Part, Box]]) -> Drawn:
    """What stands on a page."""
    return tuple(item for part, box in page for item in part.draw(box))


def page_with(paper: PaperSize, frame: Items, drawn: Drawn) -> Page:
    """A page of its frame and what stands in it."""
    return Page(
        width_mm=paper.width_mm,
        height_mm=paper.height_mm,
        items=(*frame, *(item for item in drawn if not isinstance(item, PlacedPhoto))),
        photos=tuple(item for item in drawn if isinstance(item, PlacedPhoto)),
    )


def end_mm(page: Sequence[tuple[Part, Box]], room: Box) -> float:
    """How far down a page is used."""
    return max((box.bottom_mm for _, box in page), default=room.top_mm) - room.top_mm


def _held_together(parts: Sequence[Part], start: int) -> Sequence[Part]:
    """A part and those that it may not be parted from."""
    last = start
    while parts[last].holds and last + 1 < len(parts):
        last += 1
    return parts[start : last + 1]


def _put(page: list[tuple[Part, Box]], part: Part, room: Box, at_mm: float) -> float:
    height = min(part.height_mm, room.height_mm - at_mm) if at_mm < room.height_mm else part.height_mm
    box = Box(left_mm=room.left_mm, top_mm=room.top_mm + at_mm, width_mm=room.width_mm, height_mm=height)
    page.append((part, box))
    return at_mm + part.height_mm

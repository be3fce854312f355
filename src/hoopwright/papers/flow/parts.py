"""Parts that follow each other down the page and go on over the next."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Box, Item, Items, Page, PaperSize, PlacedPhoto

Drawn = tuple[Item | PlacedPhoto, ...]
LEAST_ON_LAST_MM = 30.0
"""What a last page should hold at least: less reads as a slip."""


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
    """The parts on pages of one room, the first of which is used already down to `used_mm`.

    What is left for the last page is never a line or two alone where the page before can spare something.
    """
    pages = _filled(_groups(parts), room, used_mm)
    _share_with_last(pages, room)
    return [
        _placed(groups, room, used_mm if page == 0 else 0.0, page > 0) for page, groups in enumerate(pages)
    ]


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


_Group = Sequence[Part]
"""Parts that may not be parted."""


def _groups(parts: Sequence[Part]) -> list[_Group]:
    groups: list[_Group] = []
    held = False
    for part in parts:
        if held:
            groups[-1] = [*groups[-1], part]
        else:
            groups.append([part])
        held = part.holds
    return groups


def _filled(groups: Sequence[_Group], room: Box, used_mm: float) -> list[list[_Group]]:
    """As many on each page as fit."""
    pages: list[list[_Group]] = [[]]
    at = used_mm
    for group in groups:
        need = _height_mm([group])
        if at > 0.0 and at + need > room.height_mm + 1e-6:
            pages.append([])
            at = 0.0 if group[0].head is None else group[0].head.height_mm
        pages[-1].append(group)
        at += need
    return pages


def _share_with_last(pages: list[list[_Group]], room: Box) -> None:
    """Move groups to the last page from the one before until enough stands on it."""
    if len(pages) < 2:
        return
    before, last = pages[-2:]
    while len(before) > 1 and _height_mm(last) < LEAST_ON_LAST_MM:
        grown = [before[-1], *last]
        head = grown[0][0].head
        if _height_mm(grown) + (0.0 if head is None else head.height_mm) > room.height_mm:
            return
        last[:] = grown
        before.pop()


def _height_mm(groups: Sequence[_Group]) -> float:
    return sum(part.height_mm for group in groups for part in group)


def _placed(groups: Sequence[_Group], room: Box, used_mm: float, goes_on: bool) -> list[tuple[Part, Box]]:
    page: list[tuple[Part, Box]] = []
    at = used_mm
    if goes_on and groups[0][0].head is not None:
        at = _put(page, groups[0][0].head, room, at)
    for group in groups:
        for part in group:
            at = _put(page, part, room, at)
    return page


def _put(page: list[tuple[Part, Box]], part: Part, room: Box, at_mm: float) -> float:
    height = min(part.height_mm, room.height_mm - at_mm) if at_mm < room.height_mm else part.height_mm
    box = Box(left_mm=room.left_mm, top_mm=room.top_mm + at_mm, width_mm=room.width_mm, height_mm=height)
    page.append((part, box))
    return at_mm + part.height_mm

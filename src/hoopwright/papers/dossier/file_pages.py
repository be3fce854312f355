"""The whole file: cover, drawing and sections on numbered pages."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.dossier.cover import Cover, cover_items
from hoopwright.papers.dossier.drawing_pages import DrawnMember, DrawnSheet, drawing_bodies
from hoopwright.papers.dossier.page_frame import page_items, page_room
from hoopwright.papers.drawing import A4, Box, Page, PaperSize, Text
from hoopwright.papers.flow import Drawn, Part, drawn_items, end_mm, flow, page_with
from hoopwright.papers.lettering import height_to_fit

_DRAWING = "Line drawing, every member numbered"
_TITLE_MM = 4.6
_ROOM_FOR_MORE_MM = 45.0
_SHOWN_DIGITS = 10


@dataclass(frozen=True, eq=False, kw_only=True)
class Section:
    """A part of the file with a title.

    Args:
        title: As the list of contents has it.
        parts: What is in it, from the top down.
        new_page: Whether it begins on a page of its own; without, it goes on under the section before where there is
            room.
    """

    title: str
    parts: tuple[Part, ...]
    new_page: bool = True


@dataclass(frozen=True, eq=False, kw_only=True)
class DossierFile:
    """All that the file holds.

    Args:
        name: Whose file it is, at the head of each page.
        kind: What it is, in a few words.
        cover: The first page.
        members: For the drawing; without any there is none.
        sections: What follows.
        date: Day of making, ISO 8601.
        paper: A4 or letter.
        sheets: Landings and gussets on the drawing.
    """

    name: str
    kind: str
    cover: Cover
    members: tuple[DrawnMember, ...]
    sections: tuple[Section, ...]
    date: str
    paper: PaperSize = A4
    sheets: tuple[DrawnSheet, ...] = ()


@dataclass(frozen=True, eq=False, kw_only=True)
class _Body:
    """A page before it is numbered."""

    title: str
    drawn: Drawn


def dossier_pages(file: DossierFile) -> tuple[Page, ...]:
    """The pages of the file; the same file gives the same pages."""
    room = page_room(file.paper)
    bodies: list[_Body] = []
    contents: list[tuple[str, int]] = []
    if file.members:
        contents.append((_DRAWING, 2))
        bodies += [
            _Body(title=_DRAWING, drawn=items) for items in drawing_bodies(file.members, file.sheets, room)
        ]
    for title, first, more in _sections(file.sections, room, len(bodies) + 2):
        contents.append((title, first))
        bodies = _joined(bodies, first - 2, more)
    first_page = _Body(title=file.kind, drawn=cover_items(file.cover, contents, room))
    every = [first_page, *bodies]
    return tuple(_page(file, body, number, len(every)) for number, body in enumerate(every, start=1))


def _joined(bodies: list[_Body], at: int, more: Sequence[_Body]) -> list[_Body]:
    """Pages put after others; the first may go on with the last that is there."""
    if at == len(bodies):
        return [*bodies, *more]
    last = _Body(title=f"{bodies[at].title}, {more[0].title}", drawn=(*bodies[at].drawn, *more[0].drawn))
    return [*bodies[:at], last, *more[1:]]


def _sections(sections: Sequence[Section], room: Box, first_page: int) -> list[tuple[str, int, list[_Body]]]:
    """Title, first page and pages of each section."""
    found = []
    page, used = first_page, 0.0
    for section in sections:
        goes_on = not section.new_page and 0.0 < used < room.height_mm - _ROOM_FOR_MORE_MM
        begin = page if goes_on or used == 0.0 else page + 1
        start = used + 4.0 if goes_on else 0.0
        laid = flow((_title(section.title), *section.parts), room, used_mm=start)
        if goes_on and not laid[0]:
            laid, begin = laid[1:], begin + 1
        bodies = [_Body(title=section.title, drawn=drawn_items(one)) for one in laid]
        found.append((section.title, begin, bodies))
        page, used = begin + len(laid) - 1, end_mm(laid[-1], room)
    return found


def _title(words: str) -> Part:
    def draw(box: Box) -> Drawn:
        height = height_to_fit(words, box.width_mm, _TITLE_MM, bold=True)
        return (Text(at_mm=(box.left_mm, box.top_mm + 6.0), text=words, height_mm=height, bold=True),)

    return Part(height_mm=10.0, draw=draw, holds=True)


def _page(file: DossierFile, body: _Body, number: int, count: int) -> Page:
    frame = page_items(
        file.paper,
        left=file.name,
        right=body.title,
        state=f"state {file.cover.state[:_SHOWN_DIGITS]}    {file.date}",
        page=f"page {number} of {count}",
    )
    return page_with(file.paper, frame, body.drawn)

"""Labels for sawn parts and for the offcuts that go back to the rack, to cut out and to stick on."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import A4, Box, Item, Items, Page, PaperSize, Text, frame, line
from hoopwright.papers.lettering import height_to_fit, shortened
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.words import count_words

_ACROSS, _HEIGHT_MM = 3, 30.0


@dataclass(frozen=True, kw_only=True)
class StickLabel:
    """One label.

    Args:
        name: In large letters: the bar, or the offcut.
        lines: Small lines below: length, tube, where it comes from.
        heat_number: Empty for a field to fill in.
    """

    name: str
    lines: tuple[str, ...]
    heat_number: str = ""


def label_pages(
    labels: Sequence[StickLabel], *, project: str, date: str, identity: str = "", paper: PaperSize = A4
) -> tuple[Page, ...]:
    """Labels in rows of three, with lines to cut along.

    Args:
        labels: In the order of the plan.
        project: Name of the project, for the head of the page.
        date: Day of making, ISO 8601.
        identity: Of the plan; empty for none.
        paper: A4 or letter.
    """
    inside = body(paper)
    most = _ACROSS * int(inside.height_mm // _HEIGHT_MM)
    parts = [labels[first : first + most] for first in range(0, len(labels), most)]
    pages = []
    for number, some in enumerate(parts, start=1):
        plan = f"    plan {identity}" if identity else ""
        second = f"{count_words(len(labels), 'label')}    {date}{plan}    page {number} of {len(parts)}"
        items: list[Item] = [*page_frame(paper, f"{project}: labels", second)]
        for place, label in enumerate(some):
            row, column = divmod(place, _ACROSS)
            width = inside.width_mm / _ACROSS
            box = Box(
                left_mm=inside.left_mm + column * width,
                top_mm=inside.top_mm + row * _HEIGHT_MM,
                width_mm=width,
                height_mm=_HEIGHT_MM,
            )
            items += _label(label, box)
        pages.append(Page(width_mm=paper.width_mm, height_mm=paper.height_mm, items=tuple(items)))
    return tuple(pages)


def _label(label: StickLabel, box: Box) -> Items:
    inner = box.inset(3.0)
    room = inner.width_mm
    size = max(2.6, height_to_fit(label.name, room, 5.0, bold=True))
    name = shortened(label.name, room, size, bold=True)
    items: list[Item] = [
        frame(box, width_mm=0.25, dash_mm=(2.0, 1.5)),
        Text(at_mm=(inner.left_mm, inner.top_mm + 5.0), text=name, height_mm=size, bold=True),
    ]
    at = inner.top_mm + 9.6
    for words in label.lines:
        height = max(1.8, height_to_fit(words, room, 2.4))
        shown = shortened(words, room, height)
        items.append(Text(at_mm=(inner.left_mm, at), text=shown, height_mm=height))
        at += 4.2
    base = inner.bottom_mm - 0.6
    if label.heat_number:
        words = f"heat {label.heat_number}"
        height = max(1.8, height_to_fit(words, room, 2.6, bold=True))
        shown = shortened(words, room, height, bold=True)
        items.append(Text(at_mm=(inner.left_mm, base), text=shown, height_mm=height, bold=True))
    else:
        items.append(Text(at_mm=(inner.left_mm, base), text="heat", height_mm=2.4))
        items.append(line((inner.left_mm + 9.0, base + 0.6), (inner.right_mm, base + 0.6)))
    return tuple(items)

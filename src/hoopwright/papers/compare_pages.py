"""Two layouts side by side on paper."""

from collections.abc import Iterator
from dataclasses import dataclass

from hoopwright.papers.drawing import A4, Page, PaperSize
from hoopwright.papers.flow import (
    Column,
    Part,
    drawn_items,
    flow,
    heading,
    page_with,
    paragraph,
    space,
    table_parts,
    titled,
)
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.words import CAUTIONS

_FIGURES = (
    Column(head="", share=70),
    Column(head="first", share=36, anchor="right", bold=True),
    Column(head="second", share=36, anchor="right", bold=True),
    Column(head="difference", share=36, anchor="right"),
)
_CHANGES = (
    Column(head="bar", share=22, bold=True),
    Column(head="", share=24),
    Column(head="what", share=94),
    Column(head="kg first", share=20, anchor="right"),
    Column(head="kg second", share=22, anchor="right"),
)
_GAP_MM = 3.0


@dataclass(frozen=True, kw_only=True)
class ComparePaper:
    """What stands on the paper.

    Args:
        first: What the first is called.
        second: What the second is called.
        identities: Of what each was reckoned from.
        date: Day, ISO 8601.
        figures: What, first, second and difference, in words.
        changes: Bar, what became of it, how, and its mass in both.
        same: How many bars are as before, in words.
        open_points: What is not counted or not known, in sentences.
        notes: Sentences.
    """

    first: str
    second: str
    identities: tuple[str, str]
    date: str
    figures: tuple[tuple[str, str, str, str], ...]
    changes: tuple[tuple[str, str, str, str, str], ...]
    same: str
    open_points: tuple[str, ...]
    notes: tuple[str, ...]


def compare_pages(shown: ComparePaper, paper: PaperSize = A4) -> tuple[Page, ...]:
    """The pages of a comparison.

    Args:
        shown: What stands on them.
        paper: A4 or letter.
    """
    inside = body(paper, measured=False)
    bodies = list(map(drawn_items, flow(tuple(_parts(shown, inside.width_mm)), inside)))
    count = len(bodies)
    return tuple(
        page_with(
            paper,
            page_frame(
                paper,
                "Two layouts",
                f"{shown.date}    page {number} of {count}",
                cautions=CAUTIONS[:1],
                measured=False,
            ),
            items,
        )
        for number, items in enumerate(bodies, start=1)
    )


def _parts(shown: ComparePaper, wide_mm: float) -> Iterator[Part]:
    yield space(2.0)
    for place, name, identity in zip(
        ("First", "Second"), (shown.first, shown.second), shown.identities, strict=True
    ):
        yield paragraph(f"{place}: {name} (identity {identity})", wide_mm, height_mm=3.0)
    yield space(_GAP_MM)
    yield from table_parts(_FIGURES, shown.figures, wide_mm)
    yield heading("Bars")
    yield from table_parts(_CHANGES, shown.changes, wide_mm)
    yield space(_GAP_MM)
    yield paragraph(shown.same, wide_mm)
    yield from titled("Not counted, or not known", shown.open_points, wide_mm)
    yield from titled("What the figures rest on", shown.notes, wide_mm)

"""Two layouts side by side on paper."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import A4, Page, PaperSize
from hoopwright.papers.flowing import Block, FlowTable, Heading, Sentences, flow
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.tables import TableColumn
from hoopwright.papers.words import CAUTIONS

_FIGURES = (
    TableColumn(head="", share=70),
    TableColumn(head="first", share=36, anchor="right", bold=True),
    TableColumn(head="second", share=36, anchor="right", bold=True),
    TableColumn(head="difference", share=36, anchor="right"),
)
_CHANGES = (
    TableColumn(head="bar", share=22, bold=True),
    TableColumn(head="", share=24),
    TableColumn(head="what", share=94),
    TableColumn(head="kg first", share=20, anchor="right"),
    TableColumn(head="kg second", share=22, anchor="right"),
)


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
    bodies, _ = flow(tuple(_blocks(shown)), body(paper, measured=False))
    count = len(bodies)
    return tuple(
        Page(
            width_mm=paper.width_mm,
            height_mm=paper.height_mm,
            items=(
                *page_frame(
                    paper,
                    "Two layouts",
                    f"{shown.date}    page {number} of {count}",
                    cautions=CAUTIONS[:1],
                    measured=False,
                ),
                *items,
            ),
        )
        for number, items in enumerate(bodies, start=1)
    )


def _blocks(shown: ComparePaper) -> Iterator[Block]:
    yield Sentences(
        lines=(
            f"First: {shown.first} (identity {shown.identities[0]})",
            f"Second: {shown.second} (identity {shown.identities[1]})",
        ),
        height_mm=3.0,
    )
    yield FlowTable(columns=_FIGURES, rows=shown.figures)
    yield Heading(words="Bars")
    yield FlowTable(columns=_CHANGES, rows=shown.changes)
    yield Sentences(lines=(shown.same,))
    yield from _titled("Not counted, or not known", shown.open_points)
    yield from _titled("What the figures rest on", shown.notes)


def _titled(title: str, lines: Sequence[str]) -> Iterator[Block]:
    if lines:
        yield Heading(words=title)
        yield Sentences(lines=tuple(lines))

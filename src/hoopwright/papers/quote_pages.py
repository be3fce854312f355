"""A quote on paper: who to whom, what is made with a picture of it, and the prices behind."""

from collections.abc import Sequence

from hoopwright.papers.drawing import A4, Box, Items, Page, PaperSize, Text
from hoopwright.papers.flow import (
    Column,
    Drawn,
    Part,
    drawn_items,
    end_mm,
    flow,
    page_with,
    space,
    table_parts,
)
from hoopwright.papers.lettering import fitted
from hoopwright.papers.overview import cage_views
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.quote_paper import QuotePaper
from hoopwright.papers.quote_prices import price_parts
from hoopwright.papers.words import CAUTIONS
from hoopwright.units import shown

_MADE = (
    Column(head="what is made", share=60, bold=True),
    Column(head="tube", share=60),
    Column(head="bars", share=20, anchor="right"),
    Column(head="bends", share=20, anchor="right"),
    Column(head="kg", share=24, anchor="right"),
)
_FACTS = (Column(head="in all", share=52), Column(head="", share=134, bold=True))
_GAP_MM = 3.0
_PARTY_MM, _PARTY_STEP_MM = 2.8, 4.4
_LEAST_PICTURE_MM, _TALLEST_PICTURE_MM = 85.0, 150.0


def quote_pages(quote: QuotePaper, paper: PaperSize = A4) -> tuple[Page, ...]:
    """The pages of a quote: the first says what is made, the others what it costs.

    Args:
        quote: What stands on it.
        paper: A4 or letter.
    """
    inside = body(paper, measured=False)
    bodies = _bodies(quote, inside)
    count = len(bodies)
    return tuple(
        page_with(
            paper,
            page_frame(
                paper,
                quote.title,
                _second_line(quote, number, count),
                cautions=CAUTIONS[:1],
                measured=False,
            ),
            items,
        )
        for number, items in enumerate(bodies, start=1)
    )


def _second_line(quote: QuotePaper, number: int, count: int) -> str:
    until = f"    holds until {quote.valid_until}" if quote.valid_until else ""
    return f"{quote.project}    {quote.date}{until}    page {number} of {count}"


def _bodies(quote: QuotePaper, inside: Box) -> list[Drawn]:
    """Who to whom and what is made, then the prices; the cage as a picture where it has room, or on its own page."""
    parties, high = _parties(quote, inside)
    rows = tuple(
        (row.what, row.tube, str(row.bars), str(row.bends), shown(row.mass_kg, 2)) for row in quote.made
    )
    wide = inside.width_mm
    tables = (
        *table_parts(_MADE, rows, wide),
        space(_GAP_MM),
        *table_parts(_FACTS, quote.facts, wide),
        space(_GAP_MM),
    )
    made, made_mm = _laid(tables, inside, used_mm=high)
    made = [(*parties, *made[0]), *made[1:]]
    prices, prices_mm = _laid(tuple(price_parts(quote, wide)), inside)
    if inside.height_mm - made_mm >= _LEAST_PICTURE_MM:
        made[-1] = (*made[-1], *_picture(quote, inside, made_mm))
    elif inside.height_mm - prices_mm >= _LEAST_PICTURE_MM:
        prices[-1] = (*prices[-1], *_picture(quote, inside, prices_mm))
    elif quote.car is not None:
        made.append(_picture(quote, inside, 0.0))
    return [*made, *prices]


def _laid(parts: Sequence[Part], inside: Box, *, used_mm: float = 0.0) -> tuple[list[Drawn], float]:
    """Parts on as many pages as they need, and how far down the last is filled."""
    pages = flow(parts, inside, used_mm=used_mm)
    return [drawn_items(page) for page in pages], end_mm(pages[-1], inside)


def _picture(quote: QuotePaper, inside: Box, taken_mm: float) -> Items:
    """The cage in four views in what is left of a page."""
    if quote.car is None:
        return ()
    high = min(_TALLEST_PICTURE_MM, inside.height_mm - taken_mm)
    box = Box(
        left_mm=inside.left_mm, top_mm=inside.bottom_mm - high, width_mm=inside.width_mm, height_mm=high
    )
    return cage_views(quote.car, box)


def _parties(quote: QuotePaper, inside: Box) -> tuple[Items, float]:
    """Sender on the left, the other on the right; and the height that they take."""
    half = inside.width_mm / 2.0
    items = []
    for place, (head, lines) in enumerate((("from", quote.sender), ("to", quote.to))):
        left = inside.left_mm + place * half
        if lines:
            items.append(Text(at_mm=(left, inside.top_mm + 5.0), text=head, height_mm=2.2))
        items += [
            fitted(
                words,
                (left, inside.top_mm + 5.0 + _PARTY_STEP_MM * row),
                half - 6.0,
                _PARTY_MM,
                bold=row == 1,
            )
            for row, words in enumerate(lines, start=1)
        ]
    longest = max(len(quote.sender), len(quote.to))
    return tuple(items), 10.0 + _PARTY_STEP_MM * longest if longest else 3.0

"""A quote on paper: what is made, what it costs line by line, and what the figures rest on."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.drawing import A4, Box, Items, Page, PaperSize, Text
from hoopwright.papers.flow import (
    Column,
    Drawn,
    Part,
    drawn_items,
    end_mm,
    flow,
    heading,
    page_with,
    paragraph,
    space,
    table_parts,
    titled,
)
from hoopwright.papers.lettering import fitted
from hoopwright.papers.overview import cage_views
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.words import CAUTIONS, count_words
from hoopwright.stock.money import Group, Priced, PriceLine

_GROUPS: tuple[tuple[Group, str], ...] = (
    ("material", "Material"),
    ("work", "Work"),
    ("extra", "And besides"),
)
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
NOT_PRICED = "not priced"


@dataclass(frozen=True, kw_only=True)
class MadeRow:
    """Bars of one role and tube."""

    what: str
    tube: str
    bars: int
    bends: int
    mass_kg: float


@dataclass(frozen=True, kw_only=True, eq=False)
class QuotePaper:
    """What stands on a quote.

    Args:
        title: In large, such as `Quote 12`.
        project: Name of the project.
        date: Its day, ISO 8601.
        valid_until: Last day on which it holds; empty for none said.
        sender: Who makes it, in lines.
        to: Whom it is for, in lines.
        car: What is drawn; None draws nothing.
        made: What is made.
        facts: Quantities in words, each with what it is of.
        priced: Lines and totals.
        discount_words: What the discount is, such as `discount 5 %`.
        tax_words: What the tax is.
        assumptions: Sentences.
        open_points: Sentences on what is not counted or not known.
        terms: Sentences of the sender.
        identity: Of what it was reckoned from.
    """

    title: str
    project: str
    date: str
    valid_until: str
    sender: tuple[str, ...]
    to: tuple[str, ...]
    car: CarLines | None
    made: tuple[MadeRow, ...]
    facts: tuple[tuple[str, str], ...]
    priced: Priced
    discount_words: str
    tax_words: str
    assumptions: tuple[str, ...]
    open_points: tuple[str, ...]
    terms: tuple[str, ...]
    identity: str


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
        (row.what, row.tube, str(row.bars), str(row.bends), f"{row.mass_kg:.2f}") for row in quote.made
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
    prices, prices_mm = _laid(tuple(_prices(quote, wide)), inside)
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


def _prices(quote: QuotePaper, wide_mm: float) -> Iterator[Part]:
    found = quote.priced
    columns = _price_columns(found.currency)
    for group, words in _GROUPS:
        rows = tuple(_price_row(line, found.decimals) for line in found.lines if line.group == group)
        if rows:
            hours = f", {found.hours:f} h with what is besides" if group == "work" and found.hours else ""
            yield heading(f"{words}{hours}")
            yield from table_parts(columns, rows, wide_mm)
    yield heading("Total")
    totals = (
        Column(head="", share=146),
        Column(head=columns[-1].head, share=40, anchor="right", bold=True),
    )
    yield from table_parts(totals, tuple(_total_rows(quote)), wide_mm)
    for words, lines in (
        ("Not counted, or not known", quote.open_points),
        ("What the figures rest on", quote.assumptions),
        ("Terms", quote.terms),
    ):
        yield from titled(words, lines, wide_mm)
    yield space(_GAP_MM)
    yield paragraph(f"Reckoned from identity {quote.identity}.", wide_mm, height_mm=2.0)


def _price_columns(currency: str) -> tuple[Column, ...]:
    of = f", {currency}" if currency else ""
    return (
        Column(head="what", share=56),
        Column(head="how much", share=50),
        Column(head="", share=26, anchor="right"),
        Column(head=f"price{of}", share=28, anchor="right"),
        Column(head=f"amount{of}", share=30, anchor="right", bold=True),
    )


def _price_row(line: PriceLine, decimals: int) -> tuple[str, ...]:
    how = line.basis if line.amount is not None else "; ".join(filter(None, (line.basis, line.missing)))
    return (
        line.what,
        how,
        quantity_words(line),
        "" if line.price is None else money_words(line.price, decimals),
        NOT_PRICED if line.amount is None else money_words(line.amount, decimals),
    )


def quantity_words(line: PriceLine) -> str:
    """The quantity with its unit; empty where there is none."""
    if line.quantity is None:
        return ""
    plural = "s" if line.unit in ("stick", "piece") and line.quantity != 1 else ""
    return f"{line.quantity:f} {line.unit}{plural}"


def money_words(amount: Decimal, decimals: int) -> str:
    """An amount as it is printed: with its decimals, or more where a price was typed with more."""
    typed = -int(amount.as_tuple().exponent) if amount.is_finite() else 0
    return f"{amount:.{max(decimals, typed)}f}"


def _total_rows(quote: QuotePaper) -> Iterator[tuple[str, str]]:
    found = quote.priced

    def shown(amount: Decimal) -> str:
        return money_words(amount, found.decimals)

    if not found.is_priced:
        yield "total", NOT_PRICED
        return
    count = len(found.missing)
    part = (
        f" of what is priced ({count_words(count, 'line')} {'is' if count == 1 else 'are'} not)"
        if count
        else ""
    )
    if found.discount is not None or found.tax is not None:
        yield f"sum{part}", shown(found.subtotal)
    if found.discount is not None:
        yield quote.discount_words, shown(-found.discount)
        if found.tax is not None:
            yield "after discount", shown(found.net)
    if found.tax is not None:
        yield quote.tax_words, shown(found.tax)
    yield f"TOTAL{part}", shown(found.total)

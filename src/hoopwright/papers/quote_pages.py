"""A quote on paper: what is made, what it costs line by line, and what the figures rest on."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.drawing import A4, Box, Items, Page, PaperSize, Text
from hoopwright.papers.flowing import Block, FlowTable, Heading, Sentences, flow
from hoopwright.papers.lettering import fitted
from hoopwright.papers.overview import cage_views
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.tables import TableColumn
from hoopwright.papers.words import CAUTIONS, count_words
from hoopwright.stock.money import Group, Priced, PriceLine

_GROUPS: tuple[tuple[Group, str], ...] = (
    ("material", "Material"),
    ("work", "Work"),
    ("extra", "And besides"),
)
_MADE = (
    TableColumn(head="what is made", share=60, bold=True),
    TableColumn(head="tube", share=60),
    TableColumn(head="bars", share=20, anchor="right"),
    TableColumn(head="bends", share=20, anchor="right"),
    TableColumn(head="kg", share=24, anchor="right"),
)
_FACTS = (TableColumn(head="in all", share=52), TableColumn(head="", share=134, bold=True))
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
        Page(
            width_mm=paper.width_mm,
            height_mm=paper.height_mm,
            items=(
                *page_frame(
                    paper,
                    quote.title,
                    _second_line(quote, number, count),
                    cautions=CAUTIONS[:1],
                    measured=False,
                ),
                *items,
            ),
        )
        for number, items in enumerate(bodies, start=1)
    )


def _second_line(quote: QuotePaper, number: int, count: int) -> str:
    until = f"    holds until {quote.valid_until}" if quote.valid_until else ""
    return f"{quote.project}    {quote.date}{until}    page {number} of {count}"


def _bodies(quote: QuotePaper, inside: Box) -> list[Items]:
    """Who to whom and what is made, then the prices; the cage as a picture where it has room, or on its own page."""
    parties, high = _parties(quote, inside)
    rows = tuple(
        (row.what, row.tube, str(row.bars), str(row.bends), f"{row.mass_kg:.2f}") for row in quote.made
    )
    blocks = (FlowTable(columns=_MADE, rows=rows), FlowTable(columns=_FACTS, rows=quote.facts))
    made, made_mm = flow(blocks, inside, taken_mm=high)
    made = ((*parties, *made[0]), *made[1:])
    prices, prices_mm = flow(tuple(_prices(quote)), inside)
    if inside.height_mm - made_mm >= _LEAST_PICTURE_MM:
        made = (*made[:-1], (*made[-1], *_picture(quote, inside, made_mm)))
    elif inside.height_mm - prices_mm >= _LEAST_PICTURE_MM:
        prices = (*prices[:-1], (*prices[-1], *_picture(quote, inside, prices_mm)))
    elif quote.car is not None:
        made = (*made, _picture(quote, inside, 0.0))
    return [*made, *prices]


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


def _prices(quote: QuotePaper) -> Iterator[Block]:
    found = quote.priced
    columns = _price_columns(found.currency)
    for group, words in _GROUPS:
        rows = tuple(_price_row(line, found.decimals) for line in found.lines if line.group == group)
        if rows:
            hours = f", {found.hours:f} h with what is besides" if group == "work" and found.hours else ""
            yield Heading(words=f"{words}{hours}")
            yield FlowTable(columns=columns, rows=rows)
    yield Heading(words="Total")
    totals = (
        TableColumn(head="", share=146),
        TableColumn(head=columns[-1].head, share=40, anchor="right", bold=True),
    )
    yield FlowTable(columns=totals, rows=tuple(_total_rows(quote)))
    for words, lines in (
        ("Not counted, or not known", quote.open_points),
        ("What the figures rest on", quote.assumptions),
        ("Terms", quote.terms),
    ):
        if lines:
            yield Heading(words=words)
            yield Sentences(lines=lines)
    yield Sentences(lines=(f"Reckoned from identity {quote.identity}.",), height_mm=2.0)


def _price_columns(currency: str) -> tuple[TableColumn, ...]:
    of = f", {currency}" if currency else ""
    return (
        TableColumn(head="what", share=56),
        TableColumn(head="how much", share=50),
        TableColumn(head="", share=26, anchor="right"),
        TableColumn(head=f"price{of}", share=28, anchor="right"),
        TableColumn(head=f"amount{of}", share=30, anchor="right", bold=True),
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

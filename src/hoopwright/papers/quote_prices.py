"""What a quote costs, line by line, and what the figures rest on."""

from collections.abc import Iterator
from decimal import Decimal

from hoopwright.papers.flow import Column, Part, heading, paragraph, space, table_parts, titled
from hoopwright.papers.quote_paper import QuotePaper
from hoopwright.papers.words import count_words
from hoopwright.stock.money import Group, PriceLine

_GROUPS: tuple[tuple[Group, str], ...] = (
    ("material", "Material"),
    ("work", "Work"),
    ("extra", "And besides"),
)
_GAP_MM = 3.0
NOT_PRICED = "not priced"


def price_parts(quote: QuotePaper, wide_mm: float) -> Iterator[Part]:
    """Lines by group, totals, and what the figures rest on."""
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

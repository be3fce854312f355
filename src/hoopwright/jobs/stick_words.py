"""Sticks, offcuts and prices as people type them."""

import math
from collections.abc import Sequence

from hoopwright.jobs.cuts import StickPrice
from hoopwright.jobs.typed import unreadable
from hoopwright.stock import StickOffer
from hoopwright.stock.pieces import Source
from hoopwright.units import format_length, parse_length_mm


def stick_offer(text: str, source: Source = "buy") -> StickOffer:
    """`LENGTH`, `LENGTH:COUNT` or `LENGTH:COUNT:PRICE`; an empty count is as many as are needed, one for an offcut.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`.
    """
    length, *more = (part.strip() for part in text.split(":"))
    if len(more) > 2:
        raise unreadable(
            text, "LENGTH, LENGTH:COUNT or LENGTH:COUNT:PRICE, such as 6000, 6000:4 or 6000::25.50"
        )
    count = _count(text, more[0]) if more and more[0] else None
    if count is None and source == "offcut":
        count = 1
    return StickOffer(
        length_mm=parse_length_mm(length),
        count=count,
        source=source,
        price=_amount(text, more[1]) if len(more) > 1 and more[1] else None,
    )


def stick_price(text: str) -> StickPrice:
    """`4.20` or `4.20/m` for a metre, `25/stick` for a stick, in the person's own money.

    Raises:
        UserError: `TYPED-001`.
    """
    amount, slash, unit = text.partition("/")
    per = unit.strip().lower()
    if slash and per not in ("m", "metre", "stick"):
        raise unreadable(text, "a price for a metre or a stick, such as 4.20/m or 25/stick")
    return StickPrice(amount=_amount(text, amount), per_metre=per != "stick")


def stick_offers(text: str) -> tuple[StickOffer, ...]:
    """Sticks that can be bought, with `;` between them.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`.
    """
    return tuple(stick_offer(one.strip()) for one in text.split(";") if one.strip())


def offers_words(offers: Sequence[StickOffer]) -> str:
    """What was understood of them."""
    return "; ".join(
        f"{format_length(offer.length_mm)}, {'any number' if offer.count is None else f'{offer.count} of them'}"
        f"{'' if offer.price is None else f', {offer.price:.2f} each'}"
        for offer in offers
    )


def price_words(price: StickPrice) -> str:
    """What was understood of it."""
    return f"{price.amount:.2f} a {'metre' if price.per_metre else 'stick'}"


def _count(text: str, typed: str) -> int:
    try:
        return int(typed)
    except ValueError:
        raise unreadable(text, "a whole number of sticks after the length, such as 6000:4") from None


def _amount(text: str, typed: str) -> float:
    try:
        amount = float(typed.strip().replace(",", "."))
    except ValueError:
        amount = math.nan
    if not (math.isfinite(amount) and amount >= 0.0):
        raise unreadable(text, "a price of 0 or more, such as 4.20/m or 25/stick")
    return amount


def bar_names(text: str) -> tuple[str, ...]:
    """`MH, FH`: two bars or more.

    Raises:
        UserError: `TYPED-001`.
    """
    names = named_bars(text)
    if len(set(names)) < 2:
        raise unreadable(text, "two or more bars with commas between them, such as 'MH, FH'")
    return names


def named_bars(text: str) -> tuple[str, ...]:
    """`MH` or `MH, FH`: the bars as they are named; none where nothing is typed."""
    return tuple(name.strip() for name in text.replace(";", ",").split(",") if name.strip())

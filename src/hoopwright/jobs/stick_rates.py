"""Sticks that can be bought: as typed, else as the person's rates have them, else of the usual length."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.jobs.cuts import StickPrice
from hoopwright.stock import StickOffer
from hoopwright.stock.bought import USUAL_KERF_MM
from hoopwright.stock.rates import Rates
from hoopwright.tubes import TubeSize, section_properties
from hoopwright.units import MM_PER_FOOT, MM_PER_UNIT

USUAL_STICK_MM = 6000.0
"""Length that tube is commonly sold in; common practice, no source."""


def kerf_for(typed_mm: float | None, rates: Rates) -> float:
    """What the saw takes: as typed, else as the rates have it, else the usual, in mm."""
    return next((kerf for kerf in (typed_mm, rates.kerf_mm) if kerf is not None), USUAL_KERF_MM)


def sticks_to_buy(
    typed: Sequence[StickOffer], price: StickPrice | None, rates: Rates, tube: TubeSize, steel: str
) -> tuple[StickOffer, ...]:
    """What can be bought of one size and steel, with its price where one is known.

    Args:
        typed: As typed for this plan; they go before the rates.
        price: As typed for this plan, for sticks without one.
        rates: The person's own.
        tube: The size.
        steel: The steel.
    """
    offers = typed or (StickOffer(length_mm=rates.stick_mm(tube, steel) or USUAL_STICK_MM),)
    return tuple(
        offer if offer.price is not None else replace(offer, price=_price(offer, price, rates, tube, steel))
        for offer in offers
    )


def priced_by_rates(offers: Sequence[StickOffer], rates: Rates, tube: TubeSize) -> tuple[StickOffer, ...]:
    """Offers of one size; a stick to buy without a price has that of the rates, where they have one."""
    return tuple(
        replace(offer, price=_price(offer, None, rates, tube, ""))
        if offer.source == "buy" and offer.price is None
        else offer
        for offer in offers
    )


def _price(
    offer: StickOffer, typed: StickPrice | None, rates: Rates, tube: TubeSize, steel: str
) -> float | None:
    if typed is not None:
        return typed.of(offer.length_mm)
    rate = rates.tube_rate(tube, steel)
    if rate is None:
        return None
    metres = offer.length_mm / MM_PER_UNIT["m"]
    if rate.per_stick is not None:
        # a price for a stick of another length says nothing of this one
        return float(rate.per_stick) if rate.stick_mm == offer.length_mm else None
    if rate.per_metre is not None:
        return float(rate.per_metre) * metres
    if rate.per_foot is not None:
        return float(rate.per_foot) * offer.length_mm / MM_PER_FOOT
    if rate.per_kg is not None:
        return float(rate.per_kg) * section_properties(tube).kg_per_m * metres
    return None

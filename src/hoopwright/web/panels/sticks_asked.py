"""What is typed of sticks and saw before the cuts are planned."""

from collections.abc import Callable

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.cuts import StickPrice
from hoopwright.jobs.stick_words import (
    bar_names,
    named_bars,
    offers_words,
    price_words,
    stick_offers,
    stick_price,
)
from hoopwright.jobs.stock import StockWishes
from hoopwright.stock import StickOffer
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, length_entry, text_entry
from hoopwright.web.findings_words import job_words
from hoopwright.web.number_entries import number_entry

_USUAL_S = 10.0
_NO_PRICE = "4.20/m or 25/stick, in your money; kept with your rates for sizes that have none there"
STICKS_IN_INCHES = "as your rates have it, else 6 m (236 1/4\"); or 20':10; 24':2:31.50 as length:count:price"


class SticksAsked:
    """The form.

    Args:
        bench: The page.
        changed: Called whenever something is typed.
    """

    def __init__(self, bench: Bench, changed: Callable[[], None]) -> None:
        self._sticks: Entry[tuple[StickOffer, ...]] = Entry(
            "Sticks that can be bought",
            stick_offers,
            lambda offers: job_words(offers_words(offers), bench.units),
            hint="as your rates have it, else 6 m; or 6 m:10; 7500:2:31.50 as length:count:price",
        )
        self._kerf = length_entry("The saw takes", hint="as your rates have it, else 3 mm")
        self._trim = length_entry("Cut off each end of a whole stick", value="0")
        self._price: Entry[StickPrice] = Entry(
            "Price",
            stick_price,
            price_words,
            hint=_NO_PRICE,
        )
        self._only: Entry[str] = text_entry(
            "Only these bars", hint="such as MH, HB-L; one that was sawn already is sawn again"
        )
        self._together: Entry[str] = text_entry(
            "Bars that share a batch", hint="such as MH, FH; mirrored pairs do anyway"
        )
        self._fewest = ui.checkbox("the fewest sticks, whatever they cost").props("dense")
        self._spares = ui.checkbox("cut the spares that are proposed, too").props("dense")
        self._rack = ui.checkbox("use what is on the rack of the shop", value=True).props("dense")
        self._limit = number_entry("Look for a better plan for so many seconds, each size", value="10")
        self._sticks.follow_units(bench, in_inches=STICKS_IN_INCHES)
        self._kerf.follow_units(bench)
        typed = (self._sticks, self._kerf, self._trim, self._price, self._only, self._together, self._limit)
        for entry in typed:
            entry.field.on_value_change(changed)
        for box in (self._fewest, self._spares, self._rack):
            box.on_value_change(changed)

    def rates_say(self, prices: str) -> None:
        """Show what the person's rates have, where a price could be typed."""
        self._price.hint(f"your rates: {prices}" if prices else _NO_PRICE)

    def wishes(self) -> StockWishes:
        """As typed.

        Raises:
            UserError: What cannot be read.
        """
        together = self._together.text.split(";")
        seconds = self._limit.maybe()
        return StockWishes(
            offers=self._sticks.value(),
            kerf_mm=self._kerf.maybe(),
            trim_mm=self._trim.maybe() or 0.0,
            goal="fewest" if self._fewest.value else "least",
            price=self._price.maybe(),
            only=named_bars(self._only.text),
            together=tuple(bar_names(text) for text in together if text.strip()),
            spares=bool(self._spares.value),
            rack=bool(self._rack.value),
            time_limit_s=_USUAL_S if seconds is None else max(0.0, seconds),
        )

    def differs(self, wishes: StockWishes) -> bool:
        """Whether something else is typed now than a plan was made of."""
        try:
            return self.wishes() != wishes
        except UserError:
            return True

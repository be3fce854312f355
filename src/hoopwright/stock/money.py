"""What a job costs at a person's own rates: line by line, each rounded once, totals that add up exactly.

A quantity is rounded to what is printed (metres to a millimetre, kilograms to a gram, hours to a hundredth) and then
multiplied, so that each line can be checked with a pocket calculator. An amount is rounded once; a total is the sum
of the amounts above it. Halves are rounded up, as in the trade.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from hoopwright.stock.rates import Extra, Rates, TubeRate
from hoopwright.tubes import TubeSize
from hoopwright.units import MM_PER_FOOT, MM_PER_UNIT

Group = Literal["material", "work", "extra"]
_HUNDRED, _MINUTES_OF_HOUR = Decimal(100), Decimal(60)
_PLACES = {"m": 3, "ft": 3, "kg": 3, "h": 2}


@dataclass(frozen=True, kw_only=True)
class TubeNeed:
    """Tube of one size and steel that a job needs.

    Args:
        tube: The size.
        steel: In the words of the certificate; empty until said.
        lengths_mm: Each piece as it is sawn, trims and the tube that bends use counted.
        kg_per_m: Mass of a metre.
    """

    tube: TubeSize
    steel: str
    lengths_mm: tuple[float, ...]
    kg_per_m: float

    @property
    def cut_mm(self) -> float:
        """All pieces together."""
        return math.fsum(self.lengths_mm)


@dataclass(frozen=True, kw_only=True)
class Needs:
    """What a job needs.

    Args:
        tubes: By size and steel.
        sheet_kg: Plates and gussets as cut.
        bolts: How many.
        bars: How many.
        bends: How many.
        copes: Coped ends.
        feet: Legs that are cut to landings.
        weld_mm: All welds together.
        plates: Landings.
        gussets: Gussets and ties.
    """

    tubes: tuple[TubeNeed, ...]
    sheet_kg: float
    bolts: int
    bars: int
    bends: int
    copes: int
    feet: int
    weld_mm: float
    plates: int
    gussets: int


SticksOf = Callable[[TubeNeed, float], "int | None"]
"""How many sticks of a length in mm a need takes; None where that is not known."""


@dataclass(frozen=True, kw_only=True)
class PriceLine:
    """One line of a quote.

    Args:
        group: Which part of the quote it belongs to.
        what: In words.
        quantity: As it is printed and multiplied; None where it is not known.
        unit: Of the quantity and of the price: `m`, `ft`, `kg`, `h`, `stick`, `piece`, or empty for an amount.
        price: Of one unit; None where it was not typed.
        amount: Rounded once; None where the line is not priced.
        basis: How the quantity came about, in words.
        missing: Why it is not priced; empty where it is.
    """

    group: Group
    what: str
    quantity: Decimal | None
    unit: str
    price: Decimal | None
    amount: Decimal | None
    basis: str = ""
    missing: str = ""

    @property
    def hours(self) -> Decimal | None:
        """Its hours; None where it is no work or they are not known."""
        return self.quantity if self.unit == "h" else None


@dataclass(frozen=True, kw_only=True)
class Priced:
    """A job at a person's rates.

    Args:
        currency: As typed.
        decimals: Of amounts.
        lines: Every line with a quantity.
        hours: Hours that are known, together.
        subtotal: Of all priced lines.
        discount: What is taken off, not negative; None for none.
        net: Subtotal less discount.
        tax: On top; None for none.
        total: Net and tax together.
    """

    currency: str
    decimals: int
    lines: tuple[PriceLine, ...]
    hours: Decimal
    subtotal: Decimal
    discount: Decimal | None
    net: Decimal
    tax: Decimal | None
    total: Decimal

    @property
    def missing(self) -> tuple[PriceLine, ...]:
        """Lines that are not priced."""
        return tuple(line for line in self.lines if line.amount is None)

    @property
    def is_priced(self) -> bool:
        """Whether any line has a price."""
        return len(self.missing) < len(self.lines)


def priced(needs: Needs, rates: Rates, sticks_of: SticksOf | None = None) -> Priced:
    """Price a job.

    Args:
        needs: What it needs; what it needs none of has no line.
        rates: As typed.
        sticks_of: How many sticks a need takes, for prices by the stick; they are not priced without.
    """
    extras = (_extra(one, rates) for one in rates.extras)
    lines = (*_material(needs, rates, sticks_of), *_work(needs, rates), *extras)
    subtotal = sum((line.amount for line in lines if line.amount is not None), Decimal(0))
    discount = _discount(rates, subtotal)
    net = subtotal - (discount or Decimal(0))
    tax = None if rates.tax_percent is None else _money(net * rates.tax_percent / _HUNDRED, rates.decimals)
    return Priced(
        currency=rates.currency,
        decimals=rates.decimals,
        lines=lines,
        hours=sum((line.hours for line in lines if line.hours is not None), Decimal(0)),
        subtotal=_money(subtotal, rates.decimals),
        discount=discount,
        net=_money(net, rates.decimals),
        tax=tax,
        total=_money(net + (tax or Decimal(0)), rates.decimals),
    )


def _discount(rates: Rates, subtotal: Decimal) -> Decimal | None:
    """What is taken off: never more than there is."""
    if rates.discount_percent is not None:
        return _money(subtotal * rates.discount_percent / _HUNDRED, rates.decimals)
    if rates.discount_amount is not None:
        return _money(min(rates.discount_amount, subtotal), rates.decimals)
    return None


def _material(needs: Needs, rates: Rates, sticks_of: SticksOf | None) -> Iterator[PriceLine]:
    for need in needs.tubes:
        yield _tube(need, rates.tube_rate(need.tube, need.steel), rates.decimals, sticks_of)
    if needs.sheet_kg > 0.0:
        yield _line(
            "material", "sheet of plates and gussets", rounded(needs.sheet_kg, "kg"), "kg", rates.sheet_per_kg,
            rates.decimals, basis="as cut, without what the cutting leaves",
            missing="no price of a kilogram of sheet",
        )  # fmt: skip
    if needs.bolts:
        yield _line(
            "material", "bolts", Decimal(needs.bolts), "piece", rates.bolt_each, rates.decimals,
            missing="no price of a bolt",
        )  # fmt: skip


def _tube(need: TubeNeed, rate: TubeRate | None, decimals: int, sticks_of: SticksOf | None) -> PriceLine:
    what = f"tube {need.tube}" + (f", {need.steel}" if need.steel else "")
    pieces = f"{len(need.lengths_mm)} pieces as sawn" if len(need.lengths_mm) != 1 else "1 piece as sawn"
    metres = rounded(need.cut_mm / MM_PER_UNIT["m"], "m")
    if rate is not None and rate.per_stick is not None and rate.stick_mm is not None:
        count = None if sticks_of is None else sticks_of(need, rate.stick_mm)
        stick_m = f"{rate.stick_mm / MM_PER_UNIT['m']:g} m"
        return _line(
            "material", what, None if count is None else Decimal(count), "stick", rate.per_stick, decimals,
            basis=f"of {stick_m}, for {metres} m as sawn",
            missing=f"how many sticks of {stick_m} it takes is not known",
        )  # fmt: skip
    if rate is not None and rate.per_kg is not None:
        kg = rounded(need.cut_mm / MM_PER_UNIT["m"] * need.kg_per_m, "kg")
        return _line("material", what, kg, "kg", rate.per_kg, decimals, basis=f"{pieces}, {metres} m")
    if rate is not None and rate.per_foot is not None:
        feet = rounded(need.cut_mm / MM_PER_FOOT, "ft")
        return _line("material", what, feet, "ft", rate.per_foot, decimals, basis=f"{pieces}, {metres} m")
    return _line(
        "material", what, metres, "m", None if rate is None else rate.per_metre, decimals, basis=pieces,
        missing="no price of this tube",
    )  # fmt: skip


def _work(needs: Needs, rates: Rates) -> Iterator[PriceLine]:
    minutes = rates.minutes
    weld_m = rounded(needs.weld_mm / MM_PER_UNIT["m"], "m")
    rows: Sequence[tuple[str, Decimal, str, Decimal | None]] = (
        ("setting up", Decimal(1), "", minutes.set_up),
        ("bars: marking and sawing", Decimal(needs.bars), "bar", minutes.per_bar),
        ("bends", Decimal(needs.bends), "bend", minutes.per_bend),
        ("copes", Decimal(needs.copes), "cope", minutes.per_cope),
        ("legs cut to landings", Decimal(needs.feet), "leg", minutes.per_foot),
        ("landings", Decimal(needs.plates), "landing", minutes.per_plate),
        ("gussets and ties", Decimal(needs.gussets), "gusset", minutes.per_gusset),
        ("welding", weld_m, "metre", minutes.per_weld_metre),
    )
    for what, count, each, taken in rows:
        if count <= 0:
            continue
        if taken is None:
            missing = f"no minutes of a {each}" if each else "no minutes of setting up"
            yield _line(
                "work", what, None, "h", rates.per_hour, rates.decimals, _counted(count, each), missing
            )
            continue
        hours = rounded(count * taken / _MINUTES_OF_HOUR, "h")
        basis = (
            f"{_counted(count, each)} x {taken.normalize():f} min" if each else f"{taken.normalize():f} min"
        )
        yield _line("work", what, hours, "h", rates.per_hour, rates.decimals, basis, "no price of an hour")


def _counted(count: Decimal, each: str) -> str:
    if not each:
        return ""
    return f"{count} {each}" if count == 1 else f"{count} {each}s"


def _extra(extra: Extra, rates: Rates) -> PriceLine:
    if extra.hours is not None:
        hours = rounded(extra.hours, "h")
        return _line(
            "extra", extra.what, hours, "h", rates.per_hour, rates.decimals, missing="no price of an hour"
        )
    amount = None if extra.amount is None else _money(extra.amount, rates.decimals)
    return PriceLine(
        group="extra",
        what=extra.what,
        quantity=None,
        unit="",
        price=None,
        amount=amount,
        missing="" if amount is not None else "neither an amount nor hours",
    )


def _line(
    group: Group,
    what: str,
    quantity: Decimal | None,
    unit: str,
    price: Decimal | None,
    decimals: int,
    basis: str = "",
    missing: str = "",
) -> PriceLine:
    is_known = quantity is not None and price is not None
    return PriceLine(
        group=group,
        what=what,
        quantity=quantity,
        unit=unit,
        price=price,
        amount=_money(quantity * price, decimals) if quantity is not None and price is not None else None,
        basis=basis,
        missing="" if is_known else missing,
    )


def rounded(value: float | Decimal, unit: str) -> Decimal:
    """A quantity as it is printed: metres, feet and kilograms to a thousandth, hours to a hundredth."""
    return Decimal(value).quantize(Decimal(1).scaleb(-_PLACES[unit]), ROUND_HALF_UP)


def _money(amount: Decimal, decimals: int) -> Decimal:
    return amount.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
